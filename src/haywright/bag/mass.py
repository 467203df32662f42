"""Is there enough in the bag: for the laboratory to grind it whole, and for every test.

Limits and the powder that tests take are data in ``sources/tables``; see there for sources.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Literal

from haywright.bag.tests import LabTest, lab_test
from haywright.measure.errors import Refused
from haywright.measure.message import Amount, Message, message
from haywright.measure.register import equation
from haywright.sources.tables import load_toml


def limits() -> dict[str, float]:
    """Masses of cored hay [g], shares [%] and counts that the judgements use."""
    return {name: float(v["value"]) for name, v in load_toml("bag_mass").items()}


def _positive(field: str, grams: float) -> float:
    if not (0 < grams < float("inf")):
        raise Refused(field, grams, key="bag.mass.positive")
    return grams


@dataclass(frozen=True, slots=True)
class MassVerdict:
    """Whether a bag holds enough hay, and not more than it should.

    ``band`` is short, lean, good or over; over means a smaller bore or a shorter core next
    time, never fewer bales.
    """

    mass_g: float
    band: Literal["short", "lean", "good", "over"]
    reason: Message


def judge_mass(mass_g: float) -> MassVerdict:
    """Judge the mass of cored hay in one bag [g as sealed]."""
    limit = limits()
    band: Literal["short", "lean", "good", "over"] = "good"
    if _positive("mass_g", mass_g) < limit["least"]:
        band = "short"
    elif mass_g < limit["usual_least"]:
        band = "lean"
    elif mass_g > limit["most"]:
        band = "over"
    said = {
        name: Amount(limit[name], "g", digits=0)
        for name in ("least", "usual_least", "usual_most", "most")
    }
    reason = message(f"bag.mass.{band}", mass=Amount(mass_g, "g", digits=0), **said)
    return MassVerdict(mass_g, band, reason)


@equation(
    name="Mass lost between sealing and receiving",
    output=("mass_lost", "%", "mass sealed"),
    source="mass-balance",
    mark="definition",
    units={"mass_sealed": "g", "mass_received": "g"},
)
def mass_lost(mass_sealed: Any, mass_received: Any) -> Any:
    """Share of the hay's mass that left the bag on the way.

    Parameters
    ----------
    mass_sealed
        Net mass when the bag was sealed [g as cored].
    mass_received
        Net mass when the laboratory opened it [g as received].
    """
    return 100.0 * (mass_sealed - mass_received) / mass_sealed


def judge_journey(mass_sealed: float, mass_received: float) -> Message | None:
    """What to say of a bag of one mass when sealed [g, net] and another received [g, net]."""
    _positive("mass_sealed", mass_sealed)
    lost = mass_lost(mass_sealed, _positive("mass_received", mass_received))
    most = limits()["lost_on_the_way"]
    if abs(lost) <= most:
        return None
    key = "bag.mass.lost" if lost > 0 else "bag.mass.gained"
    return message(key, lost=Amount(abs(lost), "%", digits=1), most=Amount(most, "%", digits=0))


@dataclass(frozen=True, slots=True)
class PowderNeed:
    """What one test, or one preparation shared by several, takes.

    ``grams`` [g of ``material``] with its repeats.
    """

    tests: tuple[str, ...]
    material: str
    grams: float
    mark: str


@dataclass(frozen=True, slots=True)
class PowderBudget:
    """Whether the dried, ground hay suffices for all tests ordered.

    ``have_g``, ``need_g``, ``kept_g`` [g of powder]; ``short`` names the tests that would go
    without, in the order given; ``apart`` holds what must be sent other than as dry powder.
    """

    have_g: float
    need_g: float
    kept_g: float
    needs: tuple[PowderNeed, ...]
    apart: tuple[PowderNeed, ...]
    short: tuple[str, ...]

    @property
    def enough(self) -> bool:
        """Whether every test can be run and the kept part stays."""
        return not self.short and self.have_g >= self.need_g


def powder_budget(
    mass_g: float,
    ordered: Iterable[str],
    *,
    dm: float,
    repeats: int = 1,
    kept_g: float | None = None,
) -> PowderBudget:
    """Portions x (1 + repeats) + the kept part, against the powder the bag gives.

    Parameters
    ----------
    mass_g
        Cored hay in the bag [g as received].
    ordered
        Test ids in the order they matter.
    dm
        Dry matter of the hay [% as received].
    repeats
        Times each test is run again.
    kept_g
        Powder kept back for a dispute [g]; the table's share when not given.
    """
    if not 0 < dm <= 100:
        raise Refused("dm", dm, key="measure.dry_matter_range")
    if repeats < 0:
        raise Refused("repeats", repeats, key="bag.mass.repeats")
    have = _positive("mass_g", mass_g) * dm / 100.0 * limits()["ground_yield"] / 100.0
    kept = limits()["kept"] if kept_g is None else kept_g
    groups = _needs([lab_test(word) for word in ordered], 1 + repeats)
    powder = tuple(g for g in groups if g.material == "powder")
    left = have - kept
    short: list[str] = []
    for group in powder:
        if group.grams > left:
            short.extend(group.tests)
        else:
            left -= group.grams
    return PowderBudget(
        have_g=have,
        need_g=sum(g.grams for g in powder) + kept,
        kept_g=kept,
        needs=powder,
        apart=tuple(g for g in groups if g.material not in ("powder", "look")),
        short=tuple(short),
    )


def _needs(ordered: list[LabTest], times: int) -> list[PowderNeed]:
    groups: dict[str, list[LabTest]] = {}
    for one in ordered:
        groups.setdefault(one.shares or one.id, []).append(one)
    return [
        PowderNeed(
            tests=tuple(dict.fromkeys(t.id for t in group)),
            material=group[0].needs,
            grams=max(t.grams for t in group) * times,
            mark=group[0].mark,
        )
        for group in groups.values()
    ]
