"""Templates and copies to sheets.

`nesting` is how it is asked for, `plan` the door for given copies, `fill` the one for as many as go on a sheet.
`item` (what is laid out), `pack` (how one sheet is filled), `layout` (which filling on how many sheets), `proof`
(whether a layout is right). Beside them `accept` (placed by hand), `around` (the rest laid round that), `room` (where a
hand may lay one copy), `align` (a sheet that lies askew) and `shared` (edges cut once).
"""
