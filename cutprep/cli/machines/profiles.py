"""Lists of machines and stocks."""

from __future__ import annotations

from cutprep.cli import show
from cutprep.job.record.machine import machine_data
from cutprep.profile import shelf
from cutprep.profile.stock import SheetSize
from cutprep.units import say_size


def list_machines(*, json: bool) -> None:
    """Print every machine profile."""
    machines = shelf.machines()
    if json:
        show.say_json({name: machine_data(m) for name, m in machines.items()})
        return
    show.show_table(
        ("name", "area", "reads", "tools", "what it is"),
        [
            (
                name,
                say_size(m.width, m.height),
                ", ".join(m.languages),
                ", ".join(t.name for t in m.tools),
                m.title,
            )
            for name, m in machines.items()
        ],
    )
    show.say(f"Your own profiles go into {shelf.own_folder() / 'machines'}", console=show.err())


def _size(size: SheetSize) -> str:
    """A size of a card, with what it costs."""
    return size.name if size.price is None else f"{size.name} at {size.price:.2f}"


def list_stocks(*, json: bool) -> None:
    """Print every stock profile."""
    stocks = shelf.stocks()
    if json:
        show.say_json(
            {
                name: {
                    "title": s.title,
                    "caliper_mm": s.caliper,
                    "sheets": {size.name: [size.width, size.height] for size in s.sheets},
                    "prices": {size.name: size.price for size in s.sheets if size.price is not None},
                }
                for name, s in stocks.items()
            }
        )
        return
    show.show_table(
        ("name", "thickness", "sheets", "what it is"),
        [(name, f"{s.caliper:g} mm", ", ".join(map(_size, s.sheets)), s.title) for name, s in stocks.items()],
    )
    show.say(f"Your own profiles go into {shelf.own_folder() / 'stocks'}", console=show.err())
