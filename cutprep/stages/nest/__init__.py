"""Templates and copies to sheets.

`nesting` is what is asked, `plan` the door. `item` (what is laid out), `pack` (how one sheet is filled),
`pattern_runs` (which filling on how many sheets), `proof` (is it right), `refuse` (why it can't be done).
Beside them `accept` (placed by hand), `align` (a sheet that lies askew), `shared` (edges cut once), `offcut`
(the rectangle left over).
"""
