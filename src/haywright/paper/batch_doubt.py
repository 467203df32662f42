"""The doubt of a batch's results on paper: drawn for the widest, laid out for the rest."""

from __future__ import annotations

import math

from haywright.bench.budgets import KINDS, Budget, widest
from haywright.bench.report import BatchReport
from haywright.paper import blocks
from haywright.paper.budget_chart import amount_said, budget_bars, part_said
from haywright.paper.speaker import Speaker

# Quantities of which one budget each is drawn, and rows that a table of all may have.
_DRAWN, _ROWS = 2, 24
_BAR = 11.0


def doubt_sections(report: BatchReport, words: Speaker) -> list[blocks.Block]:
    """Where the doubt of the results comes from: the widest drawn, and the rest in a table."""
    every = report.budgets
    if not every:
        return []
    wide = tuple(widest(every))
    drawn: list[blocks.Block] = []
    for one in wide if len(wide) <= _DRAWN else ():
        picture = budget_bars(one, words, width=500)
        drawn += [
            blocks.text(_title(one, words), kind="strong"),
            blocks.picture(picture, width=picture.width),
            blocks.text(_expanded(one, words), kind="small"),
        ]
    shown = every if len(every) <= _ROWS else wide
    said = [words("bench_paper.doubt.table")]
    if len(shown) < len(every):
        said.insert(0, words("bench_paper.doubt.widest"))
    if len(wide) == 1:
        said.insert(0, f"{_quantity(wide[0], words)}.")
    table = [_table(shown, words), blocks.text(" ".join(said), kind="small")]
    first = [blocks.section(words("bench_paper.doubt.head"), *drawn, wide=True)] if drawn else []
    head = "bench_paper.doubt.each" if drawn else "bench_paper.doubt.head"
    return [*first, blocks.section(words(head), *table, wide=True)]


def _title(one: Budget, words: Speaker) -> str:
    return words("bench_paper.budget.title", bag=one.bag, quantity=words.name(one.result.analyte))


def _expanded(one: Budget, words: Speaker) -> str:
    return words(
        "bench_paper.doubt.expanded",
        half=amount_said(one.half, one, words),
        k=words.count(one.k, 2),
        u=part_said(one.u, one, words),
        df=_df(one, words),
    )


def _df(one: Budget, words: Speaker) -> str:
    return words.count(math.floor(one.df)) if math.isfinite(one.df) else words.plain(one.df)


def _table(shown: tuple[Budget, ...], words: Speaker) -> blocks.Block:
    """A row for each result; a part's bar is its share of the variance."""
    kinds = [kind for kind in KINDS if any(kind in one.parts for one in shown)]
    several = len({one.result.analyte for one in shown}) > 1
    rows: list[list[blocks.Cell]] = [
        [
            blocks.cell(one.bag, small=_quantity(one, words) if several else ""),
            *(_part(one, kind, words) for kind in kinds),
            _bare(one.u, one, words),
            _df(one, words),
            words.count(one.k, 2),
            _bare(one.half, one, words),
        ]
        for one in shown
    ]
    head = [
        words("bench_paper.report.bag"),
        *(words(f"bench_paper.budget.{kind}") for kind in kinds),
        *(words(f"bench_paper.doubt.{name}") for name in ("u", "df", "k", "half")),
    ]
    widths = [2.3, *[1.0] * len(kinds), 0.9, 0.9, 0.6, 0.8]
    return blocks.table(
        head, rows, align="l" + "l" * len(kinds) + "rrrr", widths=widths, tight=True
    )


def _quantity(one: Budget, words: Speaker) -> str:
    unit = words.unit(one.result.analyte)
    name = words.name(one.result.analyte)
    return f"{name}, {unit}" if unit else name


def _digits(one: Budget) -> int:
    """Decimals that leave two digits of the whole doubt."""
    return max(0, 1 - math.floor(math.log10(one.u)))


def _bare(u: float, one: Budget, words: Speaker) -> str:
    """A part without its unit, as fine as the whole; what is finer is said to be under that."""
    digits = _digits(one)
    least = 10.0**-digits
    if 0 < u < least / 2:
        return words("bench_paper.doubt.under", least=words.count(least, digits))
    return words.count(u, digits)


def _part(one: Budget, kind: str, words: Speaker) -> blocks.Cell:
    u = one.parts.get(kind)
    if u is None:
        return ""
    return blocks.cell(_bare(u, one, words), share=(u / one.u) ** 2, bar=_BAR)
