"""Minerals of the diet: calcium, phosphorus, magnesium, potassium, their ratios, and what is aside.

What is missing may be given as a mineral beside the feed, at a price: hay alone seldom holds the
phosphorus a table asks for, and no rancher is refused a plan for it. What is given aside counts
in the ratios.
"""

from __future__ import annotations

import numpy as np

from haywright.bunk.hazards.finding import line
from haywright.bunk.ration.program import FREE, Floats, Ints
from haywright.bunk.winter.minerals import MINERALS
from haywright.bunk.winter.question import WEEK
from haywright.bunk.winter.rows.making import One
from haywright.sheet.mineral import ca_mg_equivalents, k_equivalents

CA, P, MG, K = range(len(MINERALS))


def mineral_rows(one: One) -> None:
    """Needs by mineral, then the ratios; none for a mineral that is not known of all forage."""
    held, aside = one.held.minerals, one.columns.aside
    if aside is None:
        return
    for m, name in enumerate(MINERALS):
        if held.known[m] and held.asked[m] and not _always(one, m):
            rows = one.at_least(f"mineral:{name}", WEEK * held.amount[:, m])
            one.of_feeds(rows, _known(one)[m][None, :] - held.share[:, m, None])
            one.add(rows, aside[:, m], 1.0)
    if held.known[[CA, P]].all() and held.asked[[CA, P]].any():
        _ratio_rows(one, aside)
    if held.known[[CA, MG, K]].all() and held.at_risk.any():
        _tetany_rows(one, aside)


def _known(one: One) -> Floats:
    """Contents, a feed to buy of unknown content bringing nothing, (M, K)."""
    return np.nan_to_num(one.held.minerals.holds)


def _always(one: One, m: int) -> bool:
    """Whether no mix of the feeds could fall short."""
    held = one.held.minerals
    if held.amount[:, m].any():
        return False
    may = one.held.may
    least = np.where(may, _known(one)[m][None, :], np.inf).min(axis=1)
    return bool((least >= held.share[:, m]).all())


def _ratio_rows(one: One, aside: Ints) -> None:
    """Calcium to phosphorus of the whole diet: least <= Ca / P <= most."""
    held, content = one.held.minerals, _known(one)
    for name, sign, bound in (
        ("ratio:least", 1.0, held.least_ratio),
        ("ratio:most", -1.0, held.most_ratio),
    ):
        coefficients = sign * (content[CA] - bound * content[P])
        if (coefficients >= 0).all():
            continue
        rows = one.block(name, one.weeks, lower=0.0)
        one.of_feeds(rows, coefficients[None, :])
        one.add(rows, aside[:, CA], sign)
        one.add(rows, aside[:, P], -sign * bound)


def _tetany_rows(one: One, aside: Ints) -> None:
    """K / (Ca + Mg) in equivalents not over its line while they nurse or are near to birth."""
    held, content = one.held.minerals, 100.0 * _known(one)
    bound = float(line("tetany", "ratio")["line"])
    over = k_equivalents(content[K]) - bound * ca_mg_equivalents(content[CA], content[MG])
    if (over <= 0).all():
        return
    rows = one.block("tetany", one.weeks, upper=np.where(held.at_risk, 0.0, FREE))
    one.of_feeds(rows, over[None, :])
    for m, each in (
        (CA, -bound * ca_mg_equivalents(100.0, 0.0)),
        (MG, -bound * ca_mg_equivalents(0.0, 100.0)),
        (K, k_equivalents(100.0)),
    ):
        one.add(rows, aside[:, m], each)
