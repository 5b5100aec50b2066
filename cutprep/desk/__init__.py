"""The desk: a page that her own machine serves, on which the maker does the whole job.

`serve` starts it, `launcher` puts something to double-click on her desktop. `guard` lets nobody in but her browser,
and `app` has the routes, but for those of `choosing`, the templates to begin with. `shelf` keeps jobs as folders, each with a job file that `plan` changes key by key, in the
ways that `changing` lists (those of copies by hand in `laying`), reading with `sent` what a form says; `fields` makes forms of the table of settings, and `paper` fills the page. `hers` has what is the maker's own: settings, trials, offcuts. `working` is a process of its own
that does the stages and makes what the `sections` of the paper show; another one, which `handing` starts, sends the files to a machine.
"""
