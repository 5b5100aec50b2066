"""How copies come onto sheets.

`layout` (laid out, filled up, as many sets as the card gives, or placed by hand), `used` (areas that are gone already),
`aligned` (the plan where its reference points were found), `equal` (sheets that are cut alike are one), `spares` (sheets
that only spare copies need), `apart` (whether pieces take fewer by themselves), `worked` (a sheet's strokes to proved
machine files).
"""
