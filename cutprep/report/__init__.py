"""What a person reads.

`outcome` is what a report is told, and `answers` what each step comes to, in a sentence. `data` and `fold_data` give it to scripts; `jobsheet` (with `sheet_rows`, `turning` and `costs`),
`makingsheet` and `classsheet` give it to people, through `page` and its templates, with `cautions` on every one.
`hands` works out what hands do with a template; `pictures` draws.
"""
