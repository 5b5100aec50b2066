"""What the maker says about folding, and what a part is to obey.

`file` reads the declarations, `settled` turns points into the numbers of one part, `wish` is what the search obeys.
"""
