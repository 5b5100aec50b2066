"""What a maker may ask of a job, what is made of it, and what is refused: read and kept as pages are (`tests.readings`).

Nothing is laid out here: settings and job files are read, and what stands in them is told as it is understood.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

from cutprep.errors import CutprepError
from cutprep.job.build import settings_data
from cutprep.job.file import load_job
from cutprep.job.job import Job
from cutprep.job.settings.remembered import own_words, remembered, settings_file
from cutprep.job.settings.remembering import absolute, changed, named, settings_text
from cutprep.job.settings.resolve import Given, Source, as_typed, read_layer
from cutprep.job.settings.table import SETTINGS
from cutprep.job.words import size_in_mm, title_of
from cutprep.tables import Table
from tests import kept_readings as jobs
from tests.kept_jobs import hers, plain

#: Name of a setting to what is given for it, as an option's word or from Python; None: whatever form it has.
GIVEN: Mapping[str, tuple[Any, ...]] = {
    "layers": ("lid=cut", ["lid=score", "a=b=cut"], {"lid": "mountain"}, "lid", "=cut", "lid=fold", {}, {"lid": 3}),
    "colours": ("#ff0000=cut", "red=score", {"#0F0": "cut"}, "#ff00=cut", []),
    "units": ("in", "mm", "ell", 3),
    "expect": ("3x2in", (76.2, 50.8), "3x2", "0x2mm"),
    "pieces": (
        "lid=kraft-280", "lid=kraft-280,2", "lid=,2", ["lid=a", "base=b,3"], "lid", "=a", "lid=a,two", "lid=a,0",
        ["lid=a", "LID=b"], [{"name": "lid"}], [{"name": "lid", "stok": "a"}], [],
    ),
    "leave": ("closed-gap@70,12.5", "closed-gap@70", "closed-gap", "nothing@1,2", [{"code": "closed-gap", "at": [1, 2]}], "trim@a,b", []),
    "fold_work": (100, 0, "x"),
    "stock": ("card-160", Path("mine.toml"), 3),
    "caliper": ("0.3mm", 0.3, "0.01in", "0mm", "3", "-1mm"),
    "card_grain": ("90", 45.5, "181", "-1"),
    "speed_factor": ("0.5", "0", "9"),
    "cut_force": ("95", "-1"),
    "sheet": ("A4", "letter", (200, 100.5), "200x100mm"),
    "at_hand": (4, 0, 1.5, True),
    "price": ("0.4", "-1", "dear"),
    "names": ("names.txt", ["Ida", "Bo"], Path("names.txt"), []),
    "least_height": ("2mm", 3, "0mm"),
    "font": ("single strokes", "mine.ttf", Path("mine.ttf")),
    "copies": (3, 0, 10**10),
    "spare": ("5", "150"),
    "amount": ("sheet", "stock", "all", "stok"),
    "turns": ("half", "free", "twice"),
    "keep_out": (
        "1mm,2mm,30mm,40mm", "used.svg", "used.svg:lid", ["0in,0in,1in,1in", "a.dxf"], "1mm,2mm", "3mm,2mm,3mm,4mm",
        "1mm,4mm,3mm,4mm", "1,2,3,4", [],
    ),
    "align": ("1mm,2mm=3mm,4mm", ["0mm,0mm=1mm,1mm", "9in,0in=9in,1mm"], "1mm,2mm", "1,2=3,4", []),
    "passes_force": ("80,120", [80, 120.5], "80,x", [], [True], "nan"),
    "bridges_count": (2, -1),
    "perforation_cut": ("3mm", "0mm"),
    "language": ("gcode", "svg", "hpgel"),
    "unit": ("in", "mm", "cm"),
    "also": ("svg", ["svg", "pdf", "svg"], "sound", []),
    "students": (3, -1),
    "mirror": (True, "yes"),
    "seed": (0, 2**40, -1),
}  # fmt: skip


def _read(name: str, given: Any) -> str:
    """What a value is understood as, what a file then holds, and how it is said; or why it is refused."""
    setting = SETTINGS[name]
    try:
        layer = read_layer([setting], Given({name: given}), Source.OPTION, as_typed)
        value = layer[name].value
        plain = setting.form.plain(value)
        again = setting.form.read(Table({name: plain}), name, as_typed)
    except CutprepError as fault:
        return f"{type(fault).__name__}: {fault}"
    assert again == value, (name, given)
    return f"{value!r}, kept as {plain!r}, said {layer[name].said!r}"


def _settings() -> Iterator[str]:
    for setting in SETTINGS.values():
        form = setting.form
        yield (
            f"{setting.name}: {setting.key or '-'} {setting.own_key} {setting.option} {setting.also_option} "
            f"{setting.scope.name} {setting.group.name} {form.metavar} {form.choices} {setting.said_default!r}"
            f"{' remembered' if setting.remembered else ''}{' repeated' if form.repeated else ''}"
        )
        yield from (f"  {given!r}: {_read(setting.name, given)}" for given in GIVEN.get(setting.name, ()))
    for given in ({"gapp": 3}, {"no": 1}):
        try:
            Given(given)
        except CutprepError as fault:
            yield f"{given}: {fault}"
    labelled = Given({"keep_out": ["1,2,3,4"], "pieces": [{"name": ""}]}, lambda name: f"--{name}")
    for name in ("keep_out", "pieces"):
        try:
            read_layer([SETTINGS[name]], labelled, Source.OPTION, as_typed)
        except CutprepError as fault:
            yield str(fault)
    for one in ("3x2in", (76.2, 50.8), (1, 0)):
        try:
            yield f"{one}: {size_in_mm(one)}"
        except CutprepError as fault:
            yield f"{one}: {fault}"
    drawings = [Path("fair") / f"{name}.svg" for name in ("lid", "base", "tag", "band")]
    yield from map(title_of, (drawings[:1], drawings[:3], drawings, [*drawings, Path("other/box.svg")]))


STOCK = '[[stock]]\nname = "meadow"\nlike = "card-220"\n'
TWO = f'{STOCK}[[stock]]\nname = "plain"\nlike = "card-160"\n'
CARD = '[[template]]\nfile = "card.svg"\n'
TRAY = '[[template]]\nfile = "seed-tray.svg"\n'
STRIPS = '[[template]]\nfile = "strips.svg"\n'
#: Job files.
FILES = (
    CARD, f"{CARD}copies = 2\nspare = 10\n", f"sets = 3\n{CARD}copies = 2\nspare = 10\n{STRIPS}",
    f"{STOCK}{CARD}", f'{TWO}{CARD}stock = "plain"\n{STRIPS}stock = "meadow"\n', f"{TWO}{CARD}", f'{TWO}{CARD}stock = "plane"\n',
    (f'{STOCK}title = "Meadow"\ncaliper = "0.3mm"\ngrain = 90\npasses = 2\n[[stock.sheet]]\nsize = "A4"\nat_hand = 3\nprice = 0.4\n'
    f'[[stock.sheet]]\nsize = "8x10in"\n{CARD}'),
    f"{STOCK}[[stock.sheet]]\nprice = 0.4\n{CARD}", f'{STOCK}[[stock.sheet]]\nsize = "A9"\n{CARD}', f"{STOCK}cut_force = 999\n{CARD}",
    f'[[stock]]\nname = "card-160"\n{CARD}', f'[[stock]]\nname = "card 160"\n{CARD}', f'stock = "card-160"\nsheet = "A4"\n{CARD}',
    'gap = "4mm"\n', f'places = "gone.json"\n{CARD}', f'font = "gone.ttf"\n{CARD}', f'font = "gone"\n{CARD}', '[[template]]\nfile = "bookmark.svg"\nnames = "gone.txt"\n',
    f'{CARD}leave = [{{ code = "closed-gap", at = [1, 2] }}]\n', f'machine = "gone.toml"\n{CARD}', f'drawn_in = "ell"\n{CARD}',
    "[[template]]\ncopies = 2\n", '[[template]]\nfile = "nothing.svg"\n', f"{CARD}copies = 0\n", f"{CARD}copyes = 2\n",
    f'{CARD}[[template.place]]\nsheet = 2\nx = "10mm"\ny = "20mm"\nturn = 90\nmirror = true\nloose = true\n[[template.place]]\nx = "1in"\ny = "0mm"\n',
    f'{CARD}[[template.place]]\nx = "10mm"\ny = "20mm"\npiece = "lid"\n', f'{CARD}[[template.place]]\nx = "10mm"\n',
    f'{CARD}[[template.place]]\nx = "10mm"\ny = "20mm"\nturn = 400\n', f'{CARD}[[template.place]]\nx = "10mm"\ny = "20mm"\nsheet = 0\n',
    f'{STRIPS}[[template.piece]]\nname = "2"\nstock = "kraft-280"\ncount = 3\n', f'{STOCK}{STRIPS}[[template.piece]]\nname = "2"\nstock = "kraft"\n',
    f"{STRIPS}pieces_apart = true\ncopies = 2\n", f'{STRIPS}[[template.piece]]\nname = "7"\n',
    f'layers = {{ lid = "cut" }}\n{CARD}{STRIPS}layers = {{ base = "score" }}\n', f'layers = {{ lid = "fold" }}\n{CARD}',
    f'keep = "cut"\n{CARD}', f'mend = true\nkeep = "cut"\n{CARD}', f'students = 2\nalso = ["class-sheet", "svg"]\n{CARD}', f'also = ["class-sheet"]\n{CARD}',
    f'language = "gcode"\n{CARD}', f'machine = "belt-servo-400"\n{CARD}', f'machine = "belt-servo-400"\nlanguage = "hpgl"\n{CARD}',
    f'alone = true\nyours = ["gap"]\ngap = "4mm"\n{CARD}', f'together = ["Glue the base.", "Push in the strips."]\n{CARD}',
    f'{TRAY}{STRIPS}[[fits]]\nouter = "seed-tray.svg"\ninner = "strips.svg#2"\n', f'{TRAY}[[fits]]\nouter = "seed-tray.svg"\ninner = "lid.svg"\n',
    f'{TRAY}[[fits]]\nouter = "seed-tray.svg"\nholds = ["2in", "1in", "0.5in"]\n', f'{TRAY}[template.fold]\nthickness = "1mm"\n',
    f'{TRAY}grain = 90\nturns = "half"\nmirror = true\ndrawn_in = "in"\n', f'offcut = "meadow-1"\n{CARD}', f"[passes]\ncount = 2\nforce = [60, 90]\n{CARD}",
    f"[passes]\nforce = [60, 999]\n{CARD}", f'[bridges]\ncount = 2\nwidth = "1mm"\n[perforation]\ncut = "4mm"\ngap = "2mm"\n{CARD}',
    f"[bridges]\nwidht = 1\n{CARD}", f'keep_out = [{{ left = "1mm", bottom = "2mm", right = "3mm", top = "4mm" }}]\n{CARD}',
    f'[[keep_out]]\ndrawing = "tag.svg"\nlayer = "cut"\n{CARD}', f'[[keep_out]]\ndrawing = "gone.svg"\n{CARD}',
    f'[[align]]\nplan = ["1mm", "2mm"]\nmat = ["3mm", "4mm"]\n{CARD}', f'[[align]]\nplan = ["1mm"]\nmat = ["3mm", "4mm"]\n{CARD}', "template = 3\n",
)  # fmt: skip


def _understood(job: Job) -> Iterator[str]:
    """A job as it was read: its cards with what is made on them, and what was said in the file."""
    for batch in job.batches:
        sizes = [(s.name, round(s.width, 1), round(s.height, 1), s.at_hand, s.price) for s in batch.sheets]
        stock = batch.stock
        yield f"  {stock.name} '{stock.title}' {stock.caliper} mm, grain {stock.grain}, {stock.passes} passes: {sizes}"
        for item in batch.items:
            told = f"{item.name} x {item.copies}, {item.in_set} a set, row {item.row}, only {item.only!r}, less {item.less}"
            yield f"    {told}, {item.turns} {item.mirror} {item.grain} {item.units} {sorted(item.rules.quiet)}"
        yield from (f"    {spot}" for spot in batch.spots)
        for path, layer in batch.keep_out_drawn:
            yield f"    beside {path.name} {layer}"
    said = settings_data(job)
    tables = [("", said), *((f"{k}.", one) for k in ("stock", "template") for one in said.pop(k))]
    for head, table in tables:
        yield from (
            f"    {head}{name} = {row['value']!r} ({row['from']})"
            for name, row in table.items()
            if row["from"] not in ("built in", "profile")
        )
    more = (job.title, job.language, job.sets, job.amount, job.also, job.students, job.unit, job.together)
    yield f"  {more} {len(job.keep_out_drawn)} drawn {job.cutting.passes} {job.cutting.bridges} {job.cutting.perforation}"
    yield from (f"  {wanted}" for wanted in job.fits)


def _files() -> Iterator[str]:
    with tempfile.TemporaryDirectory(prefix="cutprep-later-") as name, hers():
        folder = Path(name)
        for file, text in jobs.FILES.items():
            (folder / file).write_text(text, encoding="utf-8")
        path = folder / "fair.toml"
        for text in FILES:
            path.write_text(text, encoding="utf-8")
            yield " / ".join(text.splitlines())
            try:
                yield from _understood(load_job(path))
            except CutprepError as fault:
                yield f"  {type(fault).__name__}: {str(fault).replace(str(folder), 'HERE')}"


BEFORE = '# mine\ngap = "4mm"  # tight\nsheet = "A4"\n[layers]\nlid = "cut"\n[passes]\ncount = 2\n'
#: What is remembered and forgotten: the text before, what is given, what is forgotten.
CHANGES: tuple[tuple[str, Mapping[str, Any], tuple[str, ...]], ...] = (
    ("", {"gap": "3mm"}, ()), (BEFORE, {"gap": "3mm", "margin": "6mm"}, ()), (BEFORE, {"layers": {"LID": "score", "base": "cut"}}, ()),
    (BEFORE, {}, ("gap",)), (BEFORE, {}, ("GAP", "layers.lid")), (BEFORE, {}, ("layers",)), (BEFORE, {}, ("layers.base",)),
    (BEFORE, {}, ("margin",)), (BEFORE, {}, ("gapp",)), (BEFORE, {"passes_count": 3, "passes_by": "pieces"}, ()), (BEFORE, {}, ("passes_count",)),
    ("passes_count = 2\n", {"passes_count": 3}, ()), ("passes = 2\n", {"passes_count": 3}, ()), ("gap = \n", {"gap": "3mm"}, ()),
    ('units = "in"\n', {"units": "mm"}, ()), ("", {"colours": {"#ff0000": "cut"}, "stock": "card-160", "unit": "in"}, ()),
)  # fmt: skip


def _remembered() -> Iterator[str]:
    with hers():
        for before, given, forgotten in CHANGES:
            yield f"{before!r} {dict(given)} {forgotten}"
            try:
                yield from (f"| {row}" for row in changed(before, given, forgotten).splitlines())
            except CutprepError as fault:
                yield f"  {fault}"
    yield " ".join(
        map(named, ("gap", "--gap", " GAP ", "blade-offset", "passes.count", "drawn_in", "no", "layers.lid"))
    )
    with hers() as folder:
        yield repr((remembered(), own_words(), settings_text()))
        here = folder / "mine.ttf"
        here.touch()
        told = [
            absolute(*pair)
            for pair in (
                ("machine", "a.toml"),
                ("machine", "a"),
                ("font", str(here)),
                ("font", "a.ttf"),
                ("gap", "a"),
            )
        ]
        yield " ".join(Path(one).name if Path(one).is_absolute() else f"({one})" for one in map(str, told))
        for text in (
            'gap = "4mm"\nlengths_in = "in"\nlike = "x"\n', 'gap = "4mm"\nsheet = "A4"\nseed = 3\n[passes]\ncount = 2\n', "gap = 3\n",
            'drawn_in = "in"\nunits = "mm"\n', 'units = "mm"\n', 'title = "mine"\n', '[layers]\nlid = "cut"\n', b"\xff\xfe",
        ):  # fmt: skip
            settings_file().write_bytes(text if isinstance(text, bytes) else text.encode())
            yield repr(text)
            for ask in (remembered, own_words, settings_text):
                try:
                    found = ask()
                    rows = (
                        {k: (v.said, v.source.value) for k, v in found.items()}
                        if ask is remembered
                        else found
                    )
                    yield f"  {rows}"
                except CutprepError as fault:
                    yield f"  {fault}"


def _rows(read_it: Callable[[], Iterator[str]]) -> Callable[[], list[str]]:
    return lambda: list(plain(read_it()))


#: Name of a reading to what is read.
READINGS: dict[str, Callable[[], list[str]]] = {
    "asked-settings": _rows(_settings),
    "asked-files": _rows(_files),
    "asked-remembered": _rows(_remembered),
}
