"""The rows of the catalogue, a file for each kind of finding.

In the order in which a job meets them: `reading`, `drawing` (what `check` finds), `mending`, `folding`,
`sheets` (laying out, ordering, the blade), `machine_files` (reading them back).
"""
