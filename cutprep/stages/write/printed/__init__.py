"""Pages that are printed before they are cut.

`render` (artwork to dots, by `render_child` in a process of its own), `pdf_page` (copies and register marks on a page of
the sheet's size).
"""
