"""Every picture that is printed or shown, as SVG.

`sheet` with `sheet_words` (a sheet of card, in working order), `findings` (where they are), `mended` (one change of
mending), `flat` (a piece lying flat), `folded` with `panel_letters` and `turntable` (a part folded up), `step` (a step
of the making), `machine_file` (what a file does); `lettering` finds room for words in all of them, `paths` writes
their lines and coordinates.
"""
