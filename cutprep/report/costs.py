"""What card costs: of a whole job, of a set, and of each copy of a template."""

from __future__ import annotations

import math
from collections import defaultdict
from itertools import islice

import numpy as np
import shapely

from cutprep.model.part import Template
from cutprep.profile.stock import Stock
from cutprep.report.outcome import Outcome, SheetOutcome

#: Name of a template and of its card, which tell one from all others of a job.
Whose = tuple[str, str]


def price_of(done: SheetOutcome) -> float:
    """Price of one sheet; nan when its size has none. A sheet that lies turned costs as much."""
    sizes = ((done.sheet.width, done.sheet.height), (done.sheet.height, done.sheet.width))
    prices = [size.price for size in done.stock.sheets if (size.width, size.height) in sizes]
    return next((price for price in prices if price is not None), math.nan)


def cost_of(outcome: Outcome, stock: Stock) -> float:
    """Price of all sheets of one card; nan when a size has none."""
    return sum(price_of(s) * s.runs for s in outcome.sheets if s.stock.name == stock.name)


def cost_of_copies(outcome: Outcome) -> dict[Whose, float]:
    """What one copy of each template costs: each sheet's price is shared by area among what lies on it.

    The waste of a sheet is borne by its copies, so that all of them together cost what the sheets cost.

    Returns
    -------
    dict
        nan where a sheet has no price; copies on several sheets cost as much on average.
    """
    cost: dict[Whose, float] = defaultdict(float)
    for done in outcome.sheets:
        share: dict[Whose, float] = defaultdict(float)
        for placement in done.sheet.placements:
            template = done.sheet.templates[placement.template]
            share[template.name, done.stock.name] += area_of(template, placement.part)
        whole = math.fsum(share.values())
        for whose, area in share.items():
            cost[whose] += price_of(done) * done.runs * (area / whole if whole else 1.0 / len(share))
    copies = {(t.name, t.stock.name): t.copies for t in outcome.templates}
    return {whose: paid / copies[whose] for whose, paid in cost.items() if copies.get(whose)}


def area_of(template: Template, part: int | None = None) -> float:
    """Card that the parts of a template take, or one of them; holes left out, mm2."""
    lines = template.lines
    parts = template.parts if part is None else (template.parts[part],)
    rings = lines.take(np.array([i for one in parts for i in (one.outline, *one.holes)], np.int64))
    made = shapely.linearrings(rings.xy, indices=np.repeat(np.arange(len(rings)), rings.counts))
    areas = iter(np.asarray(shapely.area(shapely.polygons(np.asarray(made)))).tolist())
    return math.fsum(next(areas) - math.fsum(islice(areas, len(one.holes))) for one in parts)


def cost_in_words(outcome: Outcome) -> str:
    """All cost in one or two sentences, with what a set takes; what has no price is named, empty when nothing has."""
    costs = {stock.title: cost_of(outcome, stock) for stock in outcome.stocks}
    known = [cost for cost in costs.values() if math.isfinite(cost)]
    if not known:
        return ""
    free = [title for title, cost in costs.items() if not math.isfinite(cost)]
    without = f", without {' and '.join(free)}, which has no price" if free else ""
    a_set = f" That is {sum(known) / outcome.sets:.2f} a set." if outcome.sets > 1 else ""
    return f"it costs {sum(known):.2f}{without}.{a_set}"
