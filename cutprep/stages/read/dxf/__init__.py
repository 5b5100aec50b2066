"""DXF to a drawing, in the order of the work.

`tags` (bytes to columns), `library` (binary files, fit points), `words` (code pages, escapes, colours), `records`
and `structure` (sections), `units`, `looks` (layer, colour, linetype), `blocks` (every line as often as it is
inserted), `shapes` (entities to lines), `texts` (places for words of each copy), `drawing` (the whole way), `notes` (what was left out or assumed).
"""
