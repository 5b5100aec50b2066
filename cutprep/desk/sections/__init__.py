"""What each section of the paper shows: from the values of the stages to plain data, made in the worker process.

`making` and `lines` show the drawings, `wrong` what was found in them, `folds` how they fold, `sheets` the layout, and
`cutting` the files and the strokes; `store` keeps pictures and tables for the page.
"""
