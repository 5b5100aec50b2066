"""Whether folded pieces and things go into one another.

`case` (a part as a case: what it leaves free, what it takes up), `pairs` (lid over base, drawer in sleeve, divider in
tray), `tell` (declared fits, and what is said of them), `contents` (things of a given size, by `floor_packing`).
"""
