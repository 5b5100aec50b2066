"""What the maker keeps in a folder of her own, beside her profiles.

`written` writes a file of hers. `trial` makes the job of a trial cut, and `figures` keeps what it gave for a card on a
machine. `left_over` finds what a job leaves of its sheets, and `offcuts` are those that are kept. `again` makes spoilt
copies once more. `kept` is a job with all that it needs, for another computer.
"""
