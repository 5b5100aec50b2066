"""Templates whose walls go round and meet at a seam.

`tube` draws cartons, sleeves and bands with square ends; `ridge` those whose top closes to a ridge, `bag` a bag
with side folds.
"""
