"""What the maker keeps in a folder of her own, beside her profiles.

`written` writes a file of hers, such as that of her `settings`. `trial` makes the job of a trial cut, `trial_file` writes it as a job file, `best` says
what to look at and which figure is kept, and `figures` keeps it for a card on a machine. `cards` are her own ones, which `counted` counts
down when a job is cut.
`left_over` finds what a job leaves of its sheets, and `offcuts` are those that are kept. `again` makes spoilt
copies once more. `kept` is a job with all that it needs, for another computer.
"""
