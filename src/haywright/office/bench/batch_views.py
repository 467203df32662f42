"""Batches as the office received them: what is held and why, a release, a file taken in."""

from __future__ import annotations

import hashlib
import math
from pathlib import Path
from typing import Any

from django import forms
from django.conf import settings
from django.contrib import messages
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from haywright.measure.errors import HaywrightError
from haywright.measure.estimate import State
from haywright.measure.message import Message
from haywright.measure.result import Result as PureResult
from haywright.office.action import DoneAlready
from haywright.office.bench import actions
from haywright.office.bench.models import Batch, Result
from haywright.office.bench.reports import report_of
from haywright.office.people.policies import MAY, visible
from haywright.office.stack.queries import Turn, one_page
from haywright.office.web.pages import Form, actor_in, found, page, status_of
from haywright.office.web.words import reader_of
from haywright.paper.speaker import Speaker
from haywright.words import say

MEGABYTE = 1_000_000


def batches(request: HttpRequest) -> Any:
    """The batches the person may see."""
    rows = Batch.objects.select_related("released_by")
    return visible(actor_in(request), "batch.see", rows)


@page("batch.see")
def batch_list(request: HttpRequest) -> HttpResponse:
    """Every batch, the newest first; those held still stand out."""
    rows = batches(request)
    if request.GET.get("held"):
        rows = rows.filter(held=True, released_why="")
    leaf = one_page(rows, Turn.of(request.GET))
    words = Speaker(reader_of(request))
    held = {
        "rows": [(one, [] if one.released_why else _why(one, words)) for one in leaf.rows],
        "held": bool(request.GET.get("held")),
        "may_receive": bool(MAY["result.receive"] & actor_in(request).roles),
        "may_laboratories": bool(MAY["laboratory.change"] & actor_in(request).roles),
        "turn": leaf.addresses({"held": "1"} if request.GET.get("held") else {}),
    }
    return render(request, "haywright/batches.html", held)


class ReleaseForm(Form):
    """Why a batch may be released although its control failed."""

    why = forms.CharField(max_length=500, widget=forms.Textarea(attrs={"rows": 3}))


@page("batch.see")
def batch_page(request: HttpRequest, key: str) -> HttpResponse:
    """One batch: its controls, what is held and why; a lab manager may release it in writing."""
    actor, reader = actor_in(request), reader_of(request)
    batch = found(batches(request), pk=key)
    may_release = bool(MAY["batch.release"] & actor.roles) and batch.held and not batch.released_why
    form = ReleaseForm(request, request.POST or None) if may_release else None
    if request.method == "POST" and form is not None and form.is_valid():
        try:
            actions.release_batch(actor, batch, form.cleaned_data["why"], once=form.token)
        except DoneAlready:
            return redirect("batch", batch.pk)
        except HaywrightError as error:
            form.refuse(error)
        else:
            return redirect("batch", batch.pk)
    words = Speaker(reader)
    decision = batch.report.get("decision", {})
    still = _still(batch, words)
    held = {
        "batch": batch,
        "form": form,
        "controls": [
            {
                "outcome": words(f"bench_paper.outcome.{one['outcome']}"),
                "failed": one["outcome"] == "failed",
                "said": _said(one.get("said"), words),
            }
            for one in batch.report.get("controls", ())
        ],
        "held": [
            {"bag": one["bag"], "name": words.name(one["analyte"]),
             "why": _reasons(one, words)}
            for one in decision.get("held", ())
        ],
        "turned": _before_and_after(batch, words),
        "reruns": [_said(one, words) for one in decision.get("reruns", ())],
        "still": still,
    }  # fmt: skip
    return render(request, "haywright/batch.html", held, status=status_of(form))


def _said(held: Any, words: Speaker) -> str:
    return words.said(Message.from_json(held)) if isinstance(held, dict) else str(held or "")


def _reasons(one: Any, words: Speaker) -> list[str]:
    return [_said(reason, words) for reason in one.get("reasons", ())]


def _why(batch: Batch, words: Speaker) -> list[str]:
    """Why a batch is held, each rule and limit once."""
    held = batch.report.get("decision", {}).get("held", ())
    return list(dict.fromkeys(said for one in held for said in _reasons(one, words)))


def _before_and_after(batch: Batch, words: Speaker) -> list[dict[str, str]]:
    """What another batch, or a release, put in the place of what was there before."""
    mine = Q(batch=batch) | Q(replaces__batch=batch)
    rows = Result.objects.filter(mine, replaces__isnull=False).order_by("id")
    return [
        {
            "bag": row.bag.code if row.bag else "",
            "name": words.name(row.analyte),
            "before": _worth(row.replaces, words),
            "before_of": row.replaces.batch.name if row.replaces and row.replaces.batch else "",
            "after": _worth(row, words),
            "after_of": row.batch.name if row.batch else "",
            "reason": row.reason,
        }
        for row in rows.select_related("bag", "batch", "replaces__batch")
    ]


def _worth(row: Result | None, words: Speaker) -> str:
    """What a result is worth; what a held one would have been stands beside it."""
    if row is None:
        return ""
    pure = PureResult.from_json(row.whole)
    said = words.value(pure.estimate, row.analyte)
    if pure.estimate.state is State.HELD and math.isfinite(pure.estimate.value):
        return f"{said} ({words.figure(pure.estimate.value, row.analyte)})"
    return said


def _still(batch: Batch, words: Speaker) -> list[str]:
    """What is held still, rerun results set aside."""
    rows = actions.held_results(batch)
    return [f"{row.bag.code if row.bag else ''} {words.name(row.analyte)}" for row in rows]


class ReceiveForm(Form):
    """A file as the bench wrote it."""

    results_file = forms.FileField()


@page("result.receive")
def batch_receive(request: HttpRequest) -> HttpResponse:
    """Take in what the bench wrote, as the command does."""
    form = ReceiveForm(request, request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        sent = form.cleaned_data["results_file"]
        try:
            data = sent.read()
            once = hashlib.sha256(hashlib.sha256(data).digest()).hexdigest()
            report = report_of(Path(sent.name), data)
            received = actions.receive_results(actor_in(request), [report], once=once)
        except DoneAlready:
            messages.info(request, form.say("office.receive.again"))
            return redirect("batches")
        except HaywrightError as error:
            for one in error.messages():
                form.add_error("results_file", say(one, form.reader))
        else:
            return redirect("batch", received[0].pk)
    most = settings.MOST_SENT // MEGABYTE
    said = {one: form.say(f"office.receive.{one}") for one in ("title", "does")}
    said["lede"] = form.say("office.receive.lede", most=most)
    return render(request, "haywright/form.html", {"form": form, **said}, status=status_of(form))
