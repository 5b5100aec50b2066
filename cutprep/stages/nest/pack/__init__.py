"""How one sheet is filled.

`problem` (all that one nesting works with); `grid`, `five_blocks` and `lattice` (copies of one template in
step), `greedy` (one by one where they fit best), `irregular` with its process `child` (true outlines),
`search` (take some off, place them anew), `single_sheet` and `fill` (the best of these for a given set, or
for as many as go).
"""
