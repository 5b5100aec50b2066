"""How a part closes: ways of folding are tried, and what they are is read off what coincides.

Nothing is decided by how a panel looks. A *way* is a vector of fold angles; it is folded, judged
by one geometric verdict that is the same for all, and ranked. Roles are the result.

`verdict` folds a way up and judges it. `ways` proposes cheap ways and searches among them; `zip` finds ways by
zipping the outline of the body shut. Above them `close` says which family goes before which, `duties` what each panel
is for, `zip_flaps` where flaps and gussets go,
`lids` which flaps close an opening, `nearly` how far off is what was said, `assemble` closes the seams exactly and tells what can still move;
`work` counts what all of them spend; `bends` knows parts that close nothing.
"""
