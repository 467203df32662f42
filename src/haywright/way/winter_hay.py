"""The hay of a winter plan: what each lot weighs, holds and loses, and who may be fed how much."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from haywright.bunk.hazards.nitrate.ask import over_feed
from haywright.bunk.hazards.nitrate.doubt import Sampling
from haywright.bunk.hazards.nitrate.question import NitrateQuestion, Rest
from haywright.bunk.hazards.nitrate.verdict import (
    Answer,
    NitrateVerdict,
    decide,
    must_test,
    upper_bound,
)
from haywright.bunk.hazards.water import over_household_limit
from haywright.bunk.ranch import FeedingGroup, Ranch
from haywright.bunk.ration.feed import RationFeed, with_energy
from haywright.bunk.winter.nitrate import shares_by_week
from haywright.bunk.winter.question import Hay
from haywright.bunk.winter.stored import weekly_losses
from haywright.gate.money import Price
from haywright.measure.errors import Refused
from haywright.measure.estimate import Estimate, exact
from haywright.measure.message import Amount, Message, message
from haywright.measure.units import convert
from haywright.sheet.plausibility import limits
from haywright.sheet.sheet import Sheet, write_sheet
from haywright.sources.crops import crop as crop_of
from haywright.sources.feeds import feed as feed_of
from haywright.sources.guides import default_guide
from haywright.sources.tables import load_toml
from haywright.stack.packages import bale_size
from haywright.way.lot import (
    Sample,
    chosen_guide,
    classes_for,
    decide_for,
    laboratory_of,
    sampling_of,
    spread_between,
    water_of,
)
from haywright.way.office import Office
from haywright.way.winter_asked import BidAsked, HayAsked

_WANTED = ("tdn", "nem", "neg", "nel", "ndf", "adf", "ca", "p", "mg", "k", "na", "cl", "s", "fat",
           "cu", "zn", "mn", "fe", "se", "mo", "co", "i", "ash", "nitrate_n")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Net:
    """An offer as it is worth at the stack.

    Parameters
    ----------
    bid
        As it was made.
    price
        Less what the seller pays to bring it.
    per_dry
        [money per kg of DM].
    """

    bid: BidAsked
    price: Price
    per_dry: float


@dataclass(frozen=True)
class HayCounted:
    """One lot as the plan counts it.

    Parameters
    ----------
    hay
        For the plan.
    asked, sample
        What was said, and the sheet's sample where there is one.
    verdicts
        Herd -> the nitrate verdict for the way it is fed, as the hay was tested.
    nets
        Offers, the best first.
    said
        What was counted that nobody said.
    """

    hay: Hay
    asked: HayAsked
    sample: Sample | None
    verdicts: Mapping[str, NitrateVerdict]
    nets: tuple[Net, ...]
    said: tuple[Message, ...]

    @property
    def name(self) -> str:
        """Of the lot."""
        return self.hay.name

    def why_not(self, herd: str) -> Message | None:
        """Why a herd gets none of it; ``None`` where it may."""
        verdict = self.verdicts[herd]
        if share_of(verdict) > 0:
            return None
        if verdict.answer is Answer.NOT_TESTED:
            return message("ranch_plan.why.not_tested")
        if verdict.answer is Answer.WITHHELD:
            missing = tuple(message(f"ranch_plan.why.missing.{one}") for one in verdict.missing)
            return message("ranch_plan.why.withheld", missing=missing)
        if verdict.at_most > 0:
            return message("ranch_plan.why.way_of_feeding")
        return message("ranch_plan.why.nitrate", guide=verdict.question.guide.name)


def share_of(verdict: NitrateVerdict) -> float:
    """Most of the ration by a verdict [0 to 1]; what is withheld is not fed."""
    if verdict.answer is Answer.NO_RESULT:
        return 1.0
    return verdict.share or 0.0


def shares_over(verdict: NitrateVerdict, losses: Sequence[float]) -> float | tuple[float, ...]:
    """Most of the ration [0 to 1]: one share, or one a week where losses in storage change it.

    Parameters
    ----------
    verdict
        As the hay was tested.
    losses
        By week, lost of what stands [fraction].
    """
    now, question = share_of(verdict), verdict.question
    lost = 1.0 - math.prod(1.0 - one for one in losses)
    if question.result is None or now == 0.0 or lost == 0.0:
        return now
    stands = replace(question, result=question.result / (1.0 - lost))
    return now if share_of(decide(stands)) == now else shares_by_week(question, losses)


@dataclass(frozen=True)
class Place:
    """What the hay is counted for: the days, who eats, whose guide, and the samples at hand."""

    first: date
    weeks: int
    groups: tuple[FeedingGroup, ...]
    ranch: Ranch
    office: Office
    samples: tuple[Sample, ...] = ()

    def sample(self, asked: HayAsked) -> Sample | None:
        """The sample a lot of the form means; a lot or part that is not there is refused."""
        if not asked.lot:
            return None
        mine = [one for one in self.samples if one.lot.id == asked.lot]
        parts = [one for one in mine if one.part == asked.part]
        if parts:
            return parts[0]
        if mine:
            raise Refused("part", asked.part, key="ranch_plan.no_part", lot=asked.lot,
                          parts=tuple(one.part for one in mine))  # fmt: skip
        raise Refused("lot", asked.lot, key="ranch_plan.no_sheet",
                      lots=tuple(dict.fromkeys(one.lot.id for one in self.samples)))  # fmt: skip


def every_sample(place: Place) -> tuple[HayAsked, ...]:
    """All samples of the ranch's lots, where the form names none."""
    return tuple(
        HayAsked(lot=one.lot.id, part=one.part)
        for one in place.samples
        if one.lot.ranch == place.ranch.id and one.lot.packages is not None
    )


def count_hay(
    asked: HayAsked, place: Place, clean: float | None, bids: Sequence[BidAsked]
) -> HayCounted:
    """One lot counted.

    Parameters
    ----------
    asked
        As it was said.
    place
        Days, groups, samples.
    clean
        Nitrate of the rest of the ration at its upper 95 % [mg/kg NO3-N of DM].
    bids
        Offers for it.

    Raises
    ------
    Refused
        A lot, part or number that is missing.
    """
    sample = place.sample(asked)
    said: list[Message] = []
    name = asked.name or (sample.name if sample else "")
    dm = _dry_matter(asked, sample, name, said)
    bale, mass = _weights(asked, sample, name, said)
    losses = _losses(asked, sample, place, name, said)
    values = _values(asked, sample, place, name, said)
    verdicts = {
        group.name: _verdict(asked, sample, group, place, clean, values.get("cp"))
        for group in place.groups
    }
    nets = _nets(bids, dm)
    hay = Hay(
        feed=RationFeed(name, values, dm=dm, forage=True),
        stock=mass * dm / 100.0,
        loss=losses,
        shares={herd: shares_over(v, losses) for herd, v in verdicts.items()},
        tested=not all(v.answer is Answer.NOT_TESTED for v in verdicts.values()),
        buy=None if asked.price is None else _per_dry(_delivered(asked), dm),
        buy_most=None if asked.most is None else asked.most * dm / 100.0,
        sell=nets[0].per_dry if nets else None,
        sell_most=_wanted(nets, dm),
        left_worth=0.0 if asked.left_worth is None else _per_dry(asked.left_worth, dm),
        bale=None if bale is None else bale * dm / 100.0,
    )
    return HayCounted(hay, asked, sample, verdicts, nets, tuple(said))


def _dry_matter(asked: HayAsked, sample: Sample | None, name: str, said: list[Message]) -> float:
    if asked.dm is not None:
        return asked.dm
    measured = sample.sheet.get("dm") if sample else None
    if measured is not None and measured.settled:
        return measured.value
    usual = float(load_toml("winter_usual")["hay"]["dry_matter"])
    said.append(message("ranch_plan.as.dry_matter", name=name, dm=Amount(usual, "%", digits=0)))
    return usual


def _weights(
    asked: HayAsked, sample: Sample | None, name: str, said: list[Message]
) -> tuple[float | None, float]:
    """Weight of a bale, and of the lot [kg as it stands]."""
    packages = sample.lot.packages if sample else None
    count = asked.bales if asked.bales is not None else (sample.bales if sample else None)
    each = asked.bale_weight or (packages.weight if packages else None)
    if asked.mass is not None:
        return each or (asked.mass / count if count else None), asked.mass
    if asked.price is not None and count is None:
        return each, 0.0
    if count is None:
        raise Refused("bales", None, key="ranch_plan.no_amount", name=name)
    if each is None:
        size = bale_size("round")
        each = convert(size.weight or 0.0, "lb", "kg")
        said.append(message("ranch_plan.as.bale", name=name, weight=Amount(each, "kg", digits=0)))
    return each, count * each


def _losses(
    asked: HayAsked, sample: Sample | None, place: Place, name: str, said: list[Message]
) -> tuple[float, ...]:
    storage = asked.storage or (sample.lot.storage if sample else "")
    baled = asked.baled_on or (sample.lot.baled_on if sample else None)
    nothing = (0.0,) * place.weeks
    if not storage or baled is None:
        if asked.price is None:
            said.append(message("ranch_plan.as.no_loss", name=name))
        return nothing
    try:
        return weekly_losses(storage, min(baled, place.first), place.first, place.weeks)
    except Refused:
        said.append(message("ranch_plan.as.no_trial", name=name))
        return nothing


def _values(
    asked: HayAsked, sample: Sample | None, place: Place, name: str, said: list[Message]
) -> dict[str, float]:
    found: dict[str, float] = {}
    if sample is not None:
        found |= dict(_of_sheet(sample.sheet))
        if any(not one.stock.ruminant for one in place.groups):
            found |= _for_horses(sample)
    elif not asked.values:
        found |= _usual_hay(name, said)
    return with_energy({**found, **asked.values})


def _of_sheet(sheet: Sheet) -> Iterator[tuple[str, float]]:
    counted = sheet.cp_counted
    if counted is not None and counted.settled:
        yield counted.analyte, counted.value
        yield "cp", counted.value
    for name in _WANTED:
        one = sheet.get(name)
        if one is not None and one.settled:
            yield name, one.value


def _for_horses(sample: Sample) -> dict[str, float]:
    choices = replace(sample.sheet.choices, species="horse")
    crop = crop_of(sample.lot.crops[0])
    found = write_sheet(sample.results, crop, choices, form=sample.lot.form).get("horse_de")
    return {"horse_de": found.value} if found is not None and found.settled else {}


def _usual_hay(name: str, said: list[Message]) -> dict[str, float]:
    usual = load_toml("winter_usual")["hay"]
    row = feed_of(usual["row"])
    said.append(
        message(
            "ranch_plan.as.hay", name=name, feed=row.name,
            tdn=Amount(row.values["tdn"], "%", digits=1),
            cp=Amount(row.values["cp"], "%", digits=1),
        )
    )  # fmt: skip
    return {**row.values, "ndf": float(usual["fiber"])}


def _verdict(
    asked: HayAsked,
    sample: Sample | None,
    group: FeedingGroup,
    place: Place,
    clean: float | None,
    cp: float | None,
) -> NitrateVerdict:
    if sample is not None:
        mine = [one for one in place.samples if one.lot.id == sample.lot.id]
        question = decide_for(
            sample, group, office=place.office, ranch=place.ranch,
            spread=spread_between(sample.lot, mine), clean_feed=clean,
        ).verdict.question  # fmt: skip
    else:
        question = _typed_question(asked, group, place, clean, cp)
    rest = replace(question.rest, water=_water(group))
    return decide(replace(question, rest=rest))


def _water(group: FeedingGroup) -> float | None:
    """Of the day's own figures, else at a generous drinking rate [mg/kg NO3-N of DM]."""
    own = water_of(group)
    return over_feed(group.water_nitrate) if own is None else own


def _typed_question(
    asked: HayAsked, group: FeedingGroup, place: Place, clean: float | None, cp: float | None
) -> NitrateQuestion:
    crop = crop_of(asked.crop) if asked.crop else None
    return NitrateQuestion(
        result=None if asked.nitrate is None else exact(asked.nitrate),
        classes=classes_for(group),
        guide=chosen_guide(group, place.ranch, place.office),
        must_test=must_test(
            accumulator=crop is not None and crop.accumulator,
            stressed=False,
            cp=cp,
            cp_line=float(limits()["remarks"]["cp_test_nitrate"]),
        ),
        sampling=Sampling(
            1, None if asked.bales is None else max(round(asked.bales), 1), 1, said=False
        ),
        rest=Rest(
            clean,
            over_household_limit=group.water_nitrate is not None
            and over_household_limit(group.water_nitrate),
        ),
        fed=group.fed,
        animals=group.name[:1].upper() + group.name[1:],
    )


def clean_for(asked: HayAsked, others: Sequence[HayAsked], place: Place) -> float | None:
    """Nitrate of the rest of a ration beside this lot, at its upper 95 % [mg/kg NO3-N of DM].

    The cleanest other hay that was tested; where there is no other hay, this one.
    """
    besides = [one for one in others if one != asked and (not one.lot or one.lot != asked.lot)]
    tops = [top for one in besides if (top := _top(one, place)) is not None]
    if tops:
        return min(tops)
    return None if besides else _top(asked, place)


def _top(asked: HayAsked, place: Place) -> float | None:
    sample = place.sample(asked)
    if sample is None:
        result, sampling = asked.nitrate, Sampling(1, None, 1, said=False)
        estimate = None if result is None else exact(result)
    elif sample.results.have("nitrate_n"):
        estimate, sampling = sample.results["nitrate_n"].estimate, sampling_of(sample)
    else:
        return None
    return None if estimate is None else _upper(estimate, sampling)


def _upper(estimate: Estimate, sampling: Sampling) -> float:
    return upper_bound(
        NitrateQuestion(
            result=estimate,
            classes=("pregnant",),
            guide=default_guide("cattle"),
            sampling=sampling,
            laboratory=laboratory_of(estimate),
        )
    )


def _delivered(asked: HayAsked) -> Price:
    if asked.price is None:
        raise Refused("price", None, key="ranch_plan.no_price", name=asked.name)
    if asked.haul is None:
        return asked.price
    return asked.price + asked.haul.cost(asked.price.currency)


def _nets(bids: Sequence[BidAsked], dm: float) -> tuple[Net, ...]:
    found = []
    for bid in bids:
        net = bid.price if bid.haul is None else bid.price - bid.haul.cost(bid.price.currency)
        found.append(Net(bid, net, _per_dry(net, dm)))
    return tuple(sorted(found, key=lambda one: -one.per_dry))


def _wanted(nets: Sequence[Net], dm: float) -> float | None:
    if not nets or nets[0].bid.most is None:
        return None
    return nets[0].bid.most * dm / 100.0


def _per_dry(price: Price, dm: float) -> float:
    """A price as it stands as money per kg of dry matter."""
    return float(price.to("kg").amount) * 100.0 / dm
