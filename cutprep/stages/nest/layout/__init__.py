"""Layouts of a whole problem: which filling of a sheet is cut how often.

`pattern_runs` (layouts, and the quick ones), `improve` (from a first layout to better ones, as far as the meter
allows), `refuse` (why there is none).
"""
