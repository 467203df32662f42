"""Protein that heat has bound: the sources differ on when to adjust."""

from __future__ import annotations

from haywright.bunk.hazards.finding import Finding, Value, high, low
from haywright.measure.estimate import Estimate
from haywright.measure.message import Amount, message
from haywright.measure.register import apply
from haywright.sheet.protein import adicp_share, heat_adjusts


def judge_heat(adicp: Value, cp: Value) -> Finding:
    """Bound protein as a share of protein, and which source would adjust.

    Parameters
    ----------
    adicp, cp
        [% of dry matter].
    """
    share: Estimate = apply(adicp_share, {"adicp": adicp, "cp": cp})
    adjusts = heat_adjusts(high(adicp), low(cp))
    count = sum(adjusts.values())
    key = "none" if not count else "all" if count == len(adjusts) else "some"
    amount = Amount(share.value, "%", digits=0)
    return Finding(
        hazard="heat_damage",
        level="caution" if count else "below",
        says=message(
            f"hazards_other.heat.{key}",
            share=amount,
            by=tuple(name.title() for name, yes in adjusts.items() if yes),
        ),
        source="unl-adicp-heat",
        mark="read",
        value=amount,
        advice=(message("hazards_other.heat.advice"),) if count else (),
    )
