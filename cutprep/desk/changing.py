"""What the page may change: each way reads what was sent, writes the next version of the job file, and says so."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from pathlib import Path

from cutprep.desk.fields import field_of, typed
from cutprep.desk.hers.rules import kept_in_mind
from cutprep.desk.laying import Files, Laying, Try, Way
from cutprep.desk.plan.jobfile import JobFile
from cutprep.desk.plan.resolved import copies_wanted, resolved, resolved_of
from cutprep.desk.plan.taking import require_taken
from cutprep.desk.sent import Refused, Words, number_of, place_of_form, text_of, word_of
from cutprep.desk.shelf import BESIDE, DRAWINGS, JOB, MADE, PROFILES, Folder, Shelf
from cutprep.errors import CutprepError, JobError
from cutprep.job.folder.store import publish
from cutprep.job.settings.compound import SIDES
from cutprep.job.settings.forms import as_number
from cutprep.job.settings.remembered import own_words, remembered
from cutprep.job.settings.resolve import Source, as_typed, read_layer
from cutprep.job.settings.table import SETTINGS
from cutprep.job.words import title_of
from cutprep.model.rules import parse_colour, parse_kind
from cutprep.profile import shelf
from cutprep.stages.mend.mending import LEAVABLE
from cutprep.tables import Table
from cutprep.units import length

#: Settings that placing by hand decides: whoever changes one wants a new layout.
_COUNTED = ("copies", "sets", "amount")
_LAID_OUT = "What was placed by hand is laid out again."
_ROUND = "What you have placed by hand stays; the rest is laid out round it."
_HALF_TURN = 180.0
_MOST_OF_A_PIECE = 10_000
_MOST_POINTS = 4


class Changer:
    """Changes jobs.

    Parameters
    ----------
    shelf
        Where new jobs are put.
    tried
        Tries a job file before it is taken.
    own
        Ways in which what is hers is kept, by what was made of a job.
    """

    def __init__(self, shelf: Shelf, tried: Try, own: Mapping[str, Way] | None = None) -> None:
        self._shelf = shelf
        laying = Laying(tried)
        self.tried = laying.tried
        self.ways: dict[str, Way] = {
            "set": self._set,
            "rule": self._rule,
            "piece": self._piece,
            "area": self._area,
            "offcut": self._offcut,
            "align": self._align,
            "leave": self._leave,
            "angle": self._angle,
            "seam": self._seam,
            "add": self._add,
            "remove": self._remove,
            **laying.ways,
            **(own or {}),
            "keep": self._keep,
            "undo": lambda job, *_: self._step(job, -1),
            "redo": lambda job, *_: self._step(job, 1),
            "save": self._save,
        }

    def start(self, files: Files) -> Folder:
        """Make a job of drawings, or of a job file with its drawings.

        Raises
        ------
        CutprepError
            When nothing of it can be used; no job is left then.
        """
        tables = [(name, data) for name, data in files if name.lower().endswith(".toml")]
        plans = [(name, data) for name, data in tables if len(tables) == 1 or _lists_drawings(data)]
        profiles = [one for one in tables if one not in plans]
        drawings = [(name, data) for name, data in files if not name.lower().endswith(".toml")]
        if len(plans) > 1 or (profiles and not plans):
            raise JobError("a job file stands alone", fix="Drop one job file, with its drawings.")
        if not drawings:
            raise JobError(
                "no drawing was dropped",
                fix="Drop SVG or DXF drawings; a job file together with its drawings.",
            )
        title = Path(plans[0][0] if plans else drawings[0][0]).stem
        job = self._shelf.start(title)
        try:
            endings = BESIDE if plans else DRAWINGS
            names = [job.add_file(name, data, endings) for name, data in drawings]
            for name, data in profiles:
                job.add_file(name, data, PROFILES)
            if plans:
                text = text_of(plans[0][1])
                plan = JobFile(text)
                missing = [file for file in plan.files if not (job.path / file).is_file()]
                if missing:
                    raise JobError(
                        f"the job file lists {', '.join(missing[:5])}, which was not dropped with it",
                        fix="Drop the job file together with all of its drawings.",
                    )
            else:
                plan = JobFile("")
                plan.set("job", "title", title_of([Path(name) for name in names]))
                plan.add(names)
            plan.take_remembered(remembered(), own_words())
            job.write(plan.text)
        except BaseException:
            self._shelf.forget(job)
            raise
        return job

    def change(self, job: Folder, way: str, words: Words, files: Files) -> str:
        """Make one change.

        Parameters
        ----------
        job
            To be changed.
        way
            One of `ways`.
        words, files
            What the form sent.

        Returns
        -------
        str
            What was done, when there is something to say.

        Raises
        ------
        Refused
            When it is not made.
        """
        seen = word_of(words, "version")
        if seen and seen != str(job.version):
            raise Refused(
                "This job was changed in another window meanwhile.", "Look at it as it is now.", status=409
            )
        try:
            return self.ways[way](job, words, files)
        except Refused:
            raise
        except CutprepError as fault:
            raise Refused(fault.problem, fault.fix) from None
        except OSError as fault:
            raise Refused(
                f"Nothing can be written into the desk's folder ({fault.strerror}).",
                "Make room on the disk, or forget a job.",
            ) from None

    def _set(self, job: Folder, words: Words, _: Files) -> str:
        values = resolved(job.path / JOB)
        plan = JobFile(job.text)
        steps: list[tuple[str, str]] = []
        counted = False
        for key, sent in words.items():
            target, slash, name = key.partition("/")
            if not slash:
                continue
            if target not in values or name not in values[target] or name not in SETTINGS:
                raise Refused(f"there is no setting '{name[:40]}' here", field=key)
            field = field_of(target, values[target].entry(name), plan.written)
            if _same(field.value, field.words if field.several else None, sent):
                continue
            try:
                value = typed(name, sent)
                plan.set(target, name, value)
            except CutprepError as fault:
                raise Refused(fault.problem, fault.fix, field=key) from None
            if name == "mend" and not value:  # what it would have kept goes with it
                plan.set(target, "keep", None)
            steps.append((key, plan.text))
            counted = counted or name in _COUNTED
        require_taken(job.path / JOB, job.text, steps)
        told = _laid_again(plan) if counted else ""
        if steps:
            job.write(plan.text)
        return told

    def _rule(self, job: Folder, words: Words, _: Files) -> str:
        target, name, word = word_of(words, "target"), word_of(words, "layer"), word_of(words, "word")
        kinds = "colours" if name.startswith("#") else "layers"
        if word:
            parse_kind(word)
        if kinds == "colours":
            name = parse_colour(name)
        plan = JobFile(job.text)
        plan.set_rule(target, kinds, name, word)
        job.write(plan.text)
        return kept_in_mind(kinds, name, word)

    def _piece(self, job: Folder, words: Words, _: Files) -> str:
        """Give a piece of a drawing a card or a count of its own."""
        count = word_of(words, "count").strip() or "1"
        if not count.isdecimal() or not 1 <= int(count) <= _MOST_OF_A_PIECE:
            raise Refused(f"'{count[:20]}' is no number from 1 to {_MOST_OF_A_PIECE:,}", field="count")
        plan = JobFile(job.text)
        stock = word_of(words, "stock")
        if stock and stock not in (plan.cards or shelf.stocks()):
            raise Refused(f"there is no card '{stock[:40]}' here", field="stock")
        plan.set_piece(word_of(words, "target"), word_of(words, "name"), stock, int(count))
        require_taken(job.path / JOB, job.text, [("stock" if stock else "count", plan.text)])
        job.write(plan.text)
        return ""

    def _area(self, job: Folder, words: Words, _: Files) -> str:
        """Keep an area of the sheets free, or no longer."""
        plan = JobFile(job.text)
        areas = plan.areas
        if word_of(words, "number"):
            number = number_of(words, "number")
            if number >= len(areas):
                raise Refused("that is not in the job any more", "Load the page again.")
            del areas[number]
        else:
            areas.append(_area_of(words))
        plan.set_areas(areas)
        job.write(plan.text)
        return ""

    def _offcut(self, job: Folder, words: Words, _: Files) -> str:
        """Keep clear of what a former job has cut out of a sheet, and of what that kept clear of."""
        name, _sign, number = word_of(words, "sheet").partition("/")
        former = self._shelf.job(name)
        rows = former.paper().get("sections", {}).get("sheets", {}).get("sheets", []) if former else []
        cut = next((row.get("cut", "") for row in rows if str(row["number"]) == number), "")
        view = former.view(cut) if former is not None and cut else None
        if former is None or view is None:
            raise Refused("That sheet is not there any more.", "Choose another one.", field="sheet")
        plan = JobFile(job.text)
        areas = plan.areas
        for area in JobFile(former.text).areas:
            if "drawing" in area:
                held = (former.path / str(area["drawing"])).read_bytes()
                area = {**area, "drawing": job.add_file(str(area["drawing"]), held)}  # noqa: PLW2901
            areas.append(area)
        areas.append({"drawing": job.add_file(f"cut-{name}-{number}.svg", view.read_bytes())})
        plan.set_areas(areas)
        job.write(plan.text)
        return ""

    def _align(self, job: Folder, words: Words, _: Files) -> str:
        """Say where points of the plan really lie on the mat; without any the plan is taken as it is."""
        pairs = zip(words.get("plan", []), words.get("mat", []), strict=False)
        given = [f"{plan.strip()}={mat.strip()}" for plan, mat in pairs if plan.strip() or mat.strip()]
        if len(given) == 1 or len(given) > _MOST_POINTS:
            raise Refused("Two to four points say how the sheet lies.", "Give a second one.", field="plan")
        setting, plan = SETTINGS["align"], JobFile(job.text)
        try:
            raw = setting.form.raw(given)
            read_layer([setting], Table({"align": raw}), Source.JOB, as_typed)
        except CutprepError as fault:
            raise Refused(fault.problem, fault.fix, field="plan") from None
        plan.set("job", "align", raw or None)
        job.write(plan.text)
        return ""

    def _leave(self, job: Folder, words: Words, _: Files) -> str:
        """Leave a change of mending as drawn, or let it be made after all."""
        plan = JobFile(job.text)
        code, away = word_of(words, "code"), word_of(words, "away") == "yes"
        if code not in LEAVABLE:
            raise Refused("This is no change that mending makes by itself.", "Load the page again.")
        plan.set_leave(word_of(words, "target"), code, place_of_form(words, "at"), away=away)
        job.write(plan.text)
        return ""

    def _angle(self, job: Folder, words: Words, _: Files) -> str:
        """Say how far a score is folded; an empty word leaves it to be found."""
        word = word_of(words, "degrees").strip()
        degrees = None
        if word:
            try:
                degrees = as_number(word)
            except CutprepError as fault:
                raise Refused(fault.problem, fault.fix, field="degrees") from None
            if not -_HALF_TURN <= degrees <= _HALF_TURN:
                raise Refused(f"{word[:20]} degrees is no fold angle", "Give -180 to 180.", field="degrees")
        plan = JobFile(job.text)
        plan.set_fold(word_of(words, "target"), "angle", {"at": place_of_form(words, "at")}, degrees)
        job.write(plan.text)
        return ""

    def _seam(self, job: Folder, words: Words, _: Files) -> str:
        """Say that two sides meet, or take that back."""
        plan = JobFile(job.text)
        away = word_of(words, "away") == "yes"
        spots = {"a": place_of_form(words, "a"), "b": place_of_form(words, "b")}
        plan.set_fold(word_of(words, "target"), "mate", spots, None if away else 0.0)
        job.write(plan.text)
        return ""

    def _add(self, job: Folder, _: Words, files: Files) -> str:
        if not files:
            raise Refused("no drawing was dropped", "Choose an SVG or DXF drawing.")
        plan = JobFile(job.text)
        plan.add([job.add_file(name, data) for name, data in files])
        job.write(plan.text)
        return ""

    def _remove(self, job: Folder, words: Words, _: Files) -> str:
        plan = JobFile(job.text)
        plan.remove(number_of(words, "number"))
        job.write(plan.text)
        return ""

    def _keep(self, job: Folder, _: Words, __: Files) -> str:
        """Take the first layout: no better one is looked for."""
        plan = JobFile(job.text)
        plan.set("job", "effort", "quick")
        job.write(plan.text)
        return ""

    @staticmethod
    def _step(job: Folder, by: int) -> str:
        job.step(by)
        return ""

    def _save(self, job: Folder, words: Words, _: Files) -> str:
        """Put the files into a folder of hers."""
        wanted = word_of(words, "folder").strip()
        if not wanted or "\0" in wanted or len(wanted) > 1000:
            raise Refused("No folder is named.", "Write where the files shall go.", field="folder")
        folder = Path(wanted).expanduser()
        if not folder.is_absolute():
            folder = Path.home() / folder
        if job.paper().get("version") != job.version or not (job.path / MADE).is_dir():
            raise Refused("The files are not ready yet.", "Wait until they are proved.", field="folder")
        files: dict[str, str | bytes] = {
            path.name: path.read_bytes() for path in sorted((job.path / MADE).iterdir()) if path.is_file()
        }
        try:
            publish(folder, files, replace=word_of(words, "replace") == "yes")
        except CutprepError as fault:
            raise Refused(fault.problem, fault.fix, field="folder") from None
        return f"{len(files)} files are in {folder}"


def _lists_drawings(data: bytes) -> bool:
    """Whether a file is a job file, and no machine or card that one names."""
    return bool(JobFile(text_of(data)).files)


def _area_of(words: Words) -> dict[str, str]:
    """The four sides of an area, as they were typed; one that can't be is refused beside its field."""
    area = {side: word_of(words, side).strip() for side in SIDES}
    far = {}
    for side, word in area.items():
        try:
            far[side] = length(word)
        except CutprepError as fault:
            problem = fault.problem if word else f"It is not said where the {side} side lies"
            raise Refused(problem, fault.fix, field=side) from None
    for low, high, way in (("left", "right", "to the right of"), ("bottom", "top", "above")):
        if far[low] >= far[high]:
            raise Refused(f"The {high} side does not lie {way} the {low} one.", field=high)
    return area


def _laid_again(plan: JobFile) -> str:
    """After other counts: what a hand has laid stays, as far as so many are still wanted; what is told."""
    if not any(plan.by_hand):
        return ""
    values = resolved_of(Table(tomllib.loads(plan.text)))
    most = {row: copies_wanted(values, row) for row in range(len(plan.files))}
    if values["job"]["amount"] == "copies" and plan.lay_rest(most=most):
        return _ROUND
    plan.let_go()
    return _LAID_OUT


def _same(value: str, several: Iterable[str] | None, sent: list[str]) -> bool:
    """Whether what was sent is what stands there already."""
    if several is not None:
        return set(several) == {word for word in sent if word}
    return value == (sent[-1].strip() if sent else "")
