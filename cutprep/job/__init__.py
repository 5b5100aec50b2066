"""The job and the one place that knows the sequence of stages.

`job` says what a job is. `settings` is the table of all that can be asked for; `build` makes a job of what was given,
`file` reads it from a job file, and `words` names it; `lasting` reads what drawings say of themselves, `pieces` knows
what belongs together, and `gallery` shows every kind of template, with the pictures of `shown`. `before` knows what can't be made, `loading`
reads, mends, checks and folds each drawing, and `ready` divides them and asks all that could refuse them. `pipeline`
runs the stages, with `names` (a text of its own on each copy), `printing` (what goes to the printer first), `sides`
(what is scored from the back), `sheets` (how copies come onto card), `folder` (what is written, read again and proved,
with `record`: `job.json`) and `memory` (what was made before); `api` is all of it for Python.
The wing `own` has what the maker keeps in a folder of her own.
"""
