"""Ways of folding, the cheap ones first.

`candidates` (square, turned in, all over), `bases` (walls round a base of any corners), `tubes` (rings of panels, by their end panel or on a circle), `fans` (rings of
panels across converging scores), `corners` (gables and bags, built corner by
corner), `ribs` and `handles` (dividers and handles in one piece with the box), `limbs` (what is left over: folded over, straight on), `search` (counted work and ranking).
"""
