"""What lies near what, and what lies on what.

`near` (an index over boxes, points in cells), `neighbours` (segments that may be near), `bits` (stretches beside each
other), `overlap` (lines that lie on each other), `cover` (what is covered by what).
"""
