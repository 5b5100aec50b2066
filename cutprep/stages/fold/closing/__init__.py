"""How a part closes: ways of folding are tried, and what they are is read off what coincides."""
