"""Ammoniated forage: what may be treated, and who may not have it."""

from __future__ import annotations

from haywright.bunk.hazards.finding import Finding, Level, line
from haywright.measure.message import Amount, Message, message

POOR_ROUGHAGE = frozenset({"straw", "corn"})


def judge_ammoniated(
    ammonia: float, *, forage_class: str, species: str = "cattle", milking: bool = False
) -> Finding:
    """Ammonia on a forage, by what was treated and who eats it.

    Parameters
    ----------
    ammonia
        Put on [% of dry matter].
    forage_class
        straw, corn, grass, legume, small_grain, sorghum, mixed or brassica.
    species
        cattle, sheep, goat or horse.
    milking
        Whether they nurse: the young are poisoned through the milk.
    """
    row = line("ammoniated", "most")
    reasons: list[Message] = []
    if forage_class not in POOR_ROUGHAGE:
        reasons.append(message("hazards_other.ammoniated.sugar"))
    if ammonia >= row["line"]:
        reasons.append(
            message("hazards_other.ammoniated.much", found=Amount(ammonia, "%", digits=1))
        )
    if species == "horse":
        reasons.append(message("hazards_other.ammoniated.horse"))
    if milking:
        reasons.append(message("hazards_other.ammoniated.milking"))
    level: Level = "stop" if reasons else "caution"
    says = (
        message("hazards_other.ammoniated.stop", reasons=tuple(reasons))
        if reasons
        else message("hazards_other.ammoniated.poor")
    )
    return Finding(
        hazard="ammoniated",
        level=level,
        says=says,
        source=row["source"],
        mark=row["mark"],
        advice=(
            message("hazards_other.ammoniated.signs"),
            message("hazards_other.ammoniated.people"),
        ),
    )
