"""What such hay usually holds, and how unusual this one is.

A bar of usual hay is the middle 8 of 10 of one row of the feed table: its mean and the printed
spread between lots, or a planning spread where none is printed. Table values are what to expect
before a test, never instead of one; in a dry year whole districts fall outside.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any, Literal

from haywright.measure.message import Amount, Message, message
from haywright.measure.result import Results
from haywright.sheet.indices import rfv_rohweder
from haywright.sources.crops import Crop
from haywright.sources.feeds import Feed, feed
from haywright.sources.tables import load_toml

QUANTITIES = ("dm", "cp", "adf", "ndf", "tdn", "ca", "p", "k", "mg", "rfv")
_MIDDLE = 0.8


@dataclass(frozen=True, slots=True)
class Usual:
    """Usual hay in one quantity, and where this hay stands.

    Parameters
    ----------
    quantity
        Dictionary name.
    low, high
        The middle 8 of 10 [unit of the quantity].
    mean, sd
        Of the row [unit of the quantity].
    lower_share
        Share of such hays that test lower than this one [fraction]; ``None`` without a value.
    feed
        The row.
    spread
        ``printed`` with the row, or ``planning``.
    """

    quantity: str
    low: float
    high: float
    mean: float
    sd: float
    lower_share: float | None
    feed: Feed
    spread: Literal["printed", "planning"]

    @property
    def outside(self) -> bool:
        """Whether this hay lies outside the middle 8 of 10."""
        edge = (1 - _MIDDLE) / 2
        return self.lower_share is not None and not edge <= self.lower_share <= 1 - edge

    @property
    def recalled(self) -> bool:
        """Whether the bar must carry the mark of a recalled row."""
        return self.feed.recalled

    def message(self) -> Message | None:
        """How unusual, in words; nothing where it is usual.

        Nothing of TDN: the row's TDN comes from a rule of its own, so a difference says little.
        """
        if self.lower_share is None or not self.outside or self.quantity == "tdn":
            return None
        high = self.lower_share > 0.5
        rarer = 1 - self.lower_share if high else self.lower_share
        args: dict[str, Any] = {
            "quantity": message("measure.quantity", id=self.quantity),
            "feed": self._row_name(),
            "low": Amount(self.low, "", analyte=self.quantity),
            "high": Amount(self.high, "", analyte=self.quantity),
        }
        if rarer < 0.01:
            return message("sheet.usual.high_rare" if high else "sheet.usual.low_rare", **args)
        key = "sheet.usual.high" if high else "sheet.usual.low"
        return message(key, in_hundred=max(1, round(100 * rarer)), **args)

    def _row_name(self) -> Message | str:
        name = self.feed.name
        return message("sheet.usual.recalled_row", feed=name) if self.recalled else name

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return {
            "low": self.low,
            "high": self.high,
            "lower_share": self.lower_share,
            "feed": self.feed.id,
            "feed_name": self.feed.name,
            "source": self.feed.source,
            "samples": self.feed.samples,
            "recalled": self.recalled,
            "spread": self.spread,
        }


def rows_for(crop: Crop) -> tuple[Feed, ...]:
    """The rows of the feed table that speak for a crop, in order; none when none does."""
    table = load_toml("usual_hay")
    kind = f"grass_{crop.season}" if crop.forage_class == "grass" else crop.forage_class
    ids = table["rows"].get(crop.id, table["kinds"].get(kind, ()))
    return tuple(feed(one) for one in ids)


def usual_hay(results: Results, crop: Crop) -> dict[str, Usual]:
    """Usual hay of a crop beside the results of one sample, by quantity.

    Only quantities that a row holds and for which a spread is known are there.
    """
    found = {}
    for name, row in _holding(crop):
        sd, spread = _sd(row, name)
        if sd is None:
            continue
        dist = NormalDist(row.values[name], sd)
        known = name in results and results[name].settled
        found[name] = Usual(
            quantity=name,
            low=max(0.0, dist.inv_cdf((1 - _MIDDLE) / 2)),
            high=dist.inv_cdf((1 + _MIDDLE) / 2),
            mean=dist.mean,
            sd=sd,
            lower_share=dist.cdf(results[name].value) if known else None,
            feed=row,
            spread=spread,
        )
    return found


def _holding(crop: Crop) -> Iterator[tuple[str, Feed]]:
    """For each quantity the row to use: the first that was read, else the first recalled."""
    rows = rows_for(crop)
    for name in QUANTITIES:
        holding = [row for row in rows if name in row.values]
        read = [row for row in holding if not row.recalled]
        if holding:
            yield name, (read or holding)[0]


def _sd(row: Feed, name: str) -> tuple[float | None, Literal["printed", "planning"]]:
    if name in row.sds:
        return row.sds[name], "printed"
    if name == "rfv":
        return _sd_of_rfv(row), "planning"
    spread: Mapping[str, Any] = load_toml("usual_hay")["spread"]
    share = spread.get(name)
    return (None if share is None else share * row.values[name]), "planning"


def _sd_of_rfv(row: Feed) -> float | None:
    """Spread of RFV from the spreads of ADF and NDF, which rise and fall together."""
    if "adf" not in row.values or "ndf" not in row.values:
        return None
    adf, ndf = _sd(row, "adf")[0], _sd(row, "ndf")[0]
    if adf is None or ndf is None:
        return None
    mature = rfv_rohweder(row.values["adf"] + adf, row.values["ndf"] + ndf)
    young = rfv_rohweder(row.values["adf"] - adf, row.values["ndf"] - ndf)
    return float(young - mature) / 2
