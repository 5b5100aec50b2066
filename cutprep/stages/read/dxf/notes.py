"""What reading left out, assumed or repaired, told so that the maker can act on it.

Every record of the drawing is drawn or counted here: nothing goes missing in silence, and a
drawing of which nothing remains is an error that says what was found instead.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

import numpy as np

from cutprep.errors import DrawingError, Place
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.lines import Index, Lines
from cutprep.stages.read.dxf.blocks import BlockGraph, Instances, find_odd_units
from cutprep.stages.read.dxf.looks import Seen
from cutprep.stages.read.dxf.records import Records
from cutprep.stages.read.dxf.shapes.clip import Clips
from cutprep.stages.read.dxf.shapes.entities import Remarks
from cutprep.stages.read.dxf.shapes.flat import FlatLines
from cutprep.stages.read.dxf.structure import Structure
from cutprep.tolerance import Tolerance

#: Places that one finding names; a drawing may hold thousands.
_MOST_PLACES = 50


def _kinds(names: str) -> list[str]:
    return names.split()


#: Kinds that become lines.
DRAWN = frozenset(_kinds("LINE 3DLINE ARC CIRCLE ELLIPSE LWPOLYLINE POLYLINE SPLINE HELIX 3DFACE MLINE"))
#: Kinds that belong to another record or frame the drawing.
_SILENT = frozenset(_kinds("INSERT VERTEX SEQEND VIEWPORT BLOCK ENDBLK"))


@dataclass(frozen=True, slots=True)
class _Group:
    code: str
    one: str
    many: str
    fix: str


_TEXT = _Group("text-left-out", "text", "texts", "To cut or draw a text, turn it into outlines first.")
_DIMENSION = _Group(
    "dimension-left-out", "dimension or leader", "dimensions and leaders",
    "To draw them, explode them into lines first.",
)  # fmt: skip
_FILL = _Group(
    "fill-left-out", "filled area", "filled areas",
    "If a filled area has no line round it, draw its outline.",
)  # fmt: skip
_PICTURE = _Group(
    "image-left-out", "picture or embedded file", "pictures and embedded files",
    "Trace a picture into lines if it is to be cut.",
)  # fmt: skip
_POINT = _Group("point-left-out", "point", "points", "Draw a small circle where a hole is meant.")
_ENDLESS = _Group(
    "endless-line-left-out", "endless construction line", "endless construction lines",
    "Trim it to a line if it is to be cut.",
)  # fmt: skip
_SOLID = _Group(
    "solid-left-out", "solid, surface or region", "solids, surfaces and regions",
    "Explode it into lines.",
)  # fmt: skip
_PROXY = _Group(
    "unknown-left-out", "object of another program", "objects of other programs",
    "Explode it into lines in the program that drew it.",
)  # fmt: skip

_TABLE = _Group("table-left-out", "table", "tables", "To draw a table, explode it into lines first.")

_LEFT_OUT: dict[str, _Group] = {
    **dict.fromkeys(_kinds("TEXT MTEXT ATTRIB ATTDEF RTEXT ARCALIGNEDTEXT SHAPE"), _TEXT),
    **dict.fromkeys(_kinds("DIMENSION ARC_DIMENSION LARGE_RADIAL_DIMENSION LEADER MULTILEADER MLEADER TOLERANCE"), _DIMENSION
    ),
    **dict.fromkeys(_kinds("HATCH SOLID TRACE MPOLYGON"), _FILL),
    **dict.fromkeys(_kinds("IMAGE WIPEOUT PDFUNDERLAY DWFUNDERLAY DGNUNDERLAY OLEFRAME OLE2FRAME"), _PICTURE
    ),
    "POINT": _POINT,
    "ACAD_TABLE": _TABLE,
    **dict.fromkeys(_kinds("RAY XLINE"), _ENDLESS),
    **dict.fromkeys(_kinds("3DSOLID BODY REGION SURFACE EXTRUDEDSURFACE LOFTEDSURFACE REVOLVEDSURFACE SWEPTSURFACE PLANESURFACE"
            " MESH"),
        _SOLID,
    ),
}  # fmt: skip
#: Records that draw nothing a plotter could follow, in any viewer.
_INVISIBLE = frozenset(_kinds("LIGHT SUN SECTION CAMERA GEOPOSITIONMARKER"))


@dataclass(slots=True)
class Account:
    """Everything that was seen on the way, by record number.

    Attributes
    ----------
    hidden
        Record and look of each line that does not show.
    flattened
        Lines that leave the plane: records of those that tilt, and of those that lie level above.
    taken
        Texts that mark a place for words.
    """

    walk: BlockGraph
    instances: Instances
    remarks: Remarks
    clips: Clips
    on_paper: list[int]
    hidden: list[tuple[int, Seen]]
    tilted: list[int] = field(default_factory=list)
    raised: list[int] = field(default_factory=list)
    taken: set[int] = field(default_factory=set)

    def flat(self, flat: FlatLines, record: Index, mm: float) -> None:
        """Take in what flattening saw: lines off the plane, and lines without length; `record` (m,) of each line."""
        gone = np.ones(len(record), bool)
        gone[flat.line] = False
        self.remarks.empty += record[gone].tolist()
        # A micron is far below what any tool follows, and above what files round to.
        off = 1e-3 * max(mm, 1.0)  # not a tolerance: rounding of coordinates in text
        tilted = flat.tilt > off
        self.tilted = record[flat.line[tilted]].tolist()
        self.raised = record[flat.line[~tilted & (np.abs(flat.height) > off)]].tolist()


def tell(
    structure: Structure, account: Account, lines: Lines, *, file: str, tolerance: Tolerance
) -> Findings:
    """Turn the account into findings.

    Parameters
    ----------
    structure
        The file in its sections.
    account
        What was drawn, left out and assumed.
    lines
        What came of it, mm.
    file
        Its name, for places.
    tolerance
        Limits of the drawing.

    Raises
    ------
    DrawingError
        When no line is left to cut.
    """
    teller = _Teller(structure.records, account, file)
    notes = [
        *teller.left_out(),
        *teller.hidden(),
        *teller.blocks(),
        *teller.clips(),
        *teller.block_units(find_odd_units(structure, account.walk)),
        *teller.shapes(),
        *_tell_repairs(structure, file),
        *_tell_size(lines, file, tolerance),
    ]
    if not len(lines):
        raise _nothing_to_cut(notes)
    return tuple(notes)


class _Teller:
    def __init__(self, records: Records, account: Account, file: str) -> None:
        self.records = records
        self.account = account
        self.file = file
        walk = account.walk
        self.shown = np.bincount(account.instances.block, minlength=len(walk.names))

    def places(self, found: list[int]) -> tuple[Place, ...]:
        unique = list(dict.fromkeys(found))[:_MOST_PLACES]
        return tuple(
            Place(
                file=self.file,
                line=self.records.line(i),
                element=self.records.name(i),
                layer=self.records.text(i, 8) or None,
            )
            for i in unique
        )

    def finding(self, code: str, problem: str, fix: str | None, found: list[int]) -> Finding:
        return Finding.of(
            code=code, problem=problem, fix=fix, places=self.places(found),
            measure=float(len(found)), unit="",
        )  # fmt: skip

    def left_out(self) -> list[Finding]:
        """Kinds that are not line work, as often as they appear."""
        owner = self.account.walk.owner
        groups: dict[_Group, list[int]] = {}
        kinds: dict[_Group, Counter[str]] = {}
        appear = np.where(owner >= 0, self.shown[np.maximum(owner, 0)], 0)
        for record in np.flatnonzero(appear).tolist():
            kind = self.records.kind[record]
            if kind in DRAWN or kind in _SILENT or kind in _INVISIBLE or record in self.account.taken:
                continue
            group = _LEFT_OUT.get(kind, _PROXY)
            times = int(appear[record])
            groups.setdefault(group, []).extend([record] * times)
            kinds.setdefault(group, Counter())[kind] += times
        return [
            self.finding(
                group.code,
                f"{_count(len(found), group.one, group.many)} ({', '.join(sorted(kinds[group]))}) "
                f"{'is' if len(found) == 1 else 'are'} left out",
                group.fix,
                found,
            )
            for group, found in groups.items()
        ]

    def hidden(self) -> list[Finding]:
        """Lines on layers that don't show, invisible ones, and those on printed sheets."""
        rows: dict[tuple[str, str], list[int]] = {}
        for record, seen in self.account.hidden:
            rows.setdefault((seen.layer, seen.hidden), []).append(record)
        notes = [
            self.finding(
                "hidden-left-out",
                f"{_count(len(found), 'line', 'lines')} on layer '{layer}' left out: "
                + ("invisible" if why == "invisible" else f"the layer or block is {why}"),
                "Show the layer in the program that drew it, if it is to be cut.",
                found,
            )
            for (layer, why), found in rows.items()
        ]
        paper = [i for i in self.account.on_paper if self.records.kind[i] not in _SILENT]
        if paper:
            notes.append(
                self.finding(
                    "paper-space-left-out",
                    f"{_count(len(paper), 'entity', 'entities')} on printed sheets (paper space) left out",
                    "Move to model space what is to be cut.",
                    paper,
                )
            )
        return notes

    def blocks(self) -> list[Finding]:
        """Inserts of which the block is not there or not read."""
        walk = self.account.walk
        used = self.shown > 0
        notes = []
        for code, found, why in (
            ("missing-block", walk.missing, "inserts a block that the file does not hold"),
            ("foreign-block", walk.foreign, "refers to another file, which is not read"),
        ):
            shown = [i for i in found if used[walk.owner[i]]]
            if shown:
                names = sorted({self.records.text(i, 2) for i in shown})
                notes.append(
                    self.finding(
                        code,
                        f"{_count(len(shown), 'insert', 'inserts')} left out ({', '.join(names[:5])}): each {why}",
                        "Bind or explode it in the program that drew it, and save again.",
                        shown,
                    )
                )
        return notes

    def clips(self) -> list[Finding]:
        """Inserts that drawing programs show only within a boundary."""
        used, owner, clips = self.shown > 0, self.account.walk.owner, self.account.clips
        cut = [i for i in sorted(clips.lost - set(clips.ignored)) if used[owner[i]]]
        whole = [i for i in clips.ignored if used[owner[i]]]
        notes = []
        if cut:
            sentence = _count(
                len(cut), "insert is clipped; its lines were", "inserts are clipped; their lines were"
            )
            notes.append(self.finding("clip-applied", f"{sentence} cut back to the clip boundary", None, cut))
        if whole:
            sentence = _count(
                len(whole),
                "insert is clipped in a way that is not followed; it is",
                "inserts are clipped in a way that is not followed; they are",
            )
            notes.append(
                self.finding(
                    "clip-ignored",
                    f"{sentence} read whole, what the clip hides too",
                    "Explode the block and trim it, or take the clip off.",
                    whole,
                )
            )
        return notes

    def block_units(self, odd: list[int]) -> list[Finding]:
        """Blocks that name another unit than the drawing; their inserts carry the scale already."""
        names = self.account.walk.names
        used = [b for b in odd if self.shown[b]]
        if not used:
            return []
        return [
            Finding.of(
                code="block-unit",
                problem=f"{_count(len(used), 'block names', 'blocks name')} another unit than the drawing "
                f"({', '.join(names[b] for b in used[:5])}); the scale of each insert was taken as it stands",
                fix="Measure one length of each such block.",
                places=(Place(file=self.file),),
                measure=float(len(used)),
                unit="",
            )
        ]

    def shapes(self) -> list[Finding]:
        """Entities without length, with lacking data, wide ones, and those off the plane."""
        remarks = self.account.remarks
        rows = (
            ("broken-left-out", remarks.broken, "entity with lacking or contradicting data is left out",
             "entities with lacking or contradicting data are left out", "Draw it again."),
            ("no-length-left-out", remarks.empty, "entity without length is left out",
             "entities without length are left out", ""),
            ("wide-line", remarks.wide, "polyline has a width; its centre line is read",
             "polylines have a width; their centre lines are read", ""),
            ("thick-line", remarks.thick, "entity has a thickness upwards; its base line is read",
             "entities have a thickness upwards; their base lines are read", ""),
            ("projected", self.account.tilted, "line does not lie level; it is read as seen from above",
             "lines do not lie level; they are read as seen from above", "Check their lengths, or draw them flat."),
            ("raised", self.account.raised, "line lies above or below the drawing's plane; it is read as seen from above",
             "lines lie above or below the drawing's plane; they are read as seen from above", ""),
        )  # fmt: skip
        used = self.shown > 0
        owner = self.account.walk.owner
        notes = []
        for code, found, one, many, fix in rows:
            shown = [i for i in dict.fromkeys(found) if owner[i] < 0 or used[owner[i]]]
            if shown:
                notes.append(self.finding(code, _count(len(shown), one, many), fix, shown))
        return notes


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"


def _tell_repairs(structure: Structure, file: str) -> list[Finding]:
    return [
        Finding.of(
            code="repaired",
            problem=sentence,
            fix="Save the drawing again in the program that drew it.",
            places=(place.within(Place(file=file)),),
        )
        for sentence, place in structure.repairs[:_MOST_PLACES]
    ]


def _tell_size(lines: Lines, file: str, tolerance: Tolerance) -> list[Finding]:
    left, bottom, right, top = lines.bounds
    size = max(right - left, top - bottom)
    if size <= tolerance.reach:
        return []
    return [
        Finding.of(
            code="huge-drawing",
            problem=f"the drawing is {size / 1000:,.0f} m wide or high; no mat is longer than "
            f"{tolerance.reach / 1000:.0f} m",
            fix="Check the unit that the file states.",
            places=(Place(file=file),),
            measure=size,
            limit=tolerance.reach,
        )
    ]


def _nothing_to_cut(notes: list[Finding]) -> DrawingError:
    if not notes:
        return DrawingError(
            "there is nothing to cut: the drawing is empty", fix="Draw some lines and save again."
        )
    found = "; ".join(note.problem for note in notes[:6])
    fixes = dict.fromkeys(note.fix for note in notes[:6] if note.fix)
    return DrawingError(f"there is nothing to cut: {found}", fix=" ".join(fixes))
