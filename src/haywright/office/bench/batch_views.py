"""Batches as the office received them: what is held and why, a release, a file taken in."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

from django import forms
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from haywright.bag.custody import Stage
from haywright.measure.errors import HaywrightError
from haywright.office.action import DoneAlready
from haywright.office.bag.models import Bag
from haywright.office.bench import actions
from haywright.office.bench import batch_told as told
from haywright.office.bench.kept import is_whole
from haywright.office.bench.models import Batch
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
        rows = told.holding(rows)
    leaf = one_page(rows, Turn.of(request.GET))
    held = {
        "rows": _listed(leaf.rows, Speaker(reader_of(request))),
        "held": bool(request.GET.get("held")),
        "may_receive": bool(MAY["result.receive"] & actor_in(request).roles),
        "may_laboratories": bool(MAY["laboratory.change"] & actor_in(request).roles),
        "turn": leaf.addresses({"held": "1"} if request.GET.get("held") else {}),
    }
    return render(request, "haywright/batches.html", held)


def _listed(rows: list[Batch], words: Speaker) -> list[tuple[Batch, str, list[str]]]:
    """Each batch with how it stands, and why it is held while it is."""
    keys = [one.pk for one in rows]
    still = set(told.holding(Batch.objects.filter(pk__in=keys)).values_list("pk", flat=True))
    stand = [(one, told.standing_of(one, holds=one.pk in still)) for one in rows]
    return [(one, how, told.reasons_of(one, words) if how == "held" else []) for one, how in stand]


class ReleaseForm(Form):
    """Why a batch may be released although its control failed."""

    why = forms.CharField(max_length=500, widget=forms.Textarea(attrs={"rows": 3}))


@page("batch.see")
def batch_page(request: HttpRequest, key: str) -> HttpResponse:
    """One batch: its controls, what is held and why; a lab manager may release it in writing."""
    actor, reader = actor_in(request), reader_of(request)
    batch = found(batches(request), pk=key)
    words = Speaker(reader)
    still = _still(batch, words) if batch.held and not batch.released_why else []
    may_release = bool(MAY["batch.release"] & actor.roles) and bool(still)
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
    held = {
        "batch": batch,
        "stands": told.standing_of(batch, holds=bool(still)),
        "form": form,
        "results": told.results_of(batch, words),
        "controls": told.controls_of(batch, words),
        "held": told.held_of(batch, words),
        "turned": told.before_and_after(batch, words),
        "reruns": told.reruns_of(batch, words),
        "still": still,
        "whole": is_whole(batch),
    }
    return render(request, "haywright/batch.html", held, status=status_of(form))


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
            _tell_unreceived(request, received[0], form)
            return redirect("batch", received[0].pk)
    most = settings.MOST_SENT // MEGABYTE
    said = {one: form.say(f"office.receive.{one}") for one in ("title", "does")}
    said["lede"] = form.say("office.receive.lede", most=most)
    return render(request, "haywright/form.html", {"form": form, **said}, status=status_of(form))


def _tell_unreceived(request: HttpRequest, batch: Batch, form: ReceiveForm) -> None:
    """Results of bags that nobody wrote down as received are taken, and told."""
    bags = Bag.objects.filter(results__batch=batch).exclude(stage=Stage.RECEIVED).distinct()
    codes = tuple(bags.order_by("code").values_list("code", flat=True))
    if codes:
        messages.warning(request, form.say("office.receive.not_received", bags=codes))
