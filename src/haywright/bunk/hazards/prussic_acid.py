"""Prussic acid: what a result means by each published limit, and how long frost keeps stock off.

A dried sample reads falsely low: the sample is shipped fresh or frozen, sealed, fast.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from haywright.measure.basis import to_dry_matter
from haywright.measure.errors import Refused, UnknownName
from haywright.measure.message import Amount, Message, message
from haywright.sources.tables import load_toml

CAUTIONS = (
    "bunk.prussic.caution.sample",
    "bunk.prussic.caution.cured",
    "bunk.prussic.caution.horses",
    "bunk.prussic.caution.call",
)


@dataclass(frozen=True, slots=True)
class PrussicLimit:
    """One published limit held against a result.

    Parameters
    ----------
    name, source, mark
        Whose limit.
    over_as_is, over_dry
        Whether the result is over the limit as it stands and on dry matter; ``None`` without one.
    as_is, dry
        The limits [mg/kg HCN].
    """

    name: str
    source: str
    mark: str
    over_as_is: bool | None
    over_dry: bool | None
    as_is: float | None
    dry: float | None

    @property
    def over(self) -> bool:
        """Whether either test fired."""
        return bool(self.over_as_is or self.over_dry)


@dataclass(frozen=True, slots=True)
class PrussicAcid:
    """A prussic-acid result by each limit [mg/kg HCN, as it stands and on dry matter]."""

    as_is: float
    dry: float
    limits: tuple[PrussicLimit, ...]

    @property
    def over(self) -> bool:
        """Whether any published limit is passed."""
        return any(one.over for one in self.limits)

    def lines(self) -> tuple[Message, ...]:
        """The answer as messages, cautions with it."""
        head = message(
            f"bunk.prussic.{'over' if self.over else 'below'}",
            as_is=Amount(self.as_is, "mg/kg", analyte="hcn"),
            dry=Amount(self.dry, "mg/kg", analyte="hcn"),
        )
        each = tuple(
            message(
                f"bunk.prussic.limit_{'over' if one.over else 'below'}",
                name=one.name,
                limits=tuple(
                    message(f"bunk.prussic.limit.{kind}", level=Amount(level, "mg/kg", digits=0))
                    for kind, level in (("as_is", one.as_is), ("dry", one.dry))
                    if level is not None
                ),
            )
            for one in self.limits
        )
        return (head, *each, *(message(key) for key in CAUTIONS))

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return {
            "hcn_mg_per_kg_as_is": self.as_is,
            "hcn_mg_per_kg_dm": self.dry,
            "over": self.over,
            "limits": [
                {
                    "name": one.name,
                    "as_is": one.as_is,
                    "dry": one.dry,
                    "over_as_is": one.over_as_is,
                    "over_dry": one.over_dry,
                    "source": one.source,
                }
                for one in self.limits
            ],
        }


def judge_prussic_acid(as_is: float, dm: float) -> PrussicAcid:
    """Hold a result against every published limit.

    Parameters
    ----------
    as_is
        Prussic acid as it stands [mg/kg HCN].
    dm
        Dry matter [%].
    """
    if not as_is >= 0:
        raise Refused("hcn", as_is, ">= 0")
    if not 0 < dm <= 100:
        raise Refused("dm", dm, key="measure.dry_matter_range")
    dry = float(to_dry_matter(as_is, dm))
    limits = tuple(
        PrussicLimit(
            name=row["name"],
            source=row["source"],
            mark=row["mark"],
            over_as_is=as_is > row["as_is"] if "as_is" in row else None,
            over_dry=dry > row["dry"] if "dry" in row else None,
            as_is=row.get("as_is"),
            dry=row.get("dry"),
        )
        for row in load_toml("prussic_acid")["limits"].values()
    )
    return PrussicAcid(as_is, dry, limits)


def frost_wait(crop: str, height: float, rule: str) -> tuple[float, float]:
    """Days to keep stock off frosted plants by a published rule: least and most.

    Parameters
    ----------
    crop
        Crop id.
    height
        Of the plants [in].
    rule
        Name of the rule.
    """
    rules = load_toml("prussic_acid")["frost"]
    if rule not in rules:
        raise UnknownName("rule", rule, rules)
    one = rules[rule]
    if "all_days" in one:
        return tuple(map(float, one["all_days"]))  # type: ignore[return-value]
    tall = one["tall"]
    if crop not in tall:
        raise UnknownName("crop", crop, [name for name in tall if name != "days"])
    if height >= tall[crop]:
        days = tall["days"]
    elif "short_days" in one:
        days = one["short_days"]
    else:
        raise Refused("height", height, key="bunk.prussic.too_short", least=tall[crop])
    return float(days[0]), float(days[1])
