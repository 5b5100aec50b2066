"""Sheets that are printed before they are cut.

`taken` (what of a drawing is printed), `possible` (what can't be printed), `marks` (where register marks lie, and what
stays free for them), `sheets` (the page of a sheet).
"""
