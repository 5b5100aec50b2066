"""Templates and copies to sheets.

`nesting` is how it is asked for, `plan` the door for given copies, `fill` the one for as many as go on a sheet.
`item` (what is laid out), `pack` (how one sheet is filled), `layout` (which filling on how many sheets), `proof`
(whether a layout is right). Beside them `accept` (placed by hand), `align` (a sheet that lies askew) and `shared`
(edges cut once).
"""
