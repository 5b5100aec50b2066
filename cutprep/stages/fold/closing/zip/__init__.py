"""Ways found by zipping the outline of the body shut.

`guesses` (which panels may be flaps), `outline` and `seams` (which sides meet), `gluings` (ways
to leave none over), `start` and `solve` (fold angles by
least squares), `body` (how well it closes, how convex and large it is), `zips` (the best of these).
"""
