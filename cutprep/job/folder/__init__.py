"""The output folder: what is written, found again and proved.

`outputs` (which files), `machine_files` (one a sheet or one a tool), `over_line` (which the line holds up), `store` (whole or not at all), `places` (placements
out of a `job.json`), `verify` (every file against what was prepared,
machine files against the plan), `accept` (files changed on purpose), `timed` (files to be run and timed, and what the times say).
"""
