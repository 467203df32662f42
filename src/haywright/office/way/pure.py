"""Rows of the database as the pure code takes them: the same forms that stand in a folder."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import Q
from django.utils.timezone import localtime

from haywright.bag.bag import Bag as PureBag
from haywright.bag.codes import read_code
from haywright.bunk.ranch import FeedingGroup
from haywright.bunk.ranch import Ranch as PureRanch
from haywright.files.bags import bag_of
from haywright.files.lots import lot_of
from haywright.files.ranches import ranch_of
from haywright.files.reading import Checked
from haywright.measure.estimate import Estimate
from haywright.measure.estimate import State as How
from haywright.measure.message import message
from haywright.measure.result import Result as PureResult
from haywright.measure.result import Results
from haywright.office.bag.models import Bag, HandOver
from haywright.office.bench.models import Result
from haywright.office.people.models import Office, Ranch
from haywright.office.stack.models import Lot
from haywright.sheet.choices import Choices
from haywright.stack.lot import Lot as PureLot
from haywright.way.lot import (
    Decision,
    Sample,
    cleanest,
    decide_for,
    decisions_of,
    sample_of_report,
    samples_of,
    spread_between,
)
from haywright.way.office import Office as PureOffice


def pure_office(office: Office) -> PureOffice:
    """An office as papers and verdicts take it."""
    return PureOffice(
        name=office.name,
        code=office.code,
        phone=office.phone,
        call_name=office.call_name,
        call_phone=office.call_phone,
        guide=office.guide,
        tdn_method=office.tdn_method,
        units=office.units,  # type: ignore[arg-type]
        paper=office.paper,  # type: ignore[arg-type]
        currency=office.currency,
    )


def pure_ranch(ranch: Ranch | None) -> PureRanch | None:
    """A ranch with its herd groups; ``None`` where none are written down yet."""
    if ranch is None or not ranch.facts.get("group"):
        return None
    form = Checked({"name": ranch.name, **ranch.facts}, ranch.name)
    return ranch_of(form, str(ranch.pk))


def pure_lot(lot: Lot) -> PureLot:
    """A lot; its id is its number in the office."""
    return lot_from_facts(lot.facts, str(lot.number), str(lot.ranch_id or ""))


def lot_from_facts(facts: Mapping[str, Any], key: str = "new", ranch: str = "") -> PureLot:
    """The lot a form describes.

    Raises
    ------
    Refused, Problems
        Everything that is wrong with the form.
    """
    held = {name: one for name, one in facts.items() if name not in ("id", "ranch")}
    return lot_of(Checked({**held, "id": key, **({"ranch": ranch} if ranch else {})}, ""), key)


def pure_bag(bag: Bag, journey: Iterable[HandOver], lot: Lot) -> PureBag:
    """A bag of a lot with its journey."""
    steps = [
        {
            "stage": one.stage,
            "when": localtime(one.at).isoformat(),
            "who": one.who,
            **({"mass_g": float(one.mass_g)} if one.mass_g is not None else {}),
            **({"reason": one.reason} if one.reason else {}),
        }
        for one in journey
    ]
    return bag_from_facts(bag.code, {**bag.facts, "lot": str(lot.number), "journey": steps})


def bag_from_facts(code: str, facts: Mapping[str, Any]) -> PureBag:
    """The bag a form describes."""
    return bag_of(Checked(facts, ""), read_code(code))


def current(results: Iterable[Result]) -> list[Result]:
    """The results that nothing later stands in place of."""
    rows = list(results)
    gone = {one.replaces_id for one in rows if one.replaces_id is not None}
    return [one for one in rows if one.pk not in gone]


def in_force(lot: Lot, bag: Bag | None) -> dict[str, Result]:
    """What stands of one bag, or of a report on a lot that was of no bag of ours, by quantity.

    Parameters
    ----------
    lot
        The hay.
    bag
        The bag, wherever its results were written down; ``None`` for a report without one.
    """
    mine = Q(bag=bag) if bag is not None else Q(bag__isnull=True, lot=lot)
    return {one.analyte: one for one in current(Result.objects.filter(mine).order_by("id"))}


@dataclass(frozen=True)
class Known:
    """What is known of one lot: its samples by field part, and the verdicts for its ranch."""

    lot: PureLot
    samples: tuple[Sample, ...]
    ranch: PureRanch | None
    office: PureOffice
    results: Mapping[str, Results]

    @property
    def laboratories(self) -> tuple[str, ...]:
        """Who tested it."""
        names = [one.laboratory for held in self.results.values() for one in held.values()]
        return tuple(dict.fromkeys(name for name in names if name))

    def decisions(self, sample: Sample, clean_feed: float | None) -> list[Decision]:
        """The verdict for each group of the ranch, or for bred cows.

        Parameters
        ----------
        sample
            The hay.
        clean_feed
            Nitrate of the ranch's cleanest other hay [mg/kg NO3-N of DM]; ``None`` when unknown.
        """
        return decisions_of(
            sample, self.samples, office=self.office, ranch=self.ranch, clean_feed=clean_feed
        )

    def decide(
        self,
        sample: Sample,
        group: FeedingGroup,
        clean_feed: float | None,
        *,
        assumed_feed: float | None = None,
    ) -> Decision:
        """The verdict for one group, of this ranch or not.

        Parameters
        ----------
        sample, clean_feed
            As for ``decisions``.
        group
            Who eats it.
        assumed_feed
            Nitrate of the rest of the feed as a person says it [mg/kg NO3-N of DM].
        """
        return decide_for(
            sample,
            group,
            office=self.office,
            ranch=self.ranch or PureRanch("", "", (group,)),
            spread=spread_between(self.lot, self.samples),
            clean_feed=clean_feed,
            assumed_feed=assumed_feed,
        )


def known(lot: Lot, *, instead: tuple[str, PureResult] | None = None) -> Known:
    """Everything the sheet of a lot is made from, in a fixed number of queries.

    Parameters
    ----------
    lot
        The hay.
    instead
        Code of a bag ("" for a report without one) and a result, as if it stood there.
    """
    results = _by_bag(lot)
    if instead is not None:
        code, one = instead
        results[code] = results.get(code, Results()).with_results(one)
    bags = list(lot.bags.all().order_by("id"))
    steps: dict[Any, list[HandOver]] = {}
    for step in HandOver.objects.filter(bag__lot=lot).order_by("at", "id"):
        steps.setdefault(step.bag_id, []).append(step)
    return assemble(
        pure_office(lot.office),
        pure_ranch(lot.ranch),
        pure_lot(lot),
        [pure_bag(bag, steps.get(bag.pk, []), lot) for bag in bags],
        results,
    )


def clean_feed_of(lot: Lot, sample: Sample) -> float | None:
    """Nitrate of the cleanest other hay of the same ranch [mg/kg NO3-N of DM]."""
    if lot.ranch_id is None:
        return None
    others = Lot.objects.filter(
        ranch=lot.ranch_id, state="here", results__analyte="nitrate_n"
    ).exclude(pk=lot.pk)
    rows = others.select_related("office", "ranch").distinct()
    return cleanest([one for row in rows for one in known(row).samples], besides=sample)


def assemble(
    office: PureOffice,
    ranch: PureRanch | None,
    lot: PureLot,
    bags: Sequence[PureBag],
    results: Mapping[str, Results],
) -> Known:
    """The samples of a lot from its bags and their results; "" holds a report without a bag.

    Parameters
    ----------
    office, ranch, lot, bags
        As the pure code has them.
    results
        Bag code -> results; only bags with results make a sample.
    """
    choices = Choices(methods={"tdn": office.tdn_method}) if office.tdn_method else None
    told = {code: one for code, one in results.items() if code}
    tested = [bag for bag in bags if str(bag.code) in told]
    samples = list(samples_of(lot, tested, told, choices=choices))
    if "" in results and not any(not one.part for one in samples):
        samples.append(sample_of_report(lot, results[""], choices=choices))
    return Known(lot, tuple(samples), ranch, office, results)


def _given_out(one: PureResult) -> PureResult:
    """A result as a sheet may have it: what is held goes out without what it would have been."""
    if one.estimate.state is not How.HELD:
        return one
    why = one.estimate.reason or message("measure.held")
    shown = replace(one.evidence, value=None, children=()) if one.evidence is not None else None
    return replace(one, estimate=Estimate.held(why), evidence=shown)


def _by_bag(lot: Lot) -> dict[str, Results]:
    # by the bag, so that bags exchanged bring their results along
    mine = Q(bag__lot=lot) | Q(bag__isnull=True, lot=lot)
    rows = current(Result.objects.filter(mine).select_related("bag").order_by("id"))
    found: dict[str, list[PureResult]] = {}
    for row in rows:
        code = row.bag.code if row.bag is not None else ""
        found.setdefault(code, []).append(_given_out(PureResult.from_json(row.whole)))
    return {code: Results(many) for code, many in found.items()}
