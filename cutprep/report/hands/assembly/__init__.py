"""How a person puts a piece together, read off how it folds.

`structure` (panels hanging on panels), `tube_parts` (walls that go round, and what closes an end), `tray_parts` (a base
with walls), `way` (steps as they gather), then one file a kind of piece: `soft`, `tray`, `tube`, `tops`,
`outwards`; `order` chooses among them.
"""
