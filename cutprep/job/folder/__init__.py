"""The output folder: what is written, found again and proved.

`outputs` (which files), `machine_files` (one a sheet or one a tool), `store` (whole or not at all), `places` (placements
out of a `job.json`), `verify` (machine files against the plan beside them).
"""
