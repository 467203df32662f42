"""Baleage: acid enough, neither too wet nor too dry, and not for horses without a veterinarian."""

from __future__ import annotations

from haywright.bunk.hazards.finding import Finding, Level, line
from haywright.measure.message import Amount, Message, message


def judge_baleage(
    *, ph: float | None, moisture: float | None, species: str = "cattle", torn: bool = False
) -> Finding:
    """Wrapped hay by its acidity and moisture.

    Parameters
    ----------
    ph
        ``None`` when not tested [pH].
    moisture
        At wrapping [% as wrapped]; ``None`` when not known.
    species
        Horses are the most sensitive.
    torn
        Whether plastic was torn.
    """
    acid, dry = line("botulism", "ph"), line("botulism", "moisture_low")
    wet, soaked = line("botulism", "moisture_high"), line("botulism", "moisture_clostridia")
    reasons: list[Message] = []
    level: Level = "below"

    def add(new: Level, reason: Message) -> None:
        nonlocal level
        reasons.append(reason)
        order = ("below", "unknown", "caution", "restrict", "stop")
        level = max(level, new, key=order.index)

    if ph is None:
        add("unknown", message("hazards_other.botulism.untested"))
    elif ph > acid["line"]:
        add(
            "stop",
            message("hazards_other.botulism.sour", ph=Amount(ph, digits=1), line=acid["line"]),
        )
    if moisture is not None:
        shown = Amount(moisture, "%", digits=0)
        if moisture >= soaked["line"]:
            add("stop", message("hazards_other.botulism.soaked", moisture=shown))
        elif moisture > wet["line"]:
            add("caution", message("hazards_other.botulism.wet", moisture=shown))
        elif moisture < dry["line"]:
            add("caution", message("hazards_other.botulism.dry", moisture=shown))
    if torn:
        add("restrict", message("hazards_other.botulism.torn"))
    if species == "horse":
        add("restrict", message("hazards_other.botulism.horse"))
    return Finding(
        hazard="botulism",
        level=level,
        says=message("hazards_other.botulism.reasons", reasons=tuple(reasons))
        if reasons
        else message("hazards_other.botulism.below", line=acid["line"]),
        source=acid["source"],
        mark=acid["mark"],
        advice=(message("hazards_other.botulism.advice"),),
    )
