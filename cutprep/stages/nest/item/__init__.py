"""What is laid out and where.

`demand` (a template and how many), `shape` (as its neighbours see it), `usable_area` (of a sheet), `nofit`
and `edge` (where two copies clear each other), `pattern` (where copies lie on one sheet), `offcut` (the largest
rectangle that a pattern leaves free), `problem` (demands, shapes and sheets of one nesting), `meter` (work, counted).
"""
