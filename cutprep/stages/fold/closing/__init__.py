"""How a part closes: ways of folding are tried, and what they are is read off what coincides.

Nothing is decided by how a panel looks. A *way* is a vector of fold angles; it is folded, judged
by one geometric verdict that is the same for all, and ranked. Roles are the result.

Where to read on, in the order of the work:

1. What is folded. `wish` (declared angles, drawn directions), `lines` (scores that others lock stay
   flat), `state` (a way folded up: where every panel lies).
2. Ways, the cheap ones first. `candidates` (square, turned in, all over), `tubes` (rings of panels,
   by their end panel or on a circle), `limbs` (what is left over: folded over, straight on); and
   zipped seams: `guesses` (which panels may be flaps), `outline`, `seams` (which sides meet), `start`,
   `solve`, `body` (least squares), `zips` (the best of these), `zip_flaps` (where flaps and gussets go).
3. The verdict. `contact` (flush, touching, crossing), `shell` (what encloses, what lies on it in layers,
   what sticks out), `verdict` (rims, openings, volume, what is sound).
4. The choice. `search` (ranking, counted work), `close` (which family goes before which).
5. The result. `assemble` (seams closed exactly, what can still move), `duties` (what each panel is for).
"""
