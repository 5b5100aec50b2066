"""Templates and copies to sheets.

`nesting` is how it is asked for, `problem` all that is asked, `plan` the door. `item` (what is laid out),
`pack` (how one sheet is filled), `pattern_runs` (which filling on how many sheets), `improve` (from a first
layout to better ones, as far as the `meter` allows), `proof` (is it right), `refuse` (why it can't be done).
Beside them `accept` (placed by hand), `align` (a sheet that lies askew), `shared` (edges cut once), `offcut`
(the rectangle left over).
"""
