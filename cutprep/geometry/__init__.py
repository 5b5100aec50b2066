"""Pure functions on arrays of points.

From the plain to the involved: `affine`, `placed` and `turned_over` (where things lie), `lines` (segments, rings,
turning), `curves` (to chords and back), `closeness` (what lies near what), `planar` (what meets, crosses and bounds
what), `space` (flat panels folded up).
"""
