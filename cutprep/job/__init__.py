"""The job and the one place that knows the sequence of stages.

`job` says what a job is. `settings` is the table of all that can be asked for; `build` makes a job of what was given,
`file` reads it from a job file, and `words` names it; `fits` and `lasting` read what drawings say of themselves.
`loading` takes a drawing up, `before` knows what can't be made, `pipeline` runs the stages, with `sheets` (how copies come onto card) and `folder`
(what is written, read again and proved, with `record`: `job.json`); `api` is all of it for Python.
"""
