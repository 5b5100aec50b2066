"""What the maker is told.

`finding` (one of them), `entry` and `catalogue` (what each code means, its rows in `codes`), `places` (where it is),
`telling` (bounded however much was found), `kinds` (one entry a code and layer).
"""
