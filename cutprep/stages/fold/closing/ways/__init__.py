"""Ways of folding, the cheap ones first.

`candidates` (square, turned in, all over), `bases` (walls round a base of any corners), `tubes` (rings of panels, by their end panel or on a circle), `fans` (rings of
panels across converging scores), `staves` (walls that lean in and out in turn), `corners` (gables and bags, built corner by
corner), `ribs`, `handles` and `slanting` (dividers, handles in one piece, corners left flat), `limbs` (what is left over: folded over, straight on), `search` (counted work and ranking).
"""
