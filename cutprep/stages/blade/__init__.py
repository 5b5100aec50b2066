"""Strokes to the path of the tool's pivot.

`plan` is the door, `cutting` what the maker may ask. `stretch` and `broken` say what is cut with the tool
down once, `track` which way the blade looks, `swivel` the pivot's path, `orientation_cut` where the blade turns
before it cuts, `thin` what may be left out. `tip` integrates the path of the tip by itself and knows nothing of `swivel`, `followed` keeps what it found; `tight` tells
what a blade can't follow; `scoring` puts the machine's way of scoring in words.
"""
