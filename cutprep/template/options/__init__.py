"""What any template can have besides, where it makes sense: one module an option, applied to what a kind declares.

`option` says what an option is and what a kind offers it; `reshape` changes outlines and folds that are drawn. `corners`
rounds the corners of flaps and relieves those where folds meet, `notch` cuts thumb notches into free edges, `slits` hold
tuck flaps, `hanging` cuts a slot to hang it by, `tear` perforates a face, `faces` cuts windows and lace into it or writes on it.
`seam` turns a glue flap outside. `every` lists them in the order in which they are applied.
"""
