"""Grass tetany, cation-anion balance, calcium to phosphorus, selenium: from a diet's minerals."""

from __future__ import annotations

from haywright.bunk.hazards.finding import Finding, Level, Value, high, line, low
from haywright.measure.estimate import Estimate
from haywright.measure.message import Amount, message
from haywright.measure.register import apply
from haywright.sheet.mineral import ca_to_p, dcad_oetzel, tetany_ratio


def judge_tetany(k: Value, ca: Value, mg: Value, *, at_risk: bool = True) -> Finding:
    """The tetany ratio against its line of 2.2, at its upper end; a screen, not a diagnosis.

    Parameters
    ----------
    k, ca, mg
        Of the diet [% of dry matter].
    at_risk
        Whether there are cows or ewes that are milking or close to birth.
    """
    found: Estimate = apply(tetany_ratio, {"k": k, "ca": ca, "mg": mg})
    row = line("tetany", "ratio")
    over = high(found) > row["line"]
    short = low(mg) < line("tetany", "magnesium")["line"]
    level: Level = "below"
    if over:
        level = "caution" if at_risk else "information"
    key = "hazards_other.tetany.over" if over else "hazards_other.tetany.below"
    advice = [message("hazards_other.tetany.advice")] if over else []
    if short and at_risk:
        advice.append(message("hazards_other.tetany.magnesium", mg=Amount(low(mg), "%", digits=2)))
    return Finding(
        hazard="tetany",
        level=level,
        says=message(key, ratio=Amount(found.value, digits=2), line=row["line"]),
        source=row["source"],
        mark=row["mark"],
        value=Amount(found.value, digits=2),
        advice=tuple(advice),
    )


def judge_cation_anion(na: Value, k: Value, cl: Value, s: Value) -> Finding:
    """The cation-anion difference, as information for close-up dairy cows [each % of DM]."""
    found: Estimate = apply(dcad_oetzel, {"na": na, "k": k, "cl": cl, "s": s})
    amount = Amount(found.value, "meq/100 g", "dry matter", digits=1)
    return Finding(
        hazard="dcad",
        level="information",
        says=message("hazards_other.dcad.information", dcad=amount),
        source="tetany-ratio-manitoba",
        mark="read",
        value=amount,
    )


def judge_calcium(ca: Value, p: Value, *, species: str = "cattle", stones: bool = False) -> Finding:
    """Calcium to phosphorus of the whole diet.

    Parameters
    ----------
    ca, p
        Of the diet [% of dry matter].
    species
        cattle, sheep, goat or horse.
    stones
        Whether there are wethers, rams or bucks, which urinary stones threaten.
    """
    found: Estimate = apply(ca_to_p, {"ca": ca, "p": p})
    least = line("calcium_phosphorus", "wether_least" if stones else "least")
    most = line("calcium_phosphorus", "horse_most" if species == "horse" else "most")
    ratio = Amount(found.value, digits=1)
    if low(found) < least["line"]:
        key, level, row = "hazards_other.calcium.low", "restrict" if stones else "caution", least
    elif high(found) > most["line"]:
        key, level, row = "hazards_other.calcium.high", "caution", most
    else:
        key, level, row = "hazards_other.calcium.between", "below", least
    return Finding(
        hazard="calcium_phosphorus",
        level=level,  # type: ignore[arg-type]
        says=message(key, ratio=ratio, least=least["line"], most=most["line"]),
        source=row["source"],
        mark=row["mark"],
        value=ratio,
        advice=(message("hazards_other.calcium.stones"),) if stones else (),
    )


def judge_selenium(se: Value) -> Finding:
    """Selenium of a forage: too little, enough, too much; se [mg/kg of dry matter]."""
    need, toxic = line("selenium", "need"), line("selenium", "toxic")
    older, acute = line("selenium", "older"), line("selenium", "acute")
    most, least = high(se), low(se)
    amount = Amount(most, "mg/kg", "dry matter", analyte="se")
    if most >= acute["line"]:
        key, level, row = "hazards_other.selenium.acute", "stop", acute
    elif most > toxic["line"]:
        key, level, row = "hazards_other.selenium.toxic", "stop", toxic
    elif most > older["line"]:
        key, level, row = "hazards_other.selenium.older", "caution", older
    elif least < need["line"]:
        key, level, row = "hazards_other.selenium.short", "information", need
    else:
        key, level, row = "hazards_other.selenium.between", "below", toxic
    return Finding(
        hazard="selenium",
        level=level,  # type: ignore[arg-type]
        says=message(key, se=amount, line=row["line"]),
        source=row["source"],
        mark=row["mark"],
        value=amount,
    )
