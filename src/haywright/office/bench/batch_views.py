"""Batches as the office received them: what is held and why, a release, a file taken in."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from haywright.measure.errors import HaywrightError, Refused
from haywright.measure.message import Message
from haywright.office.action import DoneAlready
from haywright.office.bench import actions
from haywright.office.bench.models import Batch
from haywright.office.bench.reports import MOST_BYTES, report_of
from haywright.office.people.policies import MAY, visible
from haywright.office.stack.queries import Turn, one_page
from haywright.office.web.pages import Form, actor_in, found, page, status_of
from haywright.office.web.words import reader_of
from haywright.paper.speaker import Speaker
from haywright.words import say


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
    held = {
        "batches": leaf.rows,
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
             "why": [_said(reason, words) for reason in one["reasons"]]}
            for one in decision.get("held", ())
        ],
        "reruns": [_said(one, words) for one in decision.get("reruns", ())],
        "still": _still(batch, words),
    }  # fmt: skip
    return render(request, "haywright/batch.html", held, status=status_of(form))


def _said(held: Any, words: Speaker) -> str:
    return words.said(Message.from_json(held)) if isinstance(held, dict) else str(held or "")


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
            if sent.size > MOST_BYTES:
                key = "office.receive.too_large"
                raise Refused("results_file", sent.name, key=key, most=MOST_BYTES // 1_000_000)
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
    said = {one: form.say(f"office.receive.{one}") for one in ("title", "does", "lede")}
    return render(request, "haywright/form.html", {"form": form, **said}, status=status_of(form))
