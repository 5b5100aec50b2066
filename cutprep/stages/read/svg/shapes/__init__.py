"""Elements to lines in mm.

`transform` and `viewport` (where things lie, how large), `basic`, `path` and `curves` (shapes to segments),
`area` and `clip` (what shows), `lines` (all of it in a few passes over arrays).
"""
