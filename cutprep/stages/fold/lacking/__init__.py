"""What a drawing lacks: a score that was forgotten, or drawn as a cut.

`score_ends` (which way scores go on), `outlines` (what a chord cuts off from a panel), `chords` (where a score may be missing, by what still shows of it), `missing_score`,
`cut_score` (a cut that should be a score), `several_cut` (several of them at once).
"""
