"""What the commands about the maker's own things do and show.

`settings` are those that she keeps, `trials` what she has found out by trial cuts.
"""
