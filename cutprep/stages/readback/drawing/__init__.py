"""A drawing for a machine that takes only one, followed as strictly as a machine file.

`follow` lays the lines of `svg` and `dxf` one after the other as strokes; each of the two reads exactly what may stand in
such a drawing, and refuses everything else.
"""
