"""A drawing to a better one, with a finding for each change.

`mending` says what may be done, `leave` which single changes are not wanted. `mend` calls the cures in turn, each giving a `change`: `drop` (what says nothing),
`merge` (what is drawn twice), `close_gaps` (between ends), `node` (a side lost to a neighbour), `tails` and `folds` (too
long or too short), `smooth` (when asked). `pieces` is what several of them do to lines.
"""
