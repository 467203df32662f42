"""Ergovaline of tall fescue: mares, cattle and sheep, in the whole forage they eat."""

from __future__ import annotations

from typing import Literal

from haywright.bunk.hazards.finding import Finding, Level, Value, high, line
from haywright.bunk.hazards.moulds import in_diet
from haywright.measure.message import Amount, message

Who = Literal["mare_late", "mare_early", "cattle", "sheep", "horse"]


def judge_ergovaline(
    ergovaline: Value, *, share: float = 100.0, who: Who, days_baled: float | None = None
) -> Finding:
    """Ergovaline of the whole forage against the line of who eats it.

    Parameters
    ----------
    ergovaline
        In the fescue [ppb of dry matter].
    share
        Fescue in the forage [%].
    who
        mare_late (last third), mare_early (first), cattle, sheep, or horse (not in foal).
    days_baled
        Since baling [day]; the first month takes most of it away.
    """
    diet = float(in_diet(high(ergovaline), share))
    amount = Amount(diet, "ppb", "dry matter", digits=0)
    if who == "horse":
        row = line("fescue", "mare_early")
        return Finding("ergovaline", "information", message("hazards_other.fescue.horse"),
                       row["source"], row["mark"], amount)  # fmt: skip
    row = line("fescue", who)
    lowest = line("fescue", "cattle_lowest")
    level: Level = "below"
    if diet > row["line"]:
        level = "stop" if who == "mare_late" else "restrict"
    elif who == "cattle" and diet > lowest["line"]:
        level = "caution"
    over = "over" if level in ("stop", "restrict") else "near" if level == "caution" else "below"
    wait = line("fescue", "wait_days")
    early = days_baled is not None and days_baled < wait["line"]
    advice = []
    if early:
        advice.append(
            message("hazards_other.fescue.wait", days=Amount(wait["line"], "day", digits=0))
        )
    if who.startswith("mare"):
        advice.append(message("hazards_other.fescue.mares"))
    return Finding(
        hazard="ergovaline",
        level=level,
        says=message(
            f"hazards_other.fescue.{over}", found=amount, line=Amount(row["line"], "ppb", digits=0)
        ),
        source=row["source"],
        mark=row["mark"],
        value=amount,
        advice=tuple(advice),
    )
