"""Mending, folding, looking, drawing, job files, calibrating: as a maker types them."""

from __future__ import annotations

import json
import tempfile
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

import cutprep
from cutprep.cli.app import app
from cutprep.profile.machine_table import load_machine
from cutprep.stages.write.svg_file import write_svg
from tests.kept_readings import FAULTY
from tests.nets import tray

SAMPLES = Path(__file__).parents[2] / "samples"


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(app, [str(w) for w in words])


def good(*words: str | Path) -> str:
    result = run(*words)
    assert result.exit_code == 0, result.output
    return result.stdout


@pytest.mark.parametrize("suffix", ["svg", "dxf"])
@pytest.mark.parametrize("name", ["jar-carton", "display-tray", "swing-tag"])
def test_mended_samples_have_no_findings_and_can_be_prepared(name: str, suffix: str, tmp_path: Path) -> None:
    out = tmp_path / f"mended.{suffix}"
    # The carton's outline was scored by mistake, the tray's fold was cut by mistake.
    keep = "cut" if name == "jar-carton" else "score"
    good("mend", SAMPLES / "hand-drawn" / f"{name}.{suffix}", "--keep", keep, "--out", out)
    found = json.loads(good("check", out, "--json"))["findings"]
    assert not [f for f in found if f["severity"] != "note" and f["code"] != "tuck-tight"], found
    clean = json.loads(good("check", SAMPLES / f"{name}.{suffix}", "--json"))
    mended = json.loads(good("check", out, "--json"))
    total = sum(row["length_mm"] for row in clean["layers"])
    if name == "swing-tag":
        assert sum(row["length_mm"] for row in mended["layers"]) == pytest.approx(total, abs=0.05)
    good("prepare", out, "--copies", "2", "--effort", "quick", "--out", tmp_path / "o")
    again = tmp_path / f"again.{suffix}"
    good("mend", out, "--keep", keep, "--out", again)
    assert "0 changes" in good("mend", out, "--keep", keep, "--out", again, "--replace")


def test_a_score_under_a_cut_is_left_and_said_unless_asked(tmp_path: Path) -> None:
    source = SAMPLES / "hand-drawn" / "jar-carton.svg"
    result = run("mend", source, "--out", tmp_path / "m.svg")
    assert result.exit_code == 1
    assert "say which is to stay: --keep cut, score or outline" in result.stdout
    picture = tmp_path / "both.svg"
    good("mend", source, "--keep", "cut", "--out", tmp_path / "n.svg", "--picture", picture)
    both = picture.read_text()
    assert (
        both.index(">before</text>") < both.index(">mended</text>") < both.index('<g transform="translate(')
    )
    assert both.count('<g transform="translate(') == 2  # the two pictures


def test_mend_never_overwrites_its_source(tmp_path: Path) -> None:
    source = tmp_path / "tag.svg"
    source.write_bytes((SAMPLES / "hand-drawn" / "swing-tag.svg").read_bytes())
    before = source.read_bytes()
    assert run("mend", source, "--out", source, "--replace").exit_code == 2
    assert run("mend", source, "--out", tmp_path / "x.pdf").exit_code == 2
    assert run("mend", source, "--keep", "all", "--out", tmp_path / "x.svg").exit_code == 2
    assert source.read_bytes() == before


def test_prepare_can_mend_first(tmp_path: Path) -> None:
    good("prepare", SAMPLES / "hand-drawn" / "swing-tag.svg", "--mend", "--out", tmp_path / "o")
    data = json.loads((tmp_path / "o" / "job.json").read_text())
    codes = {f["code"] for f in data["findings"]}
    assert "removed-double" in codes
    assert not [f for f in data["findings"] if f["severity"] == "error"]


def test_fold_tells_size_and_volume_of_the_tray() -> None:
    """Inside as drawn from: 132 x 78 x 30 mm; volume of the scores' box 132.3 x 78.3 x 30.15 (plain arithmetic)."""
    data = json.loads(good("fold", SAMPLES / "display-tray.svg", "--thickness", "0.3mm", "--json"))
    (part,) = data["parts"]
    assert part["closes"] is True
    assert sorted(part["inside_mm"]) == pytest.approx([30, 78, 132], abs=0.01)
    assert part["volume_mm3"] == pytest.approx(132.3 * 78.3 * 30.15, rel=1e-4)
    assert part["seam_error_mm"] < 0.01
    assert len(part["panels"]) == 9
    assert len(part["hinges"]) == 8


@pytest.mark.parametrize(("wall", "code"), [(30.0, 0), (34.0, 1)])
@pytest.mark.parametrize("more", [[], ["--json"]], ids=["words", "json"])
def test_fold_ends_with_1_where_a_part_does_not_close(
    wall: float, code: int, more: list[str], tmp_path: Path
) -> None:
    """A script may go by it; a tag, which is not meant to close, is no fault."""
    net = tmp_path / "tray.svg"
    net.write_text(write_svg(tray(far_wall=wall).drawing().lines), encoding="utf-8")
    assert run("fold", net, *more).exit_code == code
    assert run("fold", SAMPLES / "swing-tag.svg", *more).exit_code == 0


def test_fold_ends_with_1_where_it_tells_an_error(tmp_path: Path) -> None:
    """An outline that stays open is not folded at all: no verdict, but an error in words."""
    (tmp_path / "open.svg").write_text(FAULTY, encoding="utf-8")
    result = run("fold", tmp_path / "open.svg")
    assert "1 error   drawing-first" in result.output
    assert result.exit_code == 1


def test_fold_pictures_exports_and_holding(tmp_path: Path) -> None:
    words = ["--picture", tmp_path / "f.svg", "--export", tmp_path / "f.fold", "--holds", "40x40x25mm"]
    text = good("fold", SAMPLES / "display-tray.svg", *words)
    assert "At least 3 of 40 x 40 x 25 mm fit, standing 25 mm high on 40 x 40 mm." in text
    assert (tmp_path / "f.svg").read_text().startswith("<svg")
    assert json.loads((tmp_path / "f.fold").read_text())["file_spec"] == 1.2
    good("fold", SAMPLES / "display-tray.svg", "--export", tmp_path / "f.obj")
    assert run("fold", SAMPLES / "display-tray.svg", "--export", tmp_path / "f.doc").exit_code == 2
    assert run("fold", SAMPLES / "display-tray.svg", "--holds", "40x40mm").exit_code == 2
    words = ["--holds", "4x3x2in", "--inches"]
    sentence = "4 x 3 x 2 in does not fit: the inside is 5.197 x 3.071 x 1.181 in."
    assert sentence in good("fold", SAMPLES / "display-tray.svg", *words)
    told = run("fold", SAMPLES / "display-tray.svg", *words, "--json").stdout
    assert json.loads(told)["parts"][0]["holds"] == sentence
    cartons = ["--holds", SAMPLES / "jar-carton.svg", "--clearance", "1mm"]
    # Two rows of three hexagons 42 mm from corner to corner: 3 x 42 + 2 in 131 mm, 2 x 36.3 + 1 in 77 mm.
    assert "at least 6 boxes fit with 1 mm between them" in good(
        "fold", SAMPLES / "display-tray.svg", *cartons
    )


def test_each_part_is_exported_and_replaced_when_asked(tmp_path: Path) -> None:
    run("template", "tray-with-lid", "--out", tmp_path / "box.svg")
    words = ("fold", tmp_path / "box.svg", "--export", tmp_path / "box.obj")
    good(*words)
    exported = sorted(file.name for file in tmp_path.glob("*.obj"))
    assert len(exported) == 2
    assert run(*words).exit_code == 2
    for name in exported:
        (tmp_path / name).write_text("old")
    good(*words, "--replace")
    assert all("v " in (tmp_path / name).read_text() for name in exported)


def test_look_draws_any_machine_file(tmp_path: Path) -> None:
    file = tmp_path / "a.hpgl"
    file.write_text("IN;SP1;PU400,400;PD4000,400,4000,4000,400,400;PU0,0;SP0;")
    good("look", file, "--picture", tmp_path / "a.svg")
    assert "<path" in (tmp_path / "a.svg").read_text()
    assert run("look", file, "--picture", tmp_path / "a.svg").exit_code == 2
    assert run("look", file, "--picture", tmp_path / "a.bmp").exit_code == 2


def test_check_draws_numbered_markers(tmp_path: Path) -> None:
    picture = tmp_path / "p.svg"
    assert run("check", SAMPLES / "hand-drawn" / "swing-tag.svg", "--picture", picture).exit_code == 1
    text = picture.read_text()
    assert ">1</text>" in text
    assert ">2</text>" in text
    png = tmp_path / "p.png"
    assert run("check", SAMPLES / "hand-drawn" / "swing-tag.svg", "--picture", png).exit_code == 1
    assert png.read_bytes().startswith(b"\x89PNG")


def test_templates_are_listed_drawn_and_refused(tmp_path: Path) -> None:
    assert "tray" in good("template")
    assert "inside length" in good("template", "tray")
    out = tmp_path / "t.dxf"
    good("template", "tray", "length=6in", "width=3 1/2 in", "height=1-1/8in", "--out", out)
    assert run("template", "tray", "length=6in", "--out", out).exit_code == 2
    assert run("template", "tray", "length=6", "--out", tmp_path / "u.svg").exit_code == 2
    assert run("template", "tray", "length", "--out", tmp_path / "u.svg").exit_code == 2
    assert run("template", "tary", "--out", tmp_path / "u.svg").exit_code == 2
    assert run("template", "tray", "--out", tmp_path / "u.png").exit_code == 2
    assert json.loads(good("check", out, "--json"))["size_mm"] == pytest.approx([210.3, 146.65], abs=0.5)


def test_a_new_job_file_can_be_prepared(tmp_path: Path) -> None:
    good("template", "tray", "--out", tmp_path / "my tray.svg")
    good("template", "swing-tag", "--out", tmp_path / "tag.dxf")
    job = tmp_path / "fair.toml"
    good("new", job, tmp_path / "my tray.svg", tmp_path / "tag.dxf")
    assert run("new", job, tmp_path / "tag.dxf").exit_code == 2
    good("prepare", job, "--out", tmp_path / "o")
    assert json.loads((tmp_path / "o" / "job.json").read_text())["copies"] == 2
    assert run("check", job).exit_code == 0


@pytest.fixture
def fair(tmp_path: Path) -> Path:
    """A folder with a tray and room for a job file."""
    good("template", "tray", "--out", tmp_path / "tray.svg")
    return tmp_path


def job_file(folder: Path, text: str) -> Path:
    path = folder / "job.toml"
    path.write_text(text)
    return path


ITEM = '[[template]]\nfile = "tray.svg"\n'


@pytest.mark.parametrize(
    ("text", "line", "message"),
    [
        ('titel = "x"\n' + ITEM, 1, "Did you mean title"),
        (ITEM + "copis = 3\n", 3, "Did you mean copies"),
        (ITEM + 'stock = "gold"\n', 3, "card-220"),
        (ITEM + 'turns = "sideways"\n', 3, "turns"),
        ('gap = "3"\n' + ITEM, 1, "no unit"),
        ("gap = 3\n" + ITEM, 1, "no unit"),
        ('[[template]]\nfile = "none.svg"\n', 2, "none.svg"),
        ('[[template]]\nfile = "../../etc/passwd"\n', 2, "outside the folder"),
        ('machine = "mat"\n' + ITEM, None, "mat-cutter"),
        ("sets = 0\n" + ITEM, 1, "at least 1"),
        ('also = ["docx"]\n' + ITEM, 1, "docx"),
        (ITEM + '[template.layers]\nlid = "fly"\n', 4, "fly"),
        ('[[stock]]\nname = "a/b"\nlike = "card-220"\n' + ITEM, 2, "plain name"),
        ("", None, "template"),
        ("title = ", None, "TOML"),
        ("title = \n[[", 1, "TOML"),
    ],
)
def test_job_files_are_refused_with_file_line_and_key(
    fair: Path, text: str, line: int | None, message: str
) -> None:
    path = job_file(fair, text)
    result = run("prepare", path, "--out", fair / "o")
    assert result.exit_code == 2, result.output
    assert message in result.stderr
    assert "job.toml" + (f":{line}:" if line else "") in result.stderr
    assert not (fair / "o").exists()


def test_options_that_belong_into_the_job_file_are_refused_beside_it(fair: Path) -> None:
    path = job_file(fair, ITEM)
    result = run("prepare", path, "--copies", "3", "--out", fair / "o")
    assert result.exit_code == 2
    assert "--copies" in result.stderr
    assert run("prepare", path, fair / "tray.svg", "--out", fair / "o").exit_code == 2
    good("prepare", path, "--seed", "3", "--title", "Ours", "--inches", "--out", fair / "o")
    assert json.loads((fair / "o" / "job.json").read_text())["seed"] == 3


def test_sets_spares_and_sheets_at_hand(fair: Path) -> None:
    stock = '[[stock]]\nname = "kraft"\nlike = "kraft-280"\n[[stock.sheet]]\nsize = "12in"\nat_hand = {n}\n'
    text = "sets = 3\neffort = 'quick'\n" + stock + ITEM + "copies = 2\nspare = 10\n"
    good("prepare", job_file(fair, text.format(n=9)), "--out", fair / "o")
    assert json.loads((fair / "o" / "job.json").read_text())["copies"] == 7
    result = run("prepare", job_file(fair, text.format(n=2)), "--out", fair / "p")
    assert result.exit_code == 2
    assert "sheet" in result.stderr
    good("prepare", job_file(fair, 'amount = "stock"\n' + text.format(n=2)), "--out", fair / "q")


def test_copies_placed_by_hand_are_kept_or_refused(fair: Path) -> None:
    spot = '[[template.place]]\nx = "10mm"\ny = "{y}mm"\nturn = 0\n'
    text = ITEM + spot.format(y=10) + spot.format(y=155)
    good("prepare", job_file(fair, text), "--out", fair / "o")
    (sheet,) = json.loads((fair / "o" / "job.json").read_text())["sheets"]
    assert [(p["x_mm"], p["y_mm"]) for p in sheet["placements"]] == [(10, 10), (10, 155)]
    result = run("prepare", job_file(fair, ITEM + spot.format(y=10) + spot.format(y=50)), "--out", fair / "p")
    assert result.exit_code == 2
    assert not (fair / "p").exists()


def test_passes_bridges_and_perforation_come_from_the_job_file(fair: Path) -> None:
    extra = '[passes]\ncount = 2\nforce = [60, 120]\n[bridges]\nwidth = "0.6mm"\ncount = 4\n[perforation]\ncut = "4mm"\n'
    good("prepare", job_file(fair, ITEM), "--out", fair / "o")
    good("prepare", job_file(fair, extra + ITEM), "--out", fair / "p")
    once, twice = (json.loads((fair / d / "job.json").read_text()) for d in "op")
    assert twice["seconds"] > once["seconds"]
    assert {s["force"] for s in twice["sheets"][0]["plan"]["strokes"] if s["tool"] == 1} >= {60, 120}
    assert run("verify", fair / "p").exit_code == 0


def test_keep_out_align_explain_and_more_outputs(tmp_path: Path) -> None:
    good(
        "prepare", SAMPLES / "swing-tag.svg", "--copies", "3", "--out", tmp_path / "o", "--explain",
        "--keep-out", "0mm,0mm,100mm,100mm", "--align", "0mm,0mm=1mm,1mm", "--align", "100mm,0mm=101mm,1mm",
        "--also", "svg", "--also", "dxf", "--also", "pdf", "--also", "pictures",
    )  # fmt: skip
    names = {p.name for p in (tmp_path / "o").iterdir()}
    assert {"sheet-01.svg", "sheet-01.dxf", "sheet-01.pdf", "picture-sheet-01.svg"} <= names
    (sheet,) = json.loads((tmp_path / "o" / "job.json").read_text())["sheets"]
    assert len(sheet["order"]["reasons"]) == sheet["order"]["planned"]["strokes"]
    assert all(p["x_mm"] >= 100 or p["y_mm"] >= 100 for p in sheet["placements"])
    assert run("verify", tmp_path / "o").exit_code == 0
    assert (
        run("prepare", SAMPLES / "swing-tag.svg", "--keep-out", "0mm", "--out", tmp_path / "p").exit_code == 2
    )
    assert run("prepare", SAMPLES / "swing-tag.svg", "--also", "doc", "--out", tmp_path / "p").exit_code == 2


def test_pictures_go_into_a_folder_of_their_own(tmp_path: Path) -> None:
    """As SVG and, with the renderer that the tests install, as PNG; a picture that is there is kept."""
    words = ("prepare", SAMPLES / "display-tray.svg", "--stock", "kraft-280", "--pictures", tmp_path / "blog")
    good(*words, "--out", tmp_path / "o")
    stems = ("picture-sheet-01", "picture-template-01", "picture-template-01-folding-1")
    names = {f"{stem}.{ending}" for stem in stems for ending in ("svg", "png")}
    assert {p.name for p in (tmp_path / "blog").iterdir()} == names
    for stem in stems:
        assert (tmp_path / "blog" / f"{stem}.png").read_bytes().startswith(b"\x89PNG")
    assert 'class="panel"' in (tmp_path / "blog" / "picture-template-01.svg").read_text()
    again = run(*words, "--out", tmp_path / "p")
    assert again.exit_code == 2
    assert "is there already" in again.output


def test_timed_trials_fit_a_profile(tmp_path: Path) -> None:
    good("trial", "times", "--machine", "mat-cutter-300", "--out", tmp_path / "t")
    files = sorted((tmp_path / "t").iterdir())
    assert len(files) == 5
    seconds = [
        json.loads(good("time", f, "--machine", "mat-cutter-300", "--json"))["seconds"]["total"]
        for f in files
    ]
    mine = tmp_path / "mine.toml"
    timed = ("trial", "times", "--machine", "mat-cutter-300")
    good(*timed, "--seconds", ",".join(map(str, seconds)), "--profile", mine)
    fitted, known = (
        load_machine(mine),
        load_machine(
            Path(str(SAMPLES / "x")).parent
            / ".."
            / "cutprep"
            / "profile"
            / "shipped"
            / "machines"
            / "mat-cutter-300.toml"
        ),
    )
    assert fitted.travel_speed == pytest.approx(known.travel_speed, rel=0.01)
    assert fitted.acceleration == pytest.approx(known.acceleration, rel=0.01)
    assert run(*timed).exit_code == 2
    assert run(*timed, "--seconds", "1,2", "--profile", mine).exit_code == 2
    assert run(*timed, "--seconds", "a,b", "--profile", mine).exit_code == 2


def test_stopped_in_the_search_it_says_what_was_kept(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Ctrl-C in the search takes the best layout until then; elsewhere nothing is written."""

    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    words = ("prepare", SAMPLES / "swing-tag.svg", "--copies", "30")
    with monkeypatch.context() as patch:
        patch.setattr("cutprep.stages.nest.plan.improvements", stop)
        kept = run(*words, "--out", tmp_path / "o")
    assert kept.exit_code == 0
    assert "the search was stopped; this is the best layout found until then" in kept.output
    assert run("verify", tmp_path / "o").exit_code == 0
    with monkeypatch.context() as patch:
        patch.setattr("cutprep.job.pipeline.order", stop)
        stopped = run(*words, "--out", tmp_path / "p")
    assert stopped.exit_code == 130
    assert "Stopped; nothing was written." in stopped.output
    assert not (tmp_path / "p").exists()


def test_a_fault_of_our_own_is_not_laid_on_the_drawing(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """One sentence, an exit code of its own, and a file for those who mend it."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.delattr("cutprep.stages.read.reader.kind_of")
    result = run("check", SAMPLES / "swing-tag.svg")
    assert result.exit_code == 3
    assert "fault of cutprep, not of your drawing. Please report it" in result.stderr
    assert "Traceback" not in result.output
    (details,) = tmp_path.glob("cutprep-fault-*.txt")
    assert str(details) in result.stderr
    assert "NameError: name 'kind_of' is not defined" in details.read_text(encoding="utf-8")
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "nowhere"))
    result = run("check", SAMPLES / "swing-tag.svg")
    assert "the lines above" in result.stderr
    assert "Traceback" in result.stderr


def test_a_lack_of_memory_is_told_in_one_sentence(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def full(*_: object, **__: object) -> None:
        raise MemoryError

    monkeypatch.setattr("cutprep.job.pipeline.order", full)
    result = run("prepare", SAMPLES / "divider.svg", "--out", tmp_path / "o")
    assert result.exit_code == 2
    assert "more memory than there is" in result.stderr


def test_a_drawing_without_a_part_is_not_prepared_in_silence(tmp_path: Path) -> None:
    """An outline that stays open bounds nothing; a drawing that is only scored is meant so."""
    drawing = tmp_path / "lid.svg"
    text = (SAMPLES / "swing-tag.svg").read_text(encoding="utf-8")
    head, tail = text.split(">", text.startswith("<?xml") + 1)[:-1], '<g id="{}">{}</g></svg>'
    lines = '<path fill="none" stroke="black" d="M5 5H35"/><path fill="none" stroke="black" d="M5 15H35"/>'
    drawing.write_text(">".join(head) + ">" + tail.format("cut", lines), encoding="utf-8")
    stopped = run("prepare", drawing, "--out", tmp_path / "o")
    assert stopped.exit_code == 1
    assert "'lid' holds 2 cut lines and no closed outline: 0 parts" in stopped.stderr
    assert not (tmp_path / "o").exists()
    good("prepare", drawing, "--despite-findings", "--out", tmp_path / "o")
    drawing.write_text(">".join(head) + ">" + tail.format("score", lines), encoding="utf-8")
    done = run("prepare", drawing, "--out", tmp_path / "p")
    assert done.exit_code == 0
    assert "nothing to cut" in done.stderr


def test_fold_says_what_fits(tmp_path: Path) -> None:
    tray = SAMPLES / "display-tray.svg"
    assert "mm on each side" in good("fold", tray, "--fits", "40x40x25mm in 1")
    refused = run("fold", tray, "--fits", "2 over 1")
    assert refused.exit_code == 2
    assert run("fold", tray, "--fits", "900x40x25mm in 1").exit_code == 1


MIXED = """<svg xmlns="http://www.w3.org/2000/svg" width="140mm" height="100mm" viewBox="0 0 140 100">
<text x="5" y="5">lid</text><g display="none"><path d="M0 0H9"/></g>
<g id="fold stuff" fill="none" stroke="#000"><path d="M5 5H105V65H5Z"/></g>
<g id="score" fill="none" stroke="#00f"><path d="M50 5V65"/></g>
<g id="lid" fill="none" stroke="#f00"><path d="M50 5V65"/><path d="M20 20H22"/></g></svg>"""
PLACED = ("--layer", "fold stuff=cut", "--layer", "lid=cut")


@pytest.fixture
def mixed(tmp_path: Path) -> Path:
    """A cut on a score, text, a hidden line, a stub, and layers that only rules place."""
    path = tmp_path / "mixed.svg"
    path.write_text(MIXED, encoding="utf-8")
    return path


@pytest.mark.parametrize("ending", ["svg", "dxf"])
def test_rules_live_on_in_the_mended_file(mixed: Path, ending: str) -> None:
    out = mixed.with_name(f"mended.{ending}")
    told = good("mend", mixed, *PLACED, "--keep", "score", "--stubs", "--out", out)
    assert {"text-left-out", "hidden-left-out", "removed-under", "removed-stub"} <= set(
        told.replace(":", " ").split()
    )
    assert "holds lines alone" in told
    data = json.loads(good("check", out, "--json"))
    assert {row["operation"] for row in data["layers"]} == {"cut", "score"}
    assert not [f for f in data["findings"] if f["severity"] != "note"]


def test_what_is_to_stay_can_be_said_wherever_it_is_asked(mixed: Path) -> None:
    """On the command line of `prepare`, in a job file, beside one, and in Python."""
    words = ("prepare", mixed, *PLACED, "--mend", "--effort", "quick")
    assert run(*words, "--out", mixed.with_name("a")).exit_code == 1
    good(*words, "--keep", "score", "--out", mixed.with_name("b"))
    job = mixed.with_name("job.toml")
    rows = ["[[template]]", 'file = "mixed.svg"', 'layers = { "fold stuff" = "cut", lid = "cut" }']
    job.write_text("\n".join(["mend = true", 'keep = "score"', *rows]), encoding="utf-8")
    good("prepare", job, "--effort", "quick", "--out", mixed.with_name("c"))
    job.write_text("\n".join(rows), encoding="utf-8")
    good("prepare", job, "--mend", "--keep", "score", "--effort", "quick", "--out", mixed.with_name("d"))
    plans = [json.loads((mixed.with_name(name) / "job.json").read_text())["sheets"][0] for name in "bcd"]
    assert plans[0]["score_mm"] == plans[1]["score_mm"] == plans[2]["score_mm"] == pytest.approx(60, abs=1)
    layers = {"fold stuff": "cut", "lid": "cut"}
    outcome = cutprep.prepare(mixed, layers=layers, mend=True, keep="score")
    assert outcome.sheets[0].score == pytest.approx(60, abs=1)
    mended, _ = cutprep.mend(cutprep.read(mixed, layers=layers), keep="cut", ask=["stubs"], gap="0.5mm")
    assert sorted(line.operation.word for line in mended.lines) == ["cut", "cut"]


def test_a_word_on_what_stays_needs_mending(mixed: Path) -> None:
    result = run("prepare", mixed, *PLACED, "--keep", "score", "--out", mixed.with_name("a"))
    assert result.exit_code == 2
    assert "Add --mend" in result.stderr
    result = run("prepare", mixed, *PLACED, "--mend", "--keep", "scroe", "--out", mixed.with_name("a"))
    assert "Did you mean score?" in result.stderr
