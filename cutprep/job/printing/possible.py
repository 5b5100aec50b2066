"""What can't be printed is said before anything is laid out."""

from __future__ import annotations

from collections.abc import Sequence

from cutprep.errors import PlanError
from cutprep.job.job import Job
from cutprep.job.memory import Memory, no_memory
from cutprep.model.drawing import Artwork
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.part import Template
from cutprep.stages.write.pdf.render import can_render, render
from cutprep.units import plural

#: Fine enough to see whether letters show at all, dots to the inch.
_COARSE = 50


def require_printable(
    job: Job, divided: Sequence[Sequence[Template]], memory: Memory = no_memory
) -> Findings:
    """Refuse what can't be printed, and tell of texts that need a font.

    Parameters
    ----------
    job
        The job.
    divided
        Templates of each batch.
    memory
        Gives what was found of the same texts before.

    Raises
    ------
    PlanError
        When the card is cut from its back, copies may be turned over, or a library is missing.
    """
    printed = [
        (item.mirror, template.name, template.artwork)
        for batch, templates in zip(job.batches, divided, strict=True)
        for item, template in zip(batch.items, templates, strict=True)
        if template.artwork is not None
    ]
    if not printed:
        return ()
    if job.face_down:
        raise PlanError(
            "a layer is for printing, and the card is to be cut face down, where the print can't be seen",
            fix="Leave --face-down away, or call the layer guide.",
        )
    for mirror, name, _ in printed:
        if mirror:
            raise PlanError(
                f"'{name}' is printed, and its copies may be turned over; a print has one side",
                fix="Leave --mirror away.",
            )
    if not can_render():
        raise PlanError(
            "a layer is for printing, and for that cutprep needs two libraries more",
            fix='Install them in the folder of cutprep with: python -m pip install ".[print]"; or call the layer guide.',
        )
    texts = dict.fromkeys((name, artwork) for _, name, artwork in printed if artwork.texts)
    return tuple(memory("print-text", text, lambda text=text: _of_texts(*text)) for text in texts)  # type: ignore[misc]


def _of_texts(name: str, artwork: Artwork) -> Finding:
    box = (*artwork.origin, artwork.origin[0] + artwork.page[0], artwork.origin[1] + artwork.page[1])
    shown, without = (render(artwork, box, dots_per_inch=_COARSE, texts=texts).rgb for texts in (True, False))
    count = plural(artwork.texts, "text")
    if shown == without:
        return Finding.of(
            "print-text-missing",
            f"of the {count} to be printed on '{name}' nothing shows: no font of this machine has the letters, or "
            "they have no colour",
        )
    return Finding.of(
        "print-text",
        f"{count} on '{name}' {'is' if artwork.texts == 1 else 'are'} printed in fonts of this machine",
    )
