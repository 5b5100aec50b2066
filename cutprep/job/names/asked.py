"""Lists of names in a job: how many copies they make, and what each copy says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cutprep.errors import JobError
from cutprep.geometry.turned_over import turned_over
from cutprep.job.job import Item, Job
from cutprep.job.loading import Loaded
from cutprep.job.names.alphabet import alphabet_of
from cutprep.job.names.listed import read_list
from cutprep.job.names.written import write_names
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.part import Template

#: Number of a template in its batch to one template for each of its copies.
Own = dict[int, tuple[Template, ...]]


def with_lists(job: Job, loaded: Sequence[Sequence[Loaded]]) -> Job:
    """Read the lists of a job: a drawing with places for words is made once for each row.

    Parameters
    ----------
    loaded
        Drawings of each batch, in its order.

    Raises
    ------
    JobError
        When a list can't be used, no drawing has a place for it, or the job asks for another number of copies.
    """
    asked = {item.names for item in job.items if item.names is not None}
    if not asked:
        return job
    for names in asked:
        _require_place([one for batch in loaded for one in batch if one.item.names == names])
    if job.amount != "copies":
        raise JobError(
            f"a list of names says how many copies are made, and so does the amount '{job.amount}'",
            fix="Leave the amount out.",
        )
    batches = tuple(
        replace(
            batch,
            items=tuple(_counted(item, one, job.sets) for item, one in zip(batch.items, some, strict=True)),
        )
        for batch, some in zip(job.batches, loaded, strict=True)
    )
    return replace(job, batches=batches)


def empty_places(loaded: Sequence[Sequence[Loaded]]) -> Findings:
    """Tell of drawings with places for words when no list says what to write there."""
    return tuple(
        Finding.of(
            "name-place-empty",
            f"'{one.item.path.name}' has a place for {' and '.join(f'{{{name}}}' for name in _fields(one))}, and no list says "
            "what to write there",
            measure=float(len(one.drawing.texts)),
            unit="",
        )
        for batch in loaded
        for one in batch
        if one.drawing.texts and one.item.names is None
    )


def _require_place(some: Sequence[Loaded]) -> None:
    if not any(one.drawing.texts for one in some):
        first, *others = [f"'{one.item.path.name}'" for one in some]
        shown = f"neither {first} nor {others[0]} has a" if len(others) == 1 else f"{first} has no"
        raise JobError(
            f"a list of names is given, but {f'none of {len(some)} drawings has a' if others[1:] else shown} place for one",
            fix="Write the text {name} where each name shall stand; `cutprep template swing-tag text={name}` draws one.",
        )


def _fields(one: Loaded) -> list[str]:
    return list(dict.fromkeys(name for place in one.drawing.texts for name in place.fields))


def _counted(item: Item, one: Loaded, sets: int) -> Item:
    if item.names is None or not one.drawing.texts:
        return item
    rows = read_list(item.names, _fields(one))
    each = item.in_set
    rows = tuple(row for row in rows for _ in range(each))
    return replace(item, in_set=len(rows), copies=len(rows) * sets, rows=rows * sets, mirror=False)


def own_texts(
    job: Job, loaded: Sequence[Sequence[Loaded]], divided: Sequence[Sequence[Template]]
) -> tuple[list[Own], Findings]:
    """Write what each copy says, on a template of its own.

    Parameters
    ----------
    job
        As `with_lists` gives it.
    loaded, divided
        Drawings and templates of each batch, in its order.

    Returns
    -------
    own
        For each batch, as the card lies: those seen from their back when it lies face down.
    findings
        Texts that are smaller, or come twice, and the licence of a font.

    Raises
    ------
    JobError
        When letters are lacking, or texts don't fit.
    """
    found: list[Own] = []
    told: list[Findings] = []
    for batch, some, templates in zip(job.batches, loaded, divided, strict=True):
        own: Own = {}
        for number, (item, one, template) in enumerate(zip(batch.items, some, templates, strict=True)):
            if item.rows:
                written, findings = _written(job, item, one, template)
                own[number] = tuple(map(turned_over, written)) if job.face_down else written
                told.append(findings)
        found.append(own)
    return found, tuple(dict.fromkeys(f for findings in told for f in findings))


def _written(job: Job, item: Item, one: Loaded, template: Template) -> tuple[tuple[Template, ...], Findings]:
    alphabet = alphabet_of(item.font, job.tolerance.sagitta)
    left, bottom = one.corner
    places = [place.moved(-left, -bottom) for place in one.drawing.texts]
    written, findings = write_names(template, places, item.rows, alphabet, item.least_height, item.rules)
    return written, (*findings, *alphabet.told)
