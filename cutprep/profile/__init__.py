"""Machines and stocks: what the maker has on her table.

`shelf` finds a profile; `machine` and `stock` are what it holds, `machine_table` reads a machine, `written` is one
as text again, for fitted figures. `setup` puts in what a trial of a card gave, `ways` says which tool does which operation and how hard, `line` how a
machine is spoken to, `languages` which machine languages there are, `layers` how a plan is divided in a drawing.
"""
