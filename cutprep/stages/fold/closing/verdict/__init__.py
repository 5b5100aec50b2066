"""The one verdict on every way of folding.

`state` (a way folded up: where every panel lies), `contact` (flush, touching) and `crossing` (panels through one
another), `shell` (what encloses, what lies on it in layers, what sticks out), `arches` (handles in one piece), `rim` (an opening), `profiles` (rims that rise and fall),
`judge` (rims, openings, volume, what is sound).
"""
