"""One lot on its whole way: bags and their results become sheets, and sheets become decisions.

Every door (command line, pages, files) calls this. Pure: what was read comes in, what follows
goes out; nothing is fetched, dated or drawn here.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from haywright.bag.bag import Bag
from haywright.bench.panel import panel
from haywright.bunk.hazards.nitrate.blend import water_over_feed
from haywright.bunk.hazards.nitrate.doubt import Laboratory, Sampling, Spread
from haywright.bunk.hazards.nitrate.question import How, NitrateQuestion, Rest, planning_spread
from haywright.bunk.hazards.nitrate.verdict import NitrateVerdict, decide, must_test
from haywright.bunk.hazards.water import over_household_limit
from haywright.bunk.ranch import FeedingGroup, Ranch
from haywright.gate.compare import Comparison, Offer, compare
from haywright.gate.money import Price
from haywright.measure.errors import Refused
from haywright.measure.estimate import Estimate, Source, State
from haywright.measure.message import message
from haywright.measure.result import Evidence, Result, Results
from haywright.sheet.choices import Choices
from haywright.sheet.plausibility import limits
from haywright.sheet.sheet import Sheet, write_sheet
from haywright.sources.animals import animals
from haywright.sources.crops import crop as crop_of
from haywright.sources.crops import event
from haywright.sources.guides import Guide, default_guide
from haywright.sources.guides import guide as guide_of
from haywright.stack.error import LARGE_LOT, Scheme, variance
from haywright.stack.lot import Lot
from haywright.stack.spread import library_row, pooled_sd, repeat_from_bags
from haywright.way.office import Office

SAMPLING = "sampling"
_SAMPLED = ("cp", "adf", "ndf")
_HOW = {"probe": How.PROBE, "grab": How.GRAB, "cut": How.GRAB}


@dataclass(frozen=True)
class Sample:
    """What one test sheet speaks for: a lot, or one part of its field, by one or more bags.

    Parameters
    ----------
    lot, part, bags
        The lot, the part of its field ("" for the whole lot) and the bags.
    results
        Their results together, sampling counted where its spread is known.
    sheet
        The test sheet.
    """

    lot: Lot
    part: str
    bags: tuple[Bag, ...]
    results: Results
    sheet: Sheet

    @property
    def bales(self) -> int | None:
        """Bales it speaks for."""
        named = {one.name: len(one.bales) for one in self.lot.field_parts}
        return named.get(self.part) or self.lot.bales

    @property
    def cored(self) -> int:
        """Bales cored; one when nobody wrote it down, and for a report without a bag of ours."""
        return sum(bag.bales_cored or 1 for bag in self.bags) or 1

    @property
    def cores_per_bale(self) -> int:
        """Cores from each bale."""
        return self.bags[0].cores_per_bale if self.bags else 1

    @property
    def name(self) -> str:
        """Name of the lot, with the part."""
        title = self.lot.name or self.lot.id
        return f"{title}, {self.part}" if self.part else title


def samples_of(
    lot: Lot, bags: Iterable[Bag], merged: Mapping[str, Results], *, choices: Choices | None = None
) -> tuple[Sample, ...]:
    """The samples of a lot: its bags by field part, each with its sheet.

    Parameters
    ----------
    lot
        The lot.
    bags
        Bags of any lots.
    merged
        Results by bag code, as the bench put them together.
    choices
        Of the sheet.
    """
    mine: dict[str, list[Bag]] = {}
    for bag in bags:
        if bag.lot == lot.id:
            mine.setdefault(bag.part, []).append(bag)
    return tuple(_sample(lot, part, group, merged, choices) for part, group in mine.items())


def _sample(
    lot: Lot,
    part: str,
    bags: Sequence[Bag],
    merged: Mapping[str, Results],
    choices: Choices | None,
) -> Sample:
    results = _together([panel(bag, merged) for bag in bags])
    cored = sum(bag.bales_cored or 1 for bag in bags)
    counted = _with_sampling(results, lot, cored, bags[0].cores_per_bale)
    return sample_of_report(lot, counted, part=part, bags=bags, choices=choices)


def sample_of_report(
    lot: Lot,
    results: Results,
    *,
    part: str = "",
    bags: Sequence[Bag] = (),
    choices: Choices | None = None,
) -> Sample:
    """The sample of results as they stand: of a report typed in, with or without a bag of ours.

    Parameters
    ----------
    lot, part
        What it speaks for.
    results
        As reported; nothing is added for sampling.
    bags
        Ours, when there are any.
    choices
        Of the sheet.
    """
    sheet = write_sheet(results, crop_of(lot.crops[0]), choices, form=lot.form)
    return Sample(lot, part, tuple(bags), results, sheet)


def _together(panels: Sequence[Results]) -> Results:
    """Several bags of one part as one sample: the mean of each result, doubts kept by source.

    A test that one bag still waits for is pending for the sample. A held or out-of-range member
    makes the mean so too.
    """
    if len(panels) == 1:
        return panels[0]
    names = dict.fromkeys(name for one in panels for name in one)
    shared = [name for name in names if all(name in one for one in panels)]
    pending = dict.fromkeys(
        [*(name for one in panels for name in one.pending), *(n for n in names if n not in shared)]
    )
    return Results([_mean(name, panels) for name in shared], pending=pending)


def _mean(name: str, panels: Sequence[Results]) -> Result:
    members = [one[name] for one in panels]
    total: Estimate = members[0].estimate
    for one in members[1:]:
        total = total + one.estimate
    mean = total / len(members)
    children = tuple(one.evidence for one in members if one.evidence is not None)
    value = mean.value if mean.settled else None
    label = message("way.evidence.bags", n=len(members))
    evidence = Evidence(label, value, members[0].unit, str(members[0].basis), children=children)
    notes = tuple(dict.fromkeys(note for one in members for note in one.notes))
    return replace(members[0], estimate=mean, evidence=evidence, notes=notes)


def _with_sampling(results: Results, lot: Lot, cored: int, cores_per_bale: int) -> Results:
    """The same results with what sampling adds, where the library has a spread for it."""
    added = []
    for name in _SAMPLED:
        row = library_row(name)
        if name not in results or row is None or results[name].estimate.state is State.HELD:
            continue
        bare = replace(row.spread, repeat=0.0, laboratory=0.0, powder=0.0)
        scheme = Scheme(cored, cores_per_bale, lot.bales or LARGE_LOT)
        source = Source(f"{SAMPLING}:{lot.id}:{name}", row.said, row.spread.df)
        u = math.sqrt(variance(bare, scheme))
        one = results[name]
        added.append(replace(one, estimate=one.estimate.with_parts({source: u})))
    return results.with_results(*added)


def spread_between(lot: Lot, samples: Sequence[Sample]) -> Spread:
    """How much the bales of a lot differ in nitrate: its own bags pooled with the planning figure.

    Parameters
    ----------
    lot
        The lot.
    samples
        Its samples; bags of one part tested apart teach the spread.
    """
    by_part = len(samples) > 1
    risky = bool(lot.suspects_nitrate()) or any(crop_of(c).annual for c in lot.crops)
    prior = planning_spread(risky=risky, by_part=by_part)
    repeats = []
    for one in samples:
        values = [value for bag in one.bags for value in _single(one, bag)]
        if len(values) > 1:
            mean = math.fsum(values) / len(values)
            repeats.append(repeat_from_bags([v / mean for v in values], one.cored // len(values)))
    if not repeats:
        return prior
    from haywright.stack.spread import Repeat

    pooled = pooled_sd(Repeat(prior.between, prior.df), repeats)
    return Spread(max(pooled.sd, 1e-6), pooled.df, prior.within, "lot")


def _single(sample: Sample, bag: Bag) -> Iterator[float]:
    """The nitrate of one bag of a sample, found in the evidence of the mean."""
    evidence = sample.results["nitrate_n"].evidence if "nitrate_n" in sample.results else None
    if evidence is None or len(sample.bags) < 2:
        return
    child = evidence.children[sample.bags.index(bag)] if evidence.children else None
    if child is not None and child.value:
        yield child.value


@dataclass(frozen=True)
class Decision:
    """May this group be fed this hay: the verdict, for one sample and one group of a ranch."""

    sample: Sample
    group: FeedingGroup
    verdict: NitrateVerdict


def decide_for(
    sample: Sample,
    group: FeedingGroup,
    *,
    office: Office,
    ranch: Ranch,
    spread: Spread,
    clean_feed: float | None = None,
    assumed_feed: float | None = None,
) -> Decision:
    """The nitrate verdict for one group.

    Parameters
    ----------
    sample
        The hay.
    group, ranch, office
        Who eats it; whose guide is used first the ranch's, then the office's.
    spread
        How much its bales differ.
    clean_feed
        Nitrate of the rest of the ration at its upper 95 % [mg/kg NO3-N of DM].
    assumed_feed
        The same as a person says it, tested or not [mg/kg NO3-N of DM]; printed as assumed, and
        taken in place of ``clean_feed``.
    """
    nitrate = sample.sheet.get("nitrate_n")
    question = NitrateQuestion(
        result=None if nitrate is None else nitrate.estimate,
        classes=classes_for(group),
        guide=chosen_guide(group, ranch, office),
        must_test=must_test_of(sample),
        how=_HOW[sample.bags[0].taken] if sample.bags else How.PROBE,
        sampling=sampling_of(sample),
        spread=spread,
        laboratory=None if nitrate is None else laboratory_of(nitrate.estimate),
        rest=Rest(
            clean_feed if assumed_feed is None else assumed_feed,
            water_of(group),
            () if assumed_feed is None else ("feed",),
            over_household_limit=group.water_nitrate is not None
            and over_household_limit(group.water_nitrate),
        ),
        fed=group.fed,
        parts_known=bool(sample.lot.field_parts) and not sample.part,
        animals=group.name[:1].upper() + group.name[1:],
    )
    return Decision(sample, group, decide(question))


def decisions_of(
    sample: Sample,
    mine: Sequence[Sample],
    *,
    office: Office,
    ranch: Ranch | None,
    clean_feed: float | None = None,
) -> list[Decision]:
    """The verdict for each group of a ranch; for bred cows where no group is known.

    Parameters
    ----------
    sample
        The hay.
    mine
        Every sample of the same lot; bags of its parts teach how much its bales differ.
    office, ranch
        Whose guide is used, and whose stock.
    clean_feed
        Nitrate of the cleanest other hay at its upper 95 % [mg/kg NO3-N of DM].
    """
    nobody = Ranch("", "", (FeedingGroup("bred cows", animals("bred cows"), 1),))
    whose = ranch or nobody
    spread = spread_between(sample.lot, mine)
    return [
        decide_for(sample, group, office=office, ranch=whose, spread=spread, clean_feed=clean_feed)
        for group in whose.groups or nobody.groups
    ]


def sampling_of(sample: Sample) -> Sampling:
    """How the bags of a sample were taken; bales nobody wrote down count as one a bag."""
    said = bool(sample.bags) and all(bag.bales_cored is not None for bag in sample.bags)
    return Sampling(sample.cored, sample.bales, sample.cores_per_bale, said=said)


def chosen_guide(group: FeedingGroup, ranch: Ranch, office: Office) -> Guide:
    """The ranch's guide, else the office's, else the default; horses only by a horse guide."""
    chosen = ranch.guide or office.guide
    if not group.stock.ruminant or not chosen:
        return default_guide(group.stock.species)
    return guide_of(chosen)


def classes_for(group: FeedingGroup) -> tuple[str, ...]:
    """Classes of the guides for a group, as far as it is known whether they are pregnant."""
    classes = group.stock.classes
    if group.pregnant is not None and group.stock.ruminant:
        other = {"pregnant", "non_pregnant"}
        said = "pregnant" if group.pregnant else "non_pregnant"
        classes = (said, *(one for one in classes if one not in other))
    return (*classes, "stressed") if group.stressed and group.stock.ruminant else classes


def must_test_of(sample: Sample) -> tuple[str, ...]:
    """Why the hay of a sample must be tested for nitrate first; empty when nothing asks for it."""
    lot, cp = sample.lot, sample.sheet.get("cp")
    return must_test(
        accumulator=any(crop_of(one).accumulator for one in lot.crops) or bool(lot.weeds),
        stressed=any(event(one).raises_nitrate for one in lot.events),
        cp=cp.value if cp is not None and cp.settled else None,
        cp_line=float(limits()["remarks"]["cp_test_nitrate"]),
    )


def laboratory_of(estimate: Estimate) -> Laboratory | None:
    """What a nitrate number is worth: the laboratory's bias apart from all that repeats average.

    Returns
    -------
    Laboratory or None
        Relative standard uncertainties [fraction]; ``None`` where the number carries no doubt,
        so that the planning figures are used.
    """
    if not estimate.value > 0 or estimate.u == 0:
        return None
    bias = estimate.part_of("bias:")
    sampling = estimate.part_of(f"{SAMPLING}:")
    rest = math.sqrt(max(estimate.u**2 - bias**2 - sampling**2, 0.0))
    return Laboratory(repeat=rest / estimate.value, bias=bias / estimate.value)


def water_of(group: FeedingGroup) -> float | None:
    """Water nitrate over the dry matter a group eats [mg/kg NO3-N of DM]; ``None`` when unknown."""
    if group.water_nitrate is None or group.drinks is None or not group.intake:
        return None
    return float(water_over_feed(group.drinks, group.water_nitrate, group.intake))


def cleanest(samples: Iterable[Sample], *, besides: Sample) -> float | None:
    """Nitrate of the cleanest other hay of a ranch at its upper 95 % [mg/kg NO3-N of DM].

    Parameters
    ----------
    samples
        Hays of the ranch.
    besides
        The hay in question, which is not its own clean feed.
    """
    tops = [
        decide(
            NitrateQuestion(
                result=one.results["nitrate_n"].estimate,
                classes=("pregnant",),
                guide=default_guide("cattle"),
                sampling=sampling_of(one),
                laboratory=laboratory_of(one.results["nitrate_n"].estimate),
            )
        ).high
        for one in samples
        if one.lot.id != besides.lot.id and one.results.have("nitrate_n")
    ]
    return min(tops, default=None)


def value_of(sample: Sample, price: Price, *, barred: bool = False) -> Comparison:
    """What a unit of protein and of TDN costs in this hay at a price.

    Parameters
    ----------
    sample
        The hay.
    price
        As it stands.
    barred
        Whether the stock in question may not be fed it; it then has no nutrient value for them.

    Raises
    ------
    Refused
        No settled dry matter to reckon with.
    """
    dm = sample.sheet.get("dm")
    if dm is None or not dm.settled:
        raise Refused("dm", None, key="way.value.no_dry_matter")
    contents = {
        name: round(one.value, 2)
        for name, one in (("cp", sample.sheet.cp_counted), ("tdn", sample.sheet.get("tdn")))
        if one is not None and one.settled
    }
    why = message("way.value.barred") if barred else None
    offer = Offer(sample.name, price, round(dm.value, 2), contents, barred=why)
    return compare([offer], tuple(contents))
