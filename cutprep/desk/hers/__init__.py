"""What is the maker's own on the desk: her settings, trials, cards, offcuts, and what she does when a job is cut.

`routes` has the page of her own things and what it sends, `times` that of a machine that is timed, `rules` remembers what
layers are for, `ways` what she does with a job; `shown` makes plain data of all of it.
"""
