"""Every hazard beside nitrate, prussic acid and hot hay that what is known allows to judge."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from haywright.bunk.hazards.botulism import judge_baleage
from haywright.bunk.hazards.clovers import judge_sweetclover
from haywright.bunk.hazards.copper import Copper, judge_copper
from haywright.bunk.hazards.fescue import Who, judge_ergovaline
from haywright.bunk.hazards.finding import LEVELS, Finding, Value, high
from haywright.bunk.hazards.heat_damage import judge_heat
from haywright.bunk.hazards.insects import judge_beetles
from haywright.bunk.hazards.minerals import (
    judge_calcium,
    judge_cation_anion,
    judge_selenium,
    judge_tetany,
)
from haywright.bunk.hazards.moulds import judge_mould
from haywright.bunk.hazards.sulfur import judge_sulfate, judge_sulfur
from haywright.bunk.hazards.tolerable import judge_levels, tables_for

_MINERALS = ("ca", "p", "mg", "k", "s", "cu", "mo", "fe", "mn", "zn", "se", "co")
JUDGED = (*_MINERALS, "na", "cl", "adicp", "cp", "mold_count", "ergovaline", "dicoumarol", "ph",
          "moisture", "water_sulfate", "blister_beetles")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Stock:
    """Who would eat it.

    Parameters
    ----------
    species
        cattle, sheep, goat or horse.
    weight
        Of one [kg].
    at_risk
        Whether they are milking or close to birth.
    stones
        Whether there are wethers, rams or bucks.
    calves
        Whether there are calves.
    mare
        mare_late or mare_early for mares in foal; "" otherwise.
    days_to_birth
        [day]; ``None`` when not in calf.
    """

    species: str
    weight: float
    at_risk: bool = True
    stones: bool = False
    calves: bool = False
    mare: str = ""
    days_to_birth: float | None = None


@dataclass(frozen=True, slots=True)
class Facts:
    """What is known besides the numbers.

    Parameters
    ----------
    forage_share
        Forage of the diet [% of dry matter].
    water_s
        Sulfur of the water, spread over intake [% of dry matter]; ``None`` when not known.
    fescue_share
        Fescue in the forage [%].
    days_baled
        Since baling [day].
    sweetclover, mouldy, baleage, torn
        What it is, and what was seen.
    """

    forage_share: float = 100.0
    water_s: float | None = None
    fescue_share: float = 100.0
    days_baled: float | None = None
    sweetclover: bool = False
    mouldy: bool = False
    baleage: bool = False
    torn: bool = False


@dataclass(frozen=True, slots=True)
class _Look:
    values: Mapping[str, Value]
    stock: Stock
    facts: Facts
    found: list[Finding] = field(default_factory=list)

    def have(self, *names: str) -> bool:
        return all(name in self.values for name in names)


def check(values: Mapping[str, Value], stock: Stock, facts: Facts | None = None) -> list[Finding]:
    """Judge everything that can be judged; the gravest first.

    Parameters
    ----------
    values
        Dictionary name -> Estimate or number, in the unit and on the basis of the dictionary.
    stock
        Who would eat it.
    facts
        What is known besides.
    """
    look = _Look(values, stock, facts or Facts())
    for judge in _JUDGES:
        judge(look)
    return sorted(look.found, key=lambda one: -LEVELS.index(one.level))


def _minerals(look: _Look) -> None:
    values, stock = look.values, look.stock
    if look.have("k", "ca", "mg") and stock.species != "horse":
        look.found.append(
            judge_tetany(values["k"], values["ca"], values["mg"], at_risk=stock.at_risk)
        )
    if look.have("na", "k", "cl", "s") and stock.species == "cattle":
        look.found.append(judge_cation_anion(values["na"], values["k"], values["cl"], values["s"]))
    if look.have("ca", "p"):
        look.found.append(
            judge_calcium(values["ca"], values["p"], species=stock.species, stones=stock.stones)
        )
    if look.have("se"):
        look.found.append(judge_selenium(values["se"]))


def _sulfur_and_copper(look: _Look) -> None:
    values, stock, facts = look.values, look.stock, look.facts
    ruminant = stock.species != "horse"
    if look.have("s") and ruminant:
        look.found.append(
            judge_sulfur(values["s"], forage_share=facts.forage_share, water_s=facts.water_s)
        )
    if look.have("water_sulfate"):
        look.found.append(judge_sulfate(high(values["water_sulfate"]), calves=stock.calves))
    if look.have("cu") and ruminant:
        diet = Copper(values["cu"], *(values.get(name) for name in ("mo", "s", "fe")))
        look.found.append(judge_copper(diet, species=stock.species))


def _levels(look: _Look) -> None:
    tables = tables_for(look.stock.species)
    if tables:
        diet = {name: look.values[name] for name in _MINERALS if name in look.values}
        look.found.extend(judge_levels(diet, table=tables[0]))


def _spoiled(look: _Look) -> None:
    values, stock, facts = look.values, look.stock, look.facts
    if look.have("mold_count"):
        horses = stock.species == "horse"
        look.found.append(judge_mould(high(values["mold_count"]), horses=horses))
    if look.have("adicp", "cp"):
        look.found.append(judge_heat(values["adicp"], values["cp"]))
    if facts.baleage:
        known = {
            name: high(values[name]) if name in values else None for name in ("ph", "moisture")
        }
        look.found.append(judge_baleage(**known, species=stock.species, torn=facts.torn))


def _plants(look: _Look) -> None:
    values, stock, facts = look.values, look.stock, look.facts
    if look.have("ergovaline"):
        who: Who = stock.mare or (stock.species if stock.species != "goat" else "sheep")  # type: ignore[assignment]
        look.found.append(
            judge_ergovaline(
                values["ergovaline"], share=facts.fescue_share, who=who,
                days_baled=facts.days_baled,
            )
        )  # fmt: skip
    if facts.sweetclover or look.have("dicoumarol"):
        look.found.append(
            judge_sweetclover(
                values.get("dicoumarol"), mouldy=facts.mouldy, days_to_birth=stock.days_to_birth
            )
        )
    if look.have("blister_beetles"):
        seen = high(values["blister_beetles"]) > 0
        look.found.append(judge_beetles(found=seen, weight=stock.weight, species=stock.species))


_JUDGES: tuple[Callable[[_Look], None], ...] = (
    _minerals,
    _sulfur_and_copper,
    _levels,
    _spoiled,
    _plants,
)
