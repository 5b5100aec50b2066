"""Lines as a planar graph: what meets, crosses and misses what, and what it bounds.

An *outline* is the outer boundary of the faces that cuts bound and that are connected by an edge. It does
not matter in how many strokes it was drawn, in which order or direction, or how it was split. A cut
that runs past a corner, by any length, still bounds the part; what is beyond the corner is a *tail*. An end that
stops short of another end, or of a line, by no more than the gap limit is taken as closed there. Outlines
within an outline are holes, outlines within a hole are parts again.

From the ends up: `ends` (what ends do, where lines cross, where gaps close), `graph` (from that to nodes, edges and
faces, and back to lines), `outlines`, `tails`, `folds` (how fold lines lie on all that), `slivers`, `net` (cuts and folds
together), and `plane`, which rooms ask.
"""
