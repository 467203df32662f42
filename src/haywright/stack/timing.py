"""What one lot is, and when it may be sampled."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from haywright.measure.errors import Refused
from haywright.measure.message import Amount, Message, message
from haywright.measure.units import convert
from haywright.sources.named import NamedTable
from haywright.sources.tables import load_toml
from haywright.stack.lot import Lot
from haywright.stack.packages import positive


@dataclass(frozen=True, slots=True)
class LotRule:
    """A published ceiling of one lot: ``most`` [``unit`` ``of``], baled within ``hours`` [h]."""

    id: str
    name: str
    most: float
    unit: str
    of: str
    hours: float
    source: str
    also: tuple[str, ...] = ()
    default: bool = False


_RULES = NamedTable("lot_rules", LotRule, field="lot rule")


def lot_rules() -> Mapping[str, LotRule]:
    """Every published definition of a lot, by id."""
    return _RULES.rows


def lot_rule(word: str = "") -> LotRule:
    """The definition of a name; the default one when none is given."""
    if word:
        return _RULES.find(word)
    return next(one for one in lot_rules().values() if one.default)


@dataclass(frozen=True, slots=True)
class Lots:
    """Into how many lots hay goes, and how much each holds [kg, on the rule's basis]."""

    lots: int
    each: float


def split_lot(mass: float, rule: str = "", *, dm: float | None = None) -> Lots:
    """Equal lots, none over a rule's ceiling.

    Parameters
    ----------
    mass
        Hay [kg as it stands].
    rule
        Name of the definition; the default one when empty.
    dm
        Dry matter [% as it stands], for a rule that counts dry matter.
    """
    one = lot_rule(rule)
    counted = positive("mass", mass)
    if one.of == "dry matter":
        if dm is None:
            raise Refused("dm", None, key="stack.lot.needs_dm", rule=one.name)
        counted *= dm / 100
    ceiling = convert(one.most, one.unit, "kg")
    lots = math.ceil(counted / ceiling * (1 - 1e-12))
    return Lots(lots, counted / lots)


def one_window(hours: float, rule: str = "") -> bool:
    """Whether hay baled over a span is within a rule's window [h]."""
    return hours <= lot_rule(rule).hours


def lot_doubts(lot: Lot, rule: str = "") -> tuple[Message, ...]:
    """Why the hay may be more than one lot; empty when nothing known speaks for it."""
    one, said = lot_rule(rule), []
    mass = None if lot.packages is None else lot.packages.mass
    if mass is not None and one.of != "dry matter":
        split = split_lot(mass, rule)
        if split.lots > 1:
            said.append(
                message(
                    "stack.lot.too_heavy",
                    mass=Amount(convert(mass, "kg", "tonne"), "tonne", digits=0),
                    most=Amount(convert(one.most, one.unit, "tonne"), "tonne", digits=0),
                    rule=one.name,
                    lots=split.lots,
                )
            )
    if lot.baling_hours is not None and not one_window(lot.baling_hours, rule):
        said.append(
            message("stack.lot.too_long", hours=lot.baling_hours, window=one.hours, rule=one.name)
        )
    return tuple(said)


@dataclass(frozen=True, slots=True)
class When:
    """One advice on when to sample.

    ``not_before`` is a day when the day of baling is known; ``source`` a bibliography key.
    """

    reason: Message
    not_before: date | None
    source: str

    def to_json(self) -> dict[str, Any]:
        """Plain values."""
        day = None if self.not_before is None else self.not_before.isoformat()
        return {"advice": self.reason.to_json(), "not_before": day, "source": self.source}


def when_to_sample(lot: Lot) -> tuple[When, ...]:
    """Every published advice that speaks of the lot, the ones with a day first."""
    rows = load_toml("sampling_times")
    found = [_when(name, row, lot) for name, row in rows.items() if _speaks(row, lot)]
    return tuple(sorted(found, key=lambda one: one.not_before is None))


def earliest(lot: Lot) -> date | None:
    """The latest of the days before which the lot should not be sampled."""
    days = [one.not_before for one in when_to_sample(lot) if one.not_before is not None]
    return max(days, default=None)


def _speaks(row: Mapping[str, Any], lot: Lot) -> bool:
    kept = lot.kept
    if lot.form not in row["forms"]:
        return False
    if "groups" in row and (kept is None or kept.group not in row["groups"]):
        return False
    if "moisture_over" in row and (lot.moisture is None or lot.moisture <= row["moisture_over"]):
        return False
    return not row.get("nitrate") or bool(lot.suspects_nitrate())


def _when(name: str, row: Mapping[str, Any], lot: Lot) -> When:
    waits = "wait_days" in row and not row.get("before")
    days = row.get("wait_days", 0)
    not_before = lot.baled_on + timedelta(days=days) if waits and lot.baled_on else None
    reason = message(
        f"stack.when.{name.replace('-', '_')}",
        weeks=days // 7,
        to_weeks=row.get("to_days", days) // 7,
        moisture=row.get("moisture_over", 0),
        day=not_before,
    )
    return When(reason, not_before, row["source"])
