"""What the commands about the maker's own things do and show.

`commands` are on the command line; `settings` are those that she keeps, `trials` what she has found out by trial
cuts, `offcuts` what is left of
sheets, `remaking` what is made again.
"""
