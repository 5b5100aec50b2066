"""A template to a folded shape: whether it closes, how large it is, and what is wrong with it.

`plan` is the door; it lays the drawing in one pose first, so that no result depends on how it was turned, mirrored,
split or shuffled, and turns what is told back. The wings stand in the order of the work: `net` (lines to panels and hinges), `declared`
(what the maker says), `closing` (ways of folding, tried and judged), `folded` (one part summed up), `findings`
(what the maker is told), `lacking` (scores forgotten or cut), `fit` (pieces and contents in one another), `export` (files of the folded shape).
"""
