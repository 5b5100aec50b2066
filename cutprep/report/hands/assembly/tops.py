"""Steps that bring the top of a tube together: panels that lean to a point, the roof of a ridge."""

from __future__ import annotations

from cutprep.model.duties import Duty
from cutprep.report.hands.assembly.tube_parts import End, Tube
from cutprep.report.hands.assembly.way import AssemblyWay, Do, many


def gather_steps(way: AssemblyWay, end: End) -> None:
    """Bring the panels above the walls together, the folded corners going in between them."""
    # Two halves make one corner; at the seam the halves hang on both sides of it.
    count = (len(end.gussets) + 1) // 2
    way.fold_all((*end.covers, *end.gussets))
    way.say(
        Do.TIE,
        f"Close the top: lean {way.name(*end.covers)} in together and push the {count} folded {many('corner', count)} "
        "inwards between them, until the points meet; tie them with a ribbon, so that it opens again.",
        (*end.covers, *end.gussets),
    )


def ridge_steps(way: AssemblyWay, tube: Tube, end: End) -> None:
    """Push the ends of a ridge in, and bring the roof and what stands on it together."""
    roof = end.roof
    sides = [c for c in end.covers if c not in roof]
    beyond = {
        k
        for c in end.covers
        for wall in tube.walls
        if wall in way.hung.near[c]
        for k in way.hung.beyond(c, wall)
    }
    above = [k for c in roof for k in way.hung.near[c] if k not in tube.walls and not way.hung.over(k, c)]
    way.fold_all(beyond)
    text = (
        f"Close the top: push {way.name(*sides)} in along their mountain folds, so that roof panels {way.name(*roof)} "
        "lean together over the folded corners"
    )
    if any(way.report.panels[k].duty is Duty.GUSSET for k in beyond):
        text += (
            f", and press fin {way.name(*above)} flat with the corners between; glue it, or hold it with a clip so that "
            "it opens again."
        )
        way.say(Do.GLUE, text, (*end.covers, *above))
    else:
        way.say(Do.FOLD, f"{text}, until handles {way.name(*above)} meet.", (*end.covers, *above))
