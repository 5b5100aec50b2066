"""What lies near what, and what lies on what.

`proximity` (an index over boxes, points in cells), `neighbours` (segments that may be near), `segment_overlaps` (where
two segments lie beside each other), `overlap` (where lines run together), `cover` (what is covered by what),
`ahead` (what a ray meets first), `dashes` (rows of
them made one), `farthest` (how far groups of points lie from lines of their own: by `chords`, in columns, and `long_lines`), `grades` (figures in order, equal ones with one number).
"""
