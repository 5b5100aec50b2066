"""Drawings from dimensions.

`kinds` lists them all, `kind` is one: what it takes (`dimensions`) and what must come of it. `sketch` draws
with words of the trade, `blank` puts panels together, `extras` adds to a face. The kinds themselves: `boxes`,
`cartons`, `flats`.
"""
