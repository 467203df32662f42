"""How results come in: typed from a report, or from a bench batch; and how they are corrected."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from haywright.bag.custody import Stage
from haywright.bench.panel import takes_place
from haywright.measure.analytes import dictionary
from haywright.measure.errors import HaywrightError, Problems, Refused
from haywright.measure.estimate import State, exact
from haywright.measure.message import message
from haywright.measure.result import Result as PureResult
from haywright.office.action import acting, tell, unchanged
from haywright.office.bag.models import Bag
from haywright.office.bench.correcting import read_right
from haywright.office.bench.models import Batch, Laboratory, Reading, Result
from haywright.office.ledger.chain import Deed
from haywright.office.people.actor import Actor
from haywright.office.people.policies import may, may_with
from haywright.office.stack.models import Lot
from haywright.office.way.pure import in_force
from haywright.sheet.typed import Laboratory as Profile
from haywright.sheet.typed import TypedReport, read_typed

_KEPT_IN_ROWS = ("results", "readings", "beside")
_READINGS_ARE_NOT = ("position", "kind", "sample", "replicate", "attempt", "void", "read_at")


def type_report(
    actor: Actor,
    lot: Lot,
    texts: Iterable[str],
    *,
    profile: Profile,
    report: str = "",
    dated: date | None = None,
    bag: Bag | None = None,
    reason: str = "",
    once: str = "",
) -> TypedReport:
    """Enter the numbers of a paper report; one that is there already needs a reason.

    Parameters
    ----------
    actor
        Who types.
    lot, bag
        What the report speaks of; no bag where it was not one of ours.
    texts
        "cp=18.2", "nitrate=4200 ppm NO3", as ``sheet.typed`` reads them.
    profile
        What the laboratory leaves unsaid.
    report, dated
        Number of the report, and the day it bears.
    reason
        Why numbers that are there already change.
    once
        So that a form sent twice is one report.
    """
    with acting(actor, "result.type", allowed=may_with(actor, "result.type", lot), once=once) as d:
        if bag is not None and bag.lot_id != lot.pk:
            raise Refused("bag", bag.code, key="office.bag.another_lot")
        _refuse_day(dated, lot, bag, today=lot.office.day_of(d.at))
        typed = read_typed(texts, laboratory=profile, report=report, dated=dated)
        for one in typed.results.values():
            _keep(d, actor, lot, bag, None, one, reason)
        tell("results.changed", lot=lot, deed=d, actor=actor, reason=reason)
    return typed


def _refuse_day(dated: date | None, lot: Lot, bag: Bag | None, *, today: date) -> None:
    """Refuse a report of a day still to come, or of one before there was hay to test."""
    if dated is None:
        return
    if dated > today:
        raise Refused("dated", dated, key="office.report.not_yet", day=dated)
    if bag is not None:
        if dated < bag.cored_on:
            key = "office.report.before_core"
            raise Refused("dated", dated, key=key, day=dated, bag=bag.code, cored=bag.cored_on)
    elif lot.baled_on is not None and dated < lot.baled_on:
        key = "office.report.before_baled"
        raise Refused("dated", dated, key=key, day=dated, baled=lot.baled_on)


def receive_results(
    actor: Actor, reports: Iterable[Mapping[str, Any]], *, once: str = ""
) -> list[Batch]:
    """Take in what the bench wrote: readings, controls and results of one or more batches.

    A number takes the place of one that is there only by the rule of ``bench.panel``; else it is
    kept beside it, with the batch.

    Parameters
    ----------
    actor
        Who receives it.
    reports
        Reports as ``haywright bench run`` writes them.
    once
        So that a file received twice is one receipt.

    Raises
    ------
    Problems
        Every bag that is not ours or was refused, every batch that is there already or has nothing
        in it; nothing is written then.
    """
    with acting(actor, "result.receive", allowed=may(actor, "result.receive"), once=once) as deed:
        held = [dict(one) for one in reports]
        bags = _bags_of(deed, held)
        batches, lots = [], {}
        for one in held:
            batch = _batch(deed, actor, one)
            _readings(batch, actor, one)
            for code, results in one["results"].items():
                bag = bags[code]
                lots[bag.lot_id] = bag.lot
                _of_bag(deed, actor, bag, batch, [PureResult.from_json(held) for held in results])
            if batch.report.get("beside"):
                batch.save(update_fields=["report"])
            batches.append(batch)
        for lot in lots.values():
            tell("results.changed", lot=lot, deed=deed, actor=actor, reason="")
    return batches


def _of_bag(
    deed: Deed, actor: Actor, bag: Bag, batch: Batch, results: Iterable[PureResult]
) -> None:
    """The results of one bag of a batch: each in its place, or beside what stands there."""
    why = f"rerun {batch.name}" if batch.report.get("rerun_of") else batch.name
    there = in_force(bag.lot, bag)
    for one in results:
        before = there.get(one.analyte)
        if before is None or takes_place(PureResult.from_json(before.whole), one):
            _keep(deed, actor, bag.lot, bag, batch, one, why)
        elif before.whole != one.to_json():
            _beside(deed, bag, batch, before, one)


def _beside(deed: Deed, bag: Bag, batch: Batch, stands: Result, one: PureResult) -> None:
    """A result that takes no place: kept whole with its batch, and told in the ledger."""
    kept = {"bag": bag.code, "stands": str(stands.pk), "result": one.to_json()}
    batch.report.setdefault("beside", []).append(kept)
    told = {"analyte": one.analyte, "value": _open_value(one), "batch": batch.name}
    deed.enter("result", stands.pk, after={"beside": told}, lot=stands.lot_id)


def _open_value(one: PureResult) -> float | None:
    """The number that may be given out: what is held has none, whatever it would have been."""
    held = one.estimate.state is State.HELD or not math.isfinite(one.value)
    return None if held else one.value


def correct_result(actor: Actor, result: Result, text: str, *, reason: str, once: str = "") -> None:
    """Correct a number that was typed wrong; the wrong one stays where it is, with the reason.

    A number the bench worked out is not corrected here: its readings are, or a rerun is received.

    Parameters
    ----------
    actor
        Who corrects it.
    result
        The number as it was entered.
    text
        The number as it should have been: "18.2 % dry matter"; alone it keeps unit and basis.
    reason
        What was wrong.
    once
        So that a form sent twice is one correction.

    Raises
    ------
    Refused
        No reason, a text that cannot be read, a number of the bench, or one in whose place another
        stands already.
    """
    allowed = may_with(actor, "result.correct", result)
    with acting(actor, "result.correct", allowed=allowed, once=once) as deed:
        Lot.objects.select_for_update().get(pk=result.lot_id)
        if result.batch_id is not None:
            raise Refused("right", text, key="office.correct.bench")
        if Result.objects.filter(replaces=result).exists():
            raise Refused("right", text, key="office.correct.gone")
        if not reason.strip():
            raise Refused("reason", reason, key="office.reason")
        for one in read_right(result, text).results.values():
            _keep(deed, actor, result.lot, result.bag, None, one, reason)
        tell("results.changed", lot=result.lot, deed=deed, actor=actor, reason=reason)


def release_batch(actor: Actor, batch: Batch, why: str, *, once: str = "") -> None:
    """Release what a batch held back, with a written reason that the sheet prints.

    The numbers come out as they were found, without a doubt of their own: what a nitrate is worth
    then is the planning figure's, the wider one.

    Parameters
    ----------
    actor
        Who releases it.
    batch
        The batch.
    why
        Why it may be released although its control failed.
    once
        So that a form sent twice is one release.
    """
    allowed = may(actor, "batch.release") and batch.office == actor.office
    with acting(actor, "batch.release", allowed=allowed, once=once) as deed:
        batch = Batch.objects.select_for_update().get(pk=batch.pk)
        if not batch.held or batch.released_why:
            raise Refused("batch", batch.name, key="office.batch.not_held")
        if not why.strip():
            raise Refused("why", why, key="office.reason")
        said = message("office.batch.released", batch=batch.name, why=why.strip())
        lots = {}
        for row in held_results(batch):
            pure = PureResult.from_json(row.whole)
            if math.isfinite(pure.estimate.value):
                found = exact(pure.estimate.value)
                out = replace(pure, estimate=found, notes=(*pure.notes, said))
                _keep(deed, actor, row.lot, row.bag, batch, out, why)
                lots[row.lot_id] = row.lot
        batch.released_why, batch.released_by = why.strip(), actor.person
        batch.save(update_fields=["released_why", "released_by"])
        deed.enter("batch", batch.pk, after={"released": why.strip()}, reason=why.strip())
        for lot in lots.values():
            tell("results.changed", lot=lot, deed=deed, actor=actor, reason=why.strip())


def held_results(batch: Batch) -> list[Result]:
    """Results of a batch that are held still; what a rerun gave since stands in its own place."""
    rows = Result.objects.filter(batch=batch, state=State.HELD.value, replaced_by__isnull=True)
    return list(rows.select_related("lot", "bag").order_by("id"))


def keep_laboratory(
    actor: Actor,
    laboratory: Laboratory | None,
    facts: Mapping[str, Any],
    *,
    version: int | None = None,
    once: str = "",
) -> Laboratory:
    """Write down a laboratory: what its reports leave unsaid, its prices, where bags go.

    Parameters
    ----------
    actor
        Who writes it down.
    laboratory
        The one that is corrected; ``None`` for a new one.
    facts
        "name", "address", "phone", the ``HABITS`` and ``TOLD``, and "prices" by test.
    version
        The number of the page it was changed on; an older one is refused.
    once
        So that a form sent twice is one laboratory.

    Raises
    ------
    Refused
        No name, a name that is there already, or a habit nobody can read.
    Stale
        Somebody else saved it in between.
    """
    own = laboratory is None or laboratory.office_id == getattr(actor.office, "pk", None)
    allowed = may(actor, "laboratory.change") and own
    with acting(actor, "laboratory.change", allowed=allowed, once=once) as deed:
        name = str(facts["name"]).strip()
        if not name:
            raise Refused("name", name, key="office.laboratory.name")
        others = Laboratory.objects.filter(office=deed.office, name=name)
        if (others if laboratory is None else others.exclude(pk=laboratory.pk)).exists():
            raise Refused("name", name, key="office.laboratory.there")
        held = Laboratory(office=deed.office)
        if laboratory is not None:
            held = Laboratory.objects.select_for_update().get(pk=laboratory.pk)
            unchanged(held, version)
            held.version += 1
        before = {} if laboratory is None else _laboratory_said(held)
        held.name = name
        held.address, held.phone = (str(facts.get(f, "")).strip() for f in ("address", "phone"))
        held.profile = {one: facts[one] for one in (*HABITS, *TOLD) if facts.get(one)}
        held.prices = dict(facts.get("prices", {}))
        profile_of(held)  # refuses a habit nobody can read
        held.save()
        deed.enter("laboratory", held.pk, before=before, after=_laboratory_said(held))
    return held


HABITS = ("basis", "nitrate", "energy", "tdn_method")
TOLD = ("methods", "proficiency")


def _laboratory_said(one: Laboratory) -> dict[str, Any]:
    where = {"name": one.name, "address": one.address, "phone": one.phone}
    return {**where, **one.profile, "prices": one.prices}


def profile_of(laboratory: Laboratory | None) -> Profile:
    """What a laboratory leaves unsaid, as the reader of typed reports takes it."""
    from haywright.measure.basis import parse_basis

    if laboratory is None:
        return Profile()
    held = laboratory.profile
    return Profile(
        name=laboratory.name,
        basis=parse_basis(held["basis"]) if held.get("basis") else None,
        nitrate=held.get("nitrate", ""),
        energy=held.get("energy", ""),
        tdn_method=held.get("tdn_method", ""),
    )


def _keep(
    deed: Deed,
    actor: Actor,
    lot: Lot,
    bag: Bag | None,
    batch: Batch | None,
    one: PureResult,
    reason: str,
) -> Result | None:
    """One result more; the one it stands in place of is kept, and the same again is not."""
    whole = one.to_json()
    before = in_force(lot, bag).get(one.analyte)
    if before is not None and before.whole == whole:
        return None
    if before is not None and not reason.strip():
        raise Refused(one.analyte, str(whole.get("value")), key="office.result.there")
    value = one.value if one.settled else None
    row = Result.objects.create(
        office=deed.office,
        lot=lot,
        bag=bag,
        batch=batch,
        analyte=one.analyte,
        state=one.estimate.state.value,
        value=None if value is None else Decimal(repr(value)).quantize(Decimal("1e-10")),
        unit=one.unit,
        basis=str(one.basis),
        kind=one.kind.value,
        laboratory=one.laboratory or (batch.report.get("laboratory", "") if batch else ""),
        reported=one.report,
        whole=whole,
        replaces=before,
        reason=reason if before is not None else "",
        by=actor.person,
    )
    was = {} if before is None else {one.analyte: _open_value(PureResult.from_json(before.whole))}
    deed.enter(
        "result",
        row.pk,
        before=was,
        after={one.analyte: _open_value(one), "state": row.state},
        lot=lot.pk,
        reason=row.reason,
    )
    return row


def _bags_of(deed: Deed, reports: list[dict[str, Any]]) -> dict[str, Bag]:
    wanted = {code for one in reports for code in one.get("results", {})}
    found = {
        bag.code: bag
        for bag in Bag.objects.filter(office=deed.office, code__in=wanted).select_related("lot")
    }
    problems: list[HaywrightError] = [
        Refused("bag", code, key="office.bag.not_ours") for code in sorted(wanted - found.keys())
    ]
    problems += [
        Refused("bag", code, key="office.bag.was_refused")
        for code, bag in sorted(found.items())
        if bag.stage == Stage.REFUSED
    ]
    problems += [_empty(one) for one in reports if not any(one["results"].values())]
    problems += [
        Refused("batch", one.get("batch"), key="office.batch.there")
        for one in reports
        if Batch.objects.filter(office=deed.office, name=one.get("batch", "")).exists()
    ]
    if problems:
        raise problems[0] if len(problems) == 1 else Problems(problems)
    return found


def _empty(report: Mapping[str, Any]) -> Refused:
    """A batch with nothing in it, with what it waits for where its report says so."""
    waiting = report.get("decision", {}).get("waiting", {})
    names = dict.fromkeys(name for missing in waiting.values() for name in missing)
    known = tuple(message("measure.quantity", id=name) for name in names if name in dictionary())
    key = "office.receive.waits" if known else "office.receive.nothing"
    return Refused("results", report["batch"], key=key, names=known)


def _batch(deed: Deed, actor: Actor, one: dict[str, Any]) -> Batch:
    decision = one.get("decision", {})
    batch = Batch.objects.create(
        office=deed.office,
        name=one["batch"],
        determination=one["determination"],
        method=one.get("method", ""),
        run_on=date.fromisoformat(one["run_on"]),
        held=bool(decision.get("held")),
        report={name: held for name, held in one.items() if name not in _KEPT_IN_ROWS}
        | {
            "places": [_place(read) for read in one.get("readings", ())],
            "gave": {bag: [row["analyte"] for row in of] for bag, of in one["results"].items()},
        },
    )
    after = {"batch": batch.name, "held": batch.held, "by": str(actor.person and actor.person.pk)}
    deed.enter("batch", batch.pk, after=after)
    return batch


def _place(read: Mapping[str, Any]) -> dict[str, Any]:
    """What stood at a place of the run, without its readings: they are rows of their own."""
    return {name: read[name] for name in _READINGS_ARE_NOT if name in read}


def _readings(batch: Batch, actor: Actor, one: dict[str, Any]) -> None:
    rows = []
    for place in one.get("readings", ()):
        read_at = place.get("read_at")
        for name, value in place.items():
            if name in _READINGS_ARE_NOT or value is None:
                continue
            number = isinstance(value, int | float) and not isinstance(value, bool)
            rows.append(
                Reading(
                    batch=batch,
                    position=place["position"],
                    kind=place["kind"],
                    sample=place["sample"],
                    name=name,
                    value=Decimal(repr(value)).quantize(Decimal("1e-10")) if number else None,
                    written=str(value),
                    read_at=datetime.fromisoformat(read_at) if read_at else None,
                    by=actor.person,
                )
            )
    Reading.objects.bulk_create(rows, batch_size=500)
