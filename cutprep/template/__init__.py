"""Drawings from dimensions.

`kinds` lists all kinds by name; `kind` says what one is: the `dimensions` it takes, how it is drawn, what must come of it.
A kind draws on a `sketch` (words of the trade) or lays panels side by side on a `blank`; `options` round its flaps, cut
notches, slits and windows, or write on it with single-stroke `letters`; `eighths` names inches that suit a ruler, `remedy` what would
do instead of dimensions that make no sense together. The kinds themselves stand in `boxes`, `cartons` and `flats`; `family`
puts several together into a set that fits. `trial` draws small figures to be compared.
"""
