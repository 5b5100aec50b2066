"""What the maker says about folding, and what a part is to obey.

`file` reads the declarations, `posed` turns them as the drawing is turned for folding, `resolved` turns points into the numbers of one part, `constraints` is what the search obeys.
"""
