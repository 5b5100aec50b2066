"""A text of its own on each copy: names on tags and place cards.

`listed` reads the list, `alphabet` says which letters there are (single strokes, or the outlines of a font: `fonts`), `fitting`
finds the room and the height, `written` makes a template for each text, `dealt` gives them to the copies on the sheets; `asked` does it for a job.
"""
