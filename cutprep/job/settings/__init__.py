"""One table of settings: command line, job file, Python and remembered settings are made from it.

`setting` says what one is, and `forms` and `compound` in which forms values are written. `of_drawing`, `of_layout` and
`of_machine` are the rows, and `table` is all of them. `resolve` puts what is given in several places together, with
where each value came from; `remembered` reads the maker's own file, `remembering` changes it,
`worked` reads figures of single layers, and `keywords` has the types for Python.
"""
