"""How one sheet is filled.

`solver` (a problem at work, with what is known of it by now); `grid`, `five_blocks` and `lattice` (copies of
one template in step), `greedy` (one by one where they fit best, by no-fit polygons) and `raster` (the same by
cells, for many different templates), `irregular` with its process `child` (true outlines), `search` (take some
off, place them anew), `single_sheet` (the best of these for a given set),
`bound` with `rectangles` (how many sheets are needed at least).
"""
