"""Clovers: mouldy sweetclover, slaframine, alsike and horses."""

from __future__ import annotations

from haywright.bunk.hazards.finding import Finding, Level, Value, high, line
from haywright.measure.message import Amount, message


def judge_sweetclover(
    dicoumarol: Value | None, *, mouldy: bool, days_to_birth: float | None = None
) -> Finding:
    """Sweetclover hay; mould may be invisible, so an untested lot is unknown.

    Parameters
    ----------
    dicoumarol
        [mg/kg]; ``None`` when not tested.
    mouldy
        Whether mould, heat or wet baling was seen.
    days_to_birth
        Of the stock that would eat it [day].
    """
    row = line("clovers", "dicoumarol")
    near = (
        days_to_birth is not None
        and days_to_birth <= line("clovers", "days_before_calving")["line"]
    )
    advice = (message("hazards_other.sweetclover.rest"), message("hazards_other.sweetclover.birth"))
    if near:
        return Finding("sweetclover", "stop", message("hazards_other.sweetclover.near_birth"),
                       "sweetclover-review", "read", None, advice)  # fmt: skip
    if dicoumarol is None:
        level: Level = "restrict" if mouldy else "unknown"
        key = "hazards_other.sweetclover.mouldy" if mouldy else "hazards_other.sweetclover.untested"
        return Finding(
            "sweetclover", level, message(key), "sweetclover-ndsu-sdsu", "read", None, advice
        )
    amount = Amount(high(dicoumarol), "mg/kg", digits=0)
    over = high(dicoumarol) >= row["line"]
    return Finding(
        hazard="sweetclover",
        level="stop" if over else "caution",
        says=message(
            "hazards_other.sweetclover.over" if over else "hazards_other.sweetclover.below",
            found=amount,
            line=row["line"],
        ),
        source=row["source"],
        mark=row["mark"],
        value=amount,
        advice=advice,
    )


def judge_slaframine(slaframine: Value) -> Finding:
    """Slaframine of clover hay, the cause of slobbers; slaframine [mg/kg]."""
    row = line("clovers", "slaframine")
    over = high(slaframine) > row["line"]
    amount = Amount(high(slaframine), "mg/kg", digits=0)
    return Finding(
        hazard="slaframine",
        level="restrict" if over else "below",
        says=message(
            "hazards_other.slaframine.over" if over else "hazards_other.slaframine.below",
            found=amount,
            line=row["line"],
        ),
        source=row["source"],
        mark=row["mark"],
        value=amount,
        advice=(message("hazards_other.slaframine.advice"),) if over else (),
    )


def judge_alsike(*, species: str) -> Finding:
    """Hay with alsike clover, by who eats it."""
    horse = species == "horse"
    return Finding(
        hazard="alsike",
        level="stop" if horse else "information",
        says=message("hazards_other.alsike.horse" if horse else "hazards_other.alsike.others"),
        source="alsike-msue",
        mark="read",
    )
