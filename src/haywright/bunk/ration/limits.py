"""What a ration must keep: amounts, shares of the diet, ratios, intake, and single feeds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from haywright.bunk.ration.feed import RationFeed
from haywright.bunk.ration.program import Floats
from haywright.measure.analytes import quantity
from haywright.measure.errors import Refused
from haywright.measure.message import Amount, Message, message

_AMOUNT_UNIT = {"%": "kg", "mg/kg": "mg", "Mcal/kg": "Mcal", "": ""}


@dataclass(frozen=True, slots=True)
class Limit:
    """One thing a ration must keep: least <= coefficients x amounts <= most.

    Parameters
    ----------
    id
        Short name, such as "cp" or "dry_matter".
    says
        What it is, for a sentence.
    coefficients
        By feed, per kg of dry matter.
    least, most
        Bounds [``unit`` a day]; ``None`` for none.
    unit
        Of the bounds; "" where they are those of a share or a ratio.
    named
        The share or ratio that the limit speaks of, when it is one.
    unknown
        Feeds whose content is not known; they count as bringing nothing.
    """

    id: str
    says: Message
    coefficients: Floats
    least: float | None = None
    most: float | None = None
    unit: str = ""
    named: Amount | None = None
    unknown: tuple[str, ...] = ()


def _contents(name: str, feeds: Sequence[RationFeed]) -> tuple[Floats, tuple[str, ...]]:
    unknown = tuple(one.name for one in feeds if one.holds(name) is None)
    return np.array([one.holds(name) or 0.0 for one in feeds]), unknown


def amount(
    name: str,
    feeds: Sequence[RationFeed],
    *,
    least: float | None = None,
    most: float | None = None,
) -> Limit:
    """An amount a day of a nutrient.

    Parameters
    ----------
    name
        Dictionary name.
    feeds
        What is offered.
    least, most
        [kg, mg or Mcal a day].
    """
    contents, unknown = _contents(name, feeds)
    return Limit(
        id=name,
        says=message("measure.quantity", id=name),
        coefficients=contents,
        least=least,
        most=most,
        unit=_AMOUNT_UNIT[quantity(name).unit],
        unknown=unknown,
    )


def share(
    name: str,
    feeds: Sequence[RationFeed],
    *,
    least: float | None = None,
    most: float | None = None,
) -> Limit:
    """A share of the diet: sum (content - bound) x amount on one side of 0.

    Parameters
    ----------
    name
        Dictionary name.
    feeds
        What is offered.
    least, most
        One of them [%, mg/kg or Mcal/kg of dry matter].
    """
    bound = _one_of(name, least, most)
    contents, unknown = _contents(name, feeds)
    known = RationFeed("bound", {name: bound}).holds(name) or 0.0
    if most is not None:  # an unknown content is no reason to think it is low
        contents = np.array([known if one.name in unknown else c
                             for one, c in zip(feeds, contents, strict=True)])  # fmt: skip
    entry = quantity(name)
    return Limit(
        id=f"{name}_share",
        says=message("ration.share_of_diet", quantity=message("measure.quantity", id=name)),
        coefficients=contents - known,
        least=0.0 if least is not None else None,
        most=0.0 if most is not None else None,
        named=Amount(bound, entry.unit, entry.basis, analyte=name),
        unknown=unknown,
    )


def ratio(
    top: str,
    bottom: str,
    feeds: Sequence[RationFeed],
    *,
    least: float | None = None,
    most: float | None = None,
) -> Limit:
    """A ratio of two nutrients of the diet: sum (top - bound x bottom) x amount.

    Parameters
    ----------
    top, bottom
        Dictionary names.
    feeds
        What is offered.
    least, most
        One of them [the ratio].
    """
    bound = _one_of(top, least, most)
    above, unknown_top = _contents(top, feeds)
    below, unknown_bottom = _contents(bottom, feeds)
    return Limit(
        id=f"{top}_to_{bottom}",
        says=message(
            "ration.ratio",
            top=message("measure.quantity", id=top),
            bottom=message("measure.quantity", id=bottom),
        ),
        coefficients=above - bound * below,
        least=0.0 if least is not None else None,
        most=0.0 if most is not None else None,
        named=Amount(bound, "", digits=1),
        unknown=tuple(dict.fromkeys((*unknown_top, *unknown_bottom))),
    )


def dry_matter(
    feeds: Sequence[RationFeed], *, least: float | None = None, most: float | None = None
) -> Limit:
    """Dry matter a day; least [kg], most [kg]."""
    return Limit(
        id="dry_matter",
        says=message("ration.dry_matter"),
        coefficients=np.ones(len(feeds)),
        least=least,
        most=most,
        unit="kg",
    )


def forage(
    feeds: Sequence[RationFeed], *, least: float | None = None, most: float | None = None
) -> Limit:
    """Forage a day; least [kg of dry matter], most [kg of dry matter]."""
    return Limit(
        id="forage",
        says=message("ration.forage"),
        coefficients=np.array([float(one.forage) for one in feeds]),
        least=least,
        most=most,
        unit="kg",
    )


def room(
    feeds: Sequence[RationFeed], capacity: Mapping[str, float], *, full: bool = False
) -> Limit:
    """Room for feed: a feed fills 1/(what would be eaten of it alone) for each kg.

    Parameters
    ----------
    feeds
        What is offered.
    capacity
        Feed name -> what would be eaten of it alone [kg of dry matter a day].
    full
        Whether stock eat until full, as from a rack, rather than at most that.
    """
    return Limit(
        id="room",
        says=message("ration.room"),
        coefficients=np.array([1.0 / capacity[one.name] for one in feeds]),
        least=1.0 if full else None,
        most=1.0,
    )


def of_feed(
    which: str,
    feeds: Sequence[RationFeed],
    *,
    least: float | None = None,
    most: float | None = None,
) -> Limit:
    """Bounds of one feed a day; least [kg of dry matter], most [kg of dry matter]."""
    return Limit(
        id=f"feed:{which}",
        says=message("ration.one_feed", feed=which),
        coefficients=np.array([float(one.name == which) for one in feeds]),
        least=least,
        most=most,
        unit="kg",
    )


def of_kind(
    kind: str, says: str, feeds: Sequence[RationFeed], *, most: float, share: bool = False
) -> Limit:
    """The most of all feeds that carry something, together.

    Parameters
    ----------
    kind
        What they carry.
    says
        The name a person reads.
    feeds
        What is offered.
    most
        [kg of dry matter a day, or fraction of the diet].
    share
        Whether ``most`` is a fraction of the diet.
    """
    carried = np.array([float(kind in one.carries) for one in feeds])
    return Limit(
        id=f"kind:{kind}",
        says=message("ration.kind", kind=says),
        coefficients=carried - most if share else carried,
        most=0.0 if share else most,
        unit="" if share else "kg",
        named=Amount(100.0 * most, "%", digits=1) if share else None,
    )


def _one_of(name: str, least: float | None, most: float | None) -> float:
    if (least is None) == (most is None):
        raise Refused(name, None, key="ration.one_bound")
    return least if least is not None else most  # type: ignore[return-value]
