"""How a person puts a piece together, read off how it folds.

`structure` (walls, what goes round, what closes an end), `way` (steps as they gather), then one file a kind of piece:
`soft`, `tray`, `tube`; `order` chooses among them.
"""
