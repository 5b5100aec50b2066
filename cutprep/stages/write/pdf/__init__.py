"""PDF, in full size.

`pages` (pages, and their operators in mm), `by_hand` (a drawing tiled over pages, to print and cut by hand), `printed` (a sheet's copies and register marks on a page
of its own size, printed before it is cut), `render` (artwork to dots, by `render_child` in a process of its own).
"""
