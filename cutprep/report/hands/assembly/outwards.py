"""Steps of a body of any other kind: from one panel outwards, edge by edge, what closes it last."""

from __future__ import annotations

from collections.abc import Sequence

from cutprep.model.folded import Flap, Verdict
from cutprep.report.hands.assembly.way import AssemblyWay, Do, lit_of

#: So many flaps are still told one by one.
_TOLD = 24


def outward_steps(way: AssemblyWay) -> None:
    """Add the steps: what is glued or taped before it is filled, then the last side, where it closes at all."""
    report, flaps = way.report, way.hung.lying
    last = _last(way) if report.verdict is Verdict.CLOSED and flaps else None
    closing = [f for f in flaps if last is not None and last in {f.on, f.target}]
    inner = [f for f in flaps if f not in closing]
    way.fold_all(range(len(report.panels)))
    if last is not None:
        way.fold_all([last], 0.0)
        way.fold_flaps(closing)
    way.say(Do.GLUE if inner else Do.TAPE, _outwards(way, inner, last), lit_of(inner))
    if last is None:
        return
    way.say_fill_for_good()
    way.fold_all([last])
    way.say_last_side(last, closing)


def _outwards(way: AssemblyWay, flaps: Sequence[Flap], last: int | None) -> str:
    """The sentence for all that comes before the last side."""
    base, closed = way.name(way.report.base), way.report.verdict is Verdict.CLOSED
    filled = "; fill it before the last panel closes it" if closed and last is None else ""
    but = f", all but those of side {way.name(last)}" if last is not None else ""
    if not flaps:
        return (
            f"Work outwards from {base} and tape each edge that meets another from inside{but}: "
            f"they have no glue flaps{filled}."
        )
    bare = _bare(way, last)
    tape = (
        f"; {'one edge has' if bare == 1 else f'{bare} edges have'} no flap: tape {'it' if bare == 1 else 'them'} from inside"
        if bare
        else ""
    )
    if len(flaps) > _TOLD:
        how = f"glue each of the {len(flaps)} flaps inside the panel that its edge meets{but}"
    else:
        how = f"glue {way.onto(flaps, 'panel')}"
    return f"Work outwards from {base}, one fold after the other, and {how}{tape}{filled}."


def _bare(way: AssemblyWay, last: int | None) -> int:
    """How many pairs of panels meet at an edge that no flap joins."""
    joined = {frozenset((f.on, t)) for f in way.report.flaps for t in (f.target, *f.lies_on)}
    pairs = {frozenset((m.panel_a, m.panel_b)) for m in way.report.mates}
    return sum(last not in pair for pair in pairs - joined)


def _last(way: AssemblyWay) -> int | None:
    """The side that closes it: the one farthest from the base that hangs on one fold."""
    hung, base = way.hung, way.report.base
    sides = [k for k in hung.body if k != base and len(hung.bodies_at(k)) == 1]
    return max(sides, key=lambda k: (len(hung.way(base, k)), k), default=None)
