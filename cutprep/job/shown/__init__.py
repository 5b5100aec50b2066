"""Pictures of the kinds of templates.

`lengths` finds where a dimension lies on a drawing, with `aslant` for arcs and slanted flaps, `standing` where it stands on the
folded piece; `picture` shows a drawing flat and folded; `kinds/` holds what came of it
for every kind as it comes, drawn by `python -m tests.gallery` and read by `stored`.
"""
