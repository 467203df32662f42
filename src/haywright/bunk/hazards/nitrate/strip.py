"""What every guide says of one hay for one kind of stock, side by side; never averaged."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from haywright.bunk.hazards.nitrate.blend import share_at_target
from haywright.bunk.hazards.nitrate.ladder import step_at
from haywright.bunk.hazards.nitrate.lookup import Says, says
from haywright.bunk.hazards.nitrate.question import NitrateQuestion
from haywright.sources.guides import Guide, Row, guides


@dataclass(frozen=True, slots=True)
class GuideSays:
    """What one guide says at the upper bound of the lot mean.

    Parameters
    ----------
    says
        Its row, in its own unit.
    share
        Most of the ration dry matter [0 to 1]: its own number, or what its own dilution target
        works out to; ``None`` without either.
    diluted
        Whether the share follows from its dilution target.
    refused
        Whether its row gives no number and none is given on this program's word.
    too_close
        Whether the lower bound lies in a row of it that allows more.
    """

    says: Says
    share: float | None
    diluted: bool = False
    refused: bool = False
    too_close: bool = False

    @property
    def guide(self) -> Guide:
        """Whose guide."""
        return self.says.guide

    @property
    def silent(self) -> bool:
        """Whether the guide says nothing of these animals here."""
        return self.says.silent

    @property
    def recalled(self) -> bool:
        """Whether a row that spoke was written from memory."""
        return self.says.recalled

    @property
    def row(self) -> Row:
        """The row that ruled."""
        return self.says.row

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        here = self.says
        return {
            "guide": self.guide.id,
            "name": self.guide.institution,
            "unit": self.guide.printed_unit,
            "value": here.value,
            "from": None if here.silent else here.row.low,
            "to": None if here.silent else here.row.high,
            "class_used": here.class_used,
            "notes": [row.note for row in here.rows],
            "share": "silent" if here.silent else self.share,
            "by_its_dilution_target": self.diluted,
            "no_share_on_this_programs_word": self.refused,
            "too_close_to_call": self.too_close,
            "recalled": self.recalled,
        }


def every_guide(q: NitrateQuestion, low: float, high: float) -> tuple[GuideSays, ...]:
    """The chosen guide first, then strictest to mildest, then no number, then silent.

    Parameters
    ----------
    q
        The question.
    low, high
        One-sided bounds of the lot mean [mg/kg NO3-N of DM].
    """
    others = [one_guide(q, g, low, high) for g in guides().values() if g.id != q.guide.id]
    numbered = sorted(
        (one for one in others if one.share is not None), key=lambda one: one.share or 0.0
    )
    without = [one for one in others if one.share is None and not one.silent]
    silent = [one for one in others if one.silent]
    return (one_guide(q, q.guide, low, high), *numbered, *without, *silent)


def one_guide(q: NitrateQuestion, guide: Guide, low: float, high: float) -> GuideSays:
    """What one guide says of the hay of a question.

    Parameters
    ----------
    q
        The question.
    guide
        The guide.
    low, high
        One-sided bounds of the lot mean [mg/kg NO3-N of DM].
    """
    upper, lower = (step_at(guide, q.classes, level, q.rules) for level in (high, low))
    here = says(guide, high, q.classes)
    too_close = not here.silent and lower.sameness != upper.sameness
    if here.silent or here.share is not None or upper.refused:
        return GuideSays(here, here.share, refused=upper.refused, too_close=too_close)
    known = q.rest.feed is not None and q.rest.water is not None
    if guide.target_no3n is None or not known:
        return GuideSays(here, None, too_close=too_close)
    share = float(share_at_target(high, q.rest.feed, guide.target_no3n, q.rest.water))
    return GuideSays(here, min(share, upper.most), diluted=True, too_close=too_close)
