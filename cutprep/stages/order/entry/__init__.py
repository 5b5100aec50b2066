"""The lines of a sheet as an order sees them, before any search.

`stages` (what must come before what), `join` (lines that carry on become one stroke), `starts` (where a line can be
entered), `points` (all of it as numbered points).
"""
