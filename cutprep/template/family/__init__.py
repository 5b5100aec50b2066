"""Sets of pieces that fit.

`hollow` says what each kind takes up outside and how it takes something in, `pieces` is the table of a set, `fitting` works
out the pieces from the innermost outwards, `together` says in which order they come together, and `ready` holds sets to begin with.
"""
