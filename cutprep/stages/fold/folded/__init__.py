"""One part folded, summed up.

`size` (the room inside), `motion` (from flat to folded), `features` (what takes no part in closing), `word` (what
counts as closed, the result in a word), `summary` (all of it, with what the maker is told), `unposed` (back from the pose that it was folded in to the drawing).
"""
