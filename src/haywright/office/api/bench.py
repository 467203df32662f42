"""Operations of the bench: reports typed in, results and corrections, batches, laboratories."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import datetime
from pathlib import Path as Where
from typing import Annotated, Any, Literal

from django.http import HttpRequest
from ninja import Body, Field, Query, Router, Schema, Status

from haywright.bag.tests import all_tests
from haywright.measure.basis import parse_basis
from haywright.measure.errors import Refused, UnknownName
from haywright.measure.message import Message
from haywright.measure.result import Result as PureResult
from haywright.office.api.bag import bag_of
from haywright.office.api.door import asked, done, once_in
from haywright.office.api.kinds import Day, Key, Measured, Money, Number, Sent, Yes
from haywright.office.api.problems import reader_for
from haywright.office.api.sheet import SheetOut, told
from haywright.office.api.stack import MADE, lot_of, paged
from haywright.office.bag.prices import price_list
from haywright.office.bench import actions
from haywright.office.bench.batch_told import holding
from haywright.office.bench.batch_views import batches
from haywright.office.bench.correcting import doubts_of
from haywright.office.bench.laboratory_views import laboratories
from haywright.office.bench.looked import IMPOSSIBLE, UNUSUAL, look_over
from haywright.office.bench.models import Batch, Laboratory, Result
from haywright.office.bench.reports import report_of
from haywright.office.people.policies import visible
from haywright.office.web.pages import actor_in, found
from haywright.paper.speaker import Speaker
from haywright.sheet.choices import Choices
from haywright.sheet.typed import read_typed
from haywright.words import Reader, say

bench = Router(tags=["bench"])
READ, WRITE = "bench:read", "bench:write"
Text = Annotated[str, Field(max_length=120)]
Reason = Annotated[str, Field(min_length=1, max_length=500)]
Word = Annotated[str, Field(max_length=60, pattern=r"^[^=<>]*$")]


class ResultOut(Schema):
    """A result of a lot or a bag, as it was kept."""

    id: Key
    lot: Key
    bag: Key | None
    batch: Key | None
    measured: Measured
    in_force: bool = Field(description="False where a later one stands in its place.")
    replaces: Key | None
    reason: str
    made_at: datetime


class ResultPage(Schema):
    """Results, newest first; ``after`` begins the next page and is "" at the end."""

    items: list[ResultOut]
    after: str


class Typed(Sent):
    """One number as the paper has it; what it leaves out is filled by the laboratory's habits."""

    quantity: Word = Field(description="dm, cp, adf, ndf, nitrate ...")
    value: Number
    unit: Word = Field("", description="%, ppm, mg/kg, Mcal/lb ...")
    form: Word = Field("", description="NO3-N, NO3 or KNO3, for a nitrate.")
    basis: Literal["", "dry matter", "as received", "as fed"] = ""
    beyond: Literal["", "below", "above"] = Field("", description="Where it is a limit.")

    def text(self) -> str:
        """The number as the reader of reports takes it."""
        sign = {"": "", "below": "<", "above": ">"}[self.beyond]
        parts = (f"{sign}{self.value:f}", self.unit, self.form, self.basis)
        return f"{self.quantity}={' '.join(part for part in parts if part)}"


class Report(Sent):
    """A paper report."""

    laboratory: str = Field(min_length=1, max_length=120)
    report: str = Field("", max_length=80, description="Its number.")
    dated: Day | None = Field(None, description="The day it bears.")
    bag: Key | None = Field(None, description="Ours that it speaks of, if it is one.")
    basis: Literal["", "dry matter", "as received"] = Field(
        "", description="Of every number that does not say its own."
    )
    numbers: list[Typed] = Field(min_length=1, max_length=100)
    reason: str = Field("", max_length=500, description="Why numbers that are there change.")
    sure: Yes = Field(default=False, description="Keep it although it looks unusual.")


class ReportOut(Schema):
    """What a report was understood to say, and the sheets that were written."""

    sheets: list[SheetOut]
    numbers: list[Measured]
    flags: list[str] = Field(description="What does not look right.")


class Correct(Sent):
    """The number as it should have been, and what was wrong."""

    right: Typed
    reason: Reason
    sure: Yes = Field(default=False, description="Keep it although it looks unusual.")


class Held(Schema):
    """A result a batch held back."""

    bag: str
    quantity: str
    why: list[str]


class BatchOut(Schema):
    """One batch as the bench wrote it."""

    id: Key
    name: str
    determination: str
    method: str
    run_on: Day
    held: bool = Field(description="Whether its control failed.")
    held_back: list[Held]
    still_held: int = Field(description="Results of it that are held still [count].")
    released_why: str
    made_at: datetime


class BatchPage(Schema):
    """Batches, newest first; ``after`` begins the next page and is "" at the end."""

    items: list[BatchOut]
    after: str


class BatchReport(Schema):
    """A results file as the bench wrote it, whole."""

    batch: str = Field(min_length=1, max_length=120)
    determination: str = Field(min_length=1, max_length=40)
    run_on: Day
    results: dict[str, list[dict[str, Any]]] = Field(description="By the code of the bag.")


class Release(Sent):
    """Why a batch may be released although its control failed; the sheet prints it."""

    why: Reason


class Habits(Sent):
    """A laboratory: what its reports leave unsaid, where bags go, its prices."""

    name: str = Field(min_length=1, max_length=120)
    address: str = Field("", max_length=500)
    basis: Literal["", "dry matter", "as received"] = ""
    nitrate: Word = Field("", description='Unit and form: "ppm NO3-N".')
    energy: Literal["", "Mcal/lb", "Mcal/kg"] = ""
    tdn_method: Word = ""
    prices: dict[str, Number] = Field({}, description="By test, in the office's currency.")

    def facts(self) -> dict[str, Any]:
        """What is to be kept."""
        known = all_tests()
        for test, price in self.prices.items():
            if test not in known:
                raise UnknownName("prices", test, known)
            if not 0 <= price < 10_000_000 or round(price, 2) != price:
                raise Refused(f"prices.{test}", price, "0.00", key="office.api.price")
        prices = {test: str(round(price, 2)) for test, price in self.prices.items()}
        return {**self.model_dump(exclude={"prices"}), "prices": prices}


class LaboratoryOut(Schema):
    """A laboratory the office sends to."""

    id: Key
    name: str
    address: str
    basis: str
    nitrate: str
    energy: str
    tdn_method: str
    prices: dict[str, Money]
    currency: str


class LaboratoryPage(Schema):
    """Laboratories, newest first; ``after`` begins the next page and is "" at the end."""

    items: list[LaboratoryOut]
    after: str


def _results(request: HttpRequest) -> Any:
    rows = Result.objects.select_related("lot", "lot__office", "bag", "replaced_by")
    return visible(actor_in(request), "result.see", rows, ranch="lot__ranch")


def result_out(one: Result, words: Speaker) -> dict[str, Any]:
    """A result with its number.

    Parameters
    ----------
    one
        The result.
    words
        The reader's.
    """
    pure = PureResult.from_json(one.whole)
    return {
        "id": one.pk,
        "lot": one.lot_id,
        "bag": one.bag_id,
        "batch": one.batch_id,
        "measured": told(pure, words, Choices().confidence),
        "in_force": getattr(one, "replaced_by", None) is None,
        "replaces": one.replaces_id,
        "reason": one.reason,
        "made_at": one.made_at,
    }


@asked(bench, "/results", ResultPage, READ, "result.see")
def results_list(
    request: HttpRequest,
    lot: Key | None = None,
    bag: Key | None = None,
    quantity: Annotated[str, Query(max_length=40, pattern=r"^[a-z0-9_]*$")] = "",
    after: Key | None = None,
    *,
    replaced: bool = False,
) -> Any:
    """Results, newest first; ``replaced`` those too that a later one stands in place of."""
    rows, words = _results(request), Speaker(reader_for(request))
    rows = rows.filter(lot=lot) if lot else rows
    rows = rows.filter(bag=bag) if bag else rows
    rows = rows.filter(analyte=quantity) if quantity else rows
    leaf = paged(rows if replaced else rows.filter(replaced_by__isnull=True), after)
    return {**leaf, "items": [result_out(one, words) for one in leaf["items"]]}


@asked(bench, "/results/{key}", ResultOut, READ, "result.see")
def result_get(request: HttpRequest, key: Key) -> Any:
    """One result."""
    return result_out(found(_results(request), pk=key), Speaker(reader_for(request)))


@done(bench, "/lots/{key}/reports", ReportOut, WRITE, "result.type", made=True)
def report_type(request: HttpRequest, key: Key, sent: Report) -> Any:
    """Type a paper report; what cannot be is refused, what is unusual unless it says it is sure."""
    actor, lot, reader = actor_in(request), lot_of(request, key), reader_for(request)
    own = Laboratory.objects.filter(office=lot.office_id, name=sent.laboratory).first()
    profile = replace(actions.profile_of(own), name=sent.laboratory)
    if sent.basis:
        profile = replace(profile, basis=parse_basis(sent.basis))
    texts = [one.text() for one in sent.numbers]
    typed = read_typed(texts, laboratory=profile, report=sent.report, dated=sent.dated)
    bag = bag_of(request, sent.bag) if sent.bag else None
    looked = look_over(lot, bag, typed, reader, chosen=bool(sent.basis))
    flags = [say(one.message, reader) for one in looked.flags]
    if looked.of_kind(IMPOSSIBLE):
        raise Refused("numbers", " ".join(flags), key="office.api.impossible")
    if looked.of_kind(UNUSUAL) and not sent.sure:
        raise Refused("numbers", " ".join(flags), "sure", key="office.api.unusual")
    kept = actions.type_report(
        actor,
        lot,
        texts,
        profile=profile,
        report=sent.report,
        dated=sent.dated,
        bag=bag,
        reason=sent.reason,
        once=once_in(request),
    )
    words = Speaker(reader)
    numbers = [told(one, words, Choices().confidence) for one in kept.results.values()]
    rows = lot.sheets.prefetch_related("versions", "notes").order_by("-id")
    return Status(MADE, {"sheets": list(rows), "numbers": numbers, "flags": flags})


def _sure_of(one: Result, text: str, reader: Reader, *, sure: bool) -> None:
    """Refuse a corrected number that cannot be, or that is unusual and not confirmed."""
    if one.batch_id is not None or getattr(one, "replaced_by", None) is not None:
        return
    doubts = doubts_of(one, text)
    if doubts.impossible:
        told = " ".join(say(said, reader) for said in doubts.impossible)
        raise Refused("right", told, key="office.api.impossible")
    if doubts.unusual and not sure:
        told = " ".join(say(said, reader) for said in doubts.unusual)
        raise Refused("right", told, "sure", key="office.api.unusual")


@done(bench, "/results/{key}/correct", ResultOut, WRITE, "result.correct", made=True)
def result_correct(request: HttpRequest, key: Key, sent: Correct) -> Any:
    """Correct a number; the wrong one stays where it is, with the reason."""
    actor = actor_in(request)
    rows = visible(actor, "result.correct", _results(request), ranch="lot__ranch")
    one, right = found(rows, pk=key), sent.right
    if right.quantity not in ("", one.analyte):
        raise Refused("right.quantity", right.quantity, one.analyte, key="office.api.quantity")
    text = right.text().partition("=")[2]
    _sure_of(one, text, reader_for(request), sure=sent.sure)
    actions.correct_result(actor, one, text, reason=sent.reason, once=once_in(request))
    same = _results(request).filter(lot=one.lot_id, bag=one.bag_id, analyte=one.analyte)
    return Status(MADE, result_out(same.order_by("-id")[0], Speaker(reader_for(request))))


def batch_out(one: Batch, words: Speaker) -> dict[str, Any]:
    """A batch with what it held back and why.

    Parameters
    ----------
    one
        The batch.
    words
        The reader's.
    """
    plain = ("id", "name", "determination", "method", "run_on", "held", "released_why", "made_at")
    back = one.report.get("decision", {}).get("held", ())
    return {
        **{name: getattr(one, name) for name in plain},
        "held_back": [
            {"bag": row["bag"], "quantity": row["analyte"],
             "why": [words.said(Message.from_json(said)) for said in row["reasons"]]}
            for row in back
        ],
        "still_held": len(actions.held_results(one)) if one.held else 0,
    }  # fmt: skip


@asked(bench, "/batches", BatchPage, READ, "batch.see")
def batches_list(request: HttpRequest, after: Key | None = None, *, held: bool = False) -> Any:
    """Batches, newest first; ``held`` those only that are held still."""
    rows, words = batches(request), Speaker(reader_for(request))
    leaf = paged(holding(rows) if held else rows, after)
    return {**leaf, "items": [batch_out(one, words) for one in leaf["items"]]}


@asked(bench, "/batches/{key}", BatchOut, READ, "batch.see")
def batch_get(request: HttpRequest, key: Key) -> Any:
    """One batch."""
    return batch_out(found(batches(request), pk=key), Speaker(reader_for(request)))


@done(bench, "/batches", BatchOut, WRITE, "result.receive", made=True)
def batch_receive(request: HttpRequest, sent: Body[BatchReport]) -> Any:  # noqa: ARG001 - its shape
    """Take in a results file as the bench wrote it: readings, controls and results."""
    name = Where(f"{hashlib.sha256(request.body).hexdigest()[:12]}.json")
    report = report_of(name, request.body)
    made = actions.receive_results(actor_in(request), [report], once=once_in(request))
    return Status(MADE, batch_out(made[0], Speaker(reader_for(request))))


@done(bench, "/batches/{key}/release", BatchOut, WRITE, "batch.release")
def batch_release(request: HttpRequest, key: Key, sent: Release) -> Any:
    """Release what a batch held back, with a written reason that the sheet prints."""
    one = found(batches(request), pk=key)
    actions.release_batch(actor_in(request), one, sent.why, once=once_in(request))
    return batch_out(found(batches(request), pk=key), Speaker(reader_for(request)))


def laboratory_out(request: HttpRequest, one: Laboratory) -> dict[str, Any]:
    """A laboratory with its habits and prices."""
    office = actor_in(request).office
    return {
        **dict.fromkeys(actions.HABITS, ""),
        **one.profile,
        "id": one.pk,
        "name": one.name,
        "address": one.address,
        "prices": price_list(one.prices),
        "currency": office.currency if office else "",
    }


@asked(bench, "/laboratories", LaboratoryPage, READ, "laboratory.change")
def laboratories_list(request: HttpRequest, after: Key | None = None) -> Any:
    """The laboratories the office sends to."""
    leaf = paged(laboratories(request), after)
    return {**leaf, "items": [laboratory_out(request, one) for one in leaf["items"]]}


@asked(bench, "/laboratories/{key}", LaboratoryOut, READ, "laboratory.change")
def laboratory_get(request: HttpRequest, key: Key) -> Any:
    """One laboratory."""
    return laboratory_out(request, found(laboratories(request), pk=key))


@done(bench, "/laboratories", LaboratoryOut, WRITE, "laboratory.change", made=True)
def laboratory_new(request: HttpRequest, sent: Habits) -> Any:
    """Write down a laboratory."""
    once = once_in(request)
    made = actions.keep_laboratory(actor_in(request), None, sent.facts(), once=once)
    return Status(MADE, laboratory_out(request, made))


@done(bench, "/laboratories/{key}", LaboratoryOut, WRITE, "laboratory.change", method="put")
def laboratory_change(request: HttpRequest, key: Key, sent: Habits) -> Any:
    """Correct what is written of a laboratory."""
    one, once = found(laboratories(request), pk=key), once_in(request)
    return laboratory_out(
        request, actions.keep_laboratory(actor_in(request), one, sent.facts(), once=once)
    )
