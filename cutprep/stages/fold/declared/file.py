"""What the maker says about folding, in a small file beside the drawing.

Everything is named by a point in the drawing, because numbers of panels change when the drawing
does:

    thickness = "0.5mm"
    inside = "up"            # the side seen in the drawing becomes the inside

    [[angle]]                # this score folds by so much
    at = [90, 30]
    deg = 90

    [[mate]]                 # these two sides meet
    a = [30, 15]
    b = [15, 30]

    [[flap]]                 # this panel is a flap and lies on that one
    at = [24, 15]
    onto = [15, 75]

    [[gather]]               # these corners come together
    points = [[25, -35], [75, -35], [125, -35]]

    [[open]]                 # this side stays free
    at = [105, 0]

    [expect]
    inside = ["150mm", "90mm", "30mm"]
    tolerance = "0.5mm"
    folds_flat = false
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from cutprep.errors import NOWHERE, Place
from cutprep.model.folded import FoldReport
from cutprep.tables import Table

XY = tuple[float, float]


@dataclass(frozen=True, slots=True)
class DeclaredPoint:
    """A point in the drawing, mm, and where it was said; `said` as it was said, if the drawing was turned since."""

    xy: XY
    place: Place = NOWHERE
    said: XY | None = None

    @property
    def as_said(self) -> XY:
        """The point as the maker gave it, mm."""
        return self.xy if self.said is None else self.said


@dataclass(frozen=True, slots=True)
class Expect:
    """What the maker expects of the result.

    Attributes
    ----------
    inside
        Length, width, height, mm; a check against a box that closes wrongly.
    tolerance
        Largest difference that is fine, mm.
    folds_flat
        The part is to lie flat when folded.
    """

    inside: tuple[float, float, float] | None = None
    tolerance: float = 0.5
    folds_flat: bool = False


@dataclass(frozen=True, slots=True)
class FoldDeclarations:
    """Declarations; what is declared is never overridden, the rest is inferred.

    Attributes
    ----------
    thickness
        Of the card, mm, or None when not said.
    inside
        "up", "down", or "" when not said.
    grain
        Direction of the grain in the drawing, degrees from x, or None.
    angles
        Scores and their fold angles, degrees.
    mates
        Pairs of sides that meet.
    flaps
        Panels that are flaps, and the panels they lie on (or None).
    gathers
        Groups of corners that come together.
    opens
        Sides that meet nothing.
    """

    thickness: float | None = None
    inside: str = ""
    grain: float | None = None
    angles: tuple[tuple[DeclaredPoint, float], ...] = ()
    mates: tuple[tuple[DeclaredPoint, DeclaredPoint], ...] = ()
    flaps: tuple[tuple[DeclaredPoint, DeclaredPoint | None], ...] = ()
    gathers: tuple[tuple[DeclaredPoint, ...], ...] = ()
    opens: tuple[DeclaredPoint, ...] = ()
    expect: Expect = Expect()

    def within(self, bounds: tuple[float, float, float, float]) -> FoldDeclarations:
        """What is said of one piece of a drawing: that which names places within its bounds alone, mm."""
        left, bottom, right, top = bounds

        def there(*spots: DeclaredPoint | None) -> bool:
            return all(
                spot is None or (left <= spot.xy[0] <= right and bottom <= spot.xy[1] <= top)
                for spot in spots
            )

        return replace(
            self,
            angles=tuple(one for one in self.angles if there(one[0])),
            mates=tuple(one for one in self.mates if there(*one)),
            flaps=tuple(one for one in self.flaps if there(*one)),
            gathers=tuple(one for one in self.gathers if there(*one)),
            opens=tuple(one for one in self.opens if there(one)),
        )


def load_declared(path: Path) -> FoldDeclarations:
    """Read declarations from a TOML file.

    Raises
    ------
    JobError
        With file, line and key.
    """
    return declared_from(Table.load(path))


def declared_from(table: Table) -> FoldDeclarations:
    """Read declarations from a table.

    Raises
    ------
    JobError
        With file, line and key.
    """
    declared = FoldDeclarations(
        thickness=table.length("thickness", 0.0, most=10.0) if table.has("thickness") else None,
        inside=table.choice("inside", ("up", "down", ""), ""),
        grain=table.number_in("grain", 0.0, least=-360.0, most=360.0) if table.has("grain") else None,
        angles=tuple(
            (_spot(row, "at"), row.number_in("deg", None, least=-180.0, most=180.0))
            for row in table.tables("angle")
        ),
        mates=tuple((_spot(row, "a"), _spot(row, "b")) for row in table.tables("mate")),
        flaps=tuple(
            (_spot(row, "at"), _spot(row, "onto") if row.has("onto") else None)
            for row in table.tables("flap")
        ),
        gathers=tuple(_spots(row, "points") for row in table.tables("gather")),
        opens=tuple(_spot(row, "at") for row in table.tables("open")),
        expect=_expect(table.table("expect")),
    )
    table.asked += ["thickness", "grain"]
    table.finish()
    for name, known in _KEYS.items():
        for row in table.tables(name):
            row.asked += known
            row.finish()
    return declared


_KEYS = {
    "angle": ("at", "deg"),
    "mate": ("a", "b"),
    "flap": ("at", "onto"),
    "gather": ("points",),
    "open": ("at",),
}


def _spot(row: Table, key: str) -> DeclaredPoint:
    return DeclaredPoint(row.point(key), row.fail(key, "").place)


def _spots(row: Table, key: str) -> tuple[DeclaredPoint, ...]:
    place = row.fail(key, "").place
    return tuple(DeclaredPoint(xy, place) for xy in row.points(key))


def _expect(table: Table) -> Expect:
    inside = table.lengths("inside", 3, ()) if table.has("inside") else ()
    table.asked.append("inside")
    expect = Expect(
        inside=(inside[0], inside[1], inside[2]) if inside else None,
        tolerance=table.length("tolerance", 0.5),
        folds_flat=table.flag("folds_flat", False),
    )
    table.finish()
    return expect


def as_toml(report: FoldReport) -> str:
    """Write what was found as declarations, to be pasted into the maker's file and corrected."""
    rows = [f"# {report.name}: found, not declared"] if report.mates else []
    for mate in report.mates:
        a, b = (side.mean(axis=0) for side in (mate.side_a, mate.side_b))
        rows += ["[[mate]]", f"a = {_xy(a)}", f"b = {_xy(b)}", ""]
    for flap in report.flaps:
        rows += ["[[flap]]", f"at = {_xy(report.panels[flap.panel].inner_point)}"]
        if flap.target is not None:
            rows.append(f"onto = {_xy(report.panels[flap.target].inner_point)}")
        rows.append("")
    return "\n".join(rows)


def _xy(xy: Sequence[float]) -> str:
    return f"[{float(xy[0]):.2f}, {float(xy[1]):.2f}]"
