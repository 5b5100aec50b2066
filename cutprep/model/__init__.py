"""What things are: frozen values, no algorithms.

`lines` is the value that every stage hands on, `operation` what is done with one, `rules` which layer asks for what;
then the chain: `drawing` (with `text`, the places for words of each copy), `part`, `sheet`, `strokes`, `moves`, with `tally` (what an order costs), `folded` and `duties`
(what folding gives), and `findings` (what the maker is told).
"""
