"""The checks, a file for each thing that can be wrong.

One line: `slivers`. Lines beside lines: `doubled` and `strips`, both with `stretches` (what runs together).
Outlines: `outline` (they don't close), `shape` (they cross, tear or are too small to turn in), `scores`
(folds past them). The whole: `parts`, `copies`, `size`.
"""
