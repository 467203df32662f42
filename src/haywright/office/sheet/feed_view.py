"""May it be fed: to whom, how much of it, what each guide says, whom to call."""

from __future__ import annotations

from dataclasses import dataclass
from http import HTTPStatus
from typing import Any, ClassVar
from urllib.parse import urlencode

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from haywright.bunk.hazards.nitrate.question import Fed
from haywright.files.ranches import ranch_of
from haywright.files.reading import Checked
from haywright.measure.errors import HaywrightError, Problems, Refused
from haywright.measure.units import convert
from haywright.office.sheet.queries import sheets, version_of
from haywright.office.sheet.shown import Shown, shown
from haywright.office.stack.views import pdf, stand_of
from haywright.office.stack.way import steps
from haywright.office.web.pages import Form, found, page, status_of
from haywright.office.web.words import reader_of
from haywright.paper.tokens import PAGE
from haywright.sources.animals import kinds
from haywright.way.how_much import HowMuch, how_much
from haywright.way.lot import Decision
from haywright.words import Reader, say
from haywright.words.numbers import number

# What a bare number is meant in, by the reader's units.
_MASS = {"us": "lb", "si": "kg"}
_VOLUME = {"us": "gal", "si": "L"}
_STEP = {"us": 0.5, "si": 0.2}
OTHER = "other"


class WhoForm(Form):
    """Who eats it: a group of the ranch, or any animals one names."""

    group = forms.ChoiceField(required=False, widget=forms.RadioSelect)
    animals = forms.ChoiceField(required=False)
    head = forms.IntegerField(required=False, min_value=1, max_value=100_000)
    fed = forms.ChoiceField(required=False)
    intake = forms.FloatField(required=False, min_value=0.1, max_value=150)
    water_nitrate = forms.FloatField(required=False, min_value=0, max_value=10_000)
    drinks = forms.FloatField(required=False, min_value=0.1, max_value=300)
    pregnant = forms.ChoiceField(required=False)
    stressed = forms.BooleanField(required=False)
    named = (
        "animals", "head", "fed", "intake", "water_nitrate", "drinks", "pregnant", "stressed",
    )  # fmt: skip
    labels: ClassVar = {
        "group": "office.feed.who",
        **{name: f"people.group.{name}" for name in named if name != "stressed"},
    }

    def __init__(self, request: HttpRequest, seen: Shown, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        del self.fields["once"]
        self.units = {
            "intake": _MASS[self.reader.units],
            "water_nitrate": "mg/L NO3-N",
            "drinks": _VOLUME[self.reader.units],
        }
        groups = [
            (str(n), self.reader.name(one.group.name)) for n, one in enumerate(seen.decisions)
        ]
        self._choose("group", [*groups, (OTHER, self.say("office.feed.other"))])
        self._choose(
            "animals",
            [("", "–"), *((one.name, self.reader.name(one.name)) for one in kinds().values())],
        )
        self._choose("fed", [(one.value, self.say(f"people.fed.{one.value}")) for one in Fed])
        known = [("", "unknown"), ("yes", "yes"), ("no", "no")]
        said = {"unknown": "office.form.unknown", "yes": "office.yes", "no": "office.no"}
        self._choose("pregnant", [(value, self.say(said[word])) for value, word in known])
        self.fields["group"].initial = "0"
        for name, unit in self.units.items():
            self.fields[name].unit = unit  # type: ignore[attr-defined]
        self.fields["intake"].help_text = self.say("office.feed.intake_help")

    def _choose(self, name: str, choices: list[tuple[str, str]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]

    def decision(self, seen: Shown) -> Decision:
        """The verdict for whom was chosen.

        Raises
        ------
        Refused, Problems
            What does not fit, by its field.
        """
        given = self.cleaned_data
        if given["group"] != OTHER and not given["animals"]:
            return seen.decisions[int(given["group"] or 0)]
        told: dict[str, Any] = {name: given[name] for name in ("animals", "fed") if given[name]}
        told["head"] = given["head"] or 1
        for name, unit in self.units.items():
            if given[name] is not None:
                told[name] = f"{given[name]} {unit}"
        if given["pregnant"]:
            told["pregnant"] = given["pregnant"] == "yes"
        told["stressed"] = bool(given["stressed"])
        ranch = ranch_of(Checked({"name": OTHER, "group": [told]}, ""), "")
        return seen.decide(ranch.groups[0])

    def address(self) -> str:
        """What stands in the address for whom was chosen."""
        held = self.cleaned_data if self.is_bound and self.is_valid() else {}
        return urlencode({n: self.data[n] for n, v in held.items() if v and n in self.data})


@dataclass(frozen=True)
class Slider:
    """How much of it, in weight and bales: what was asked for, never past what is allowed.

    Parameters
    ----------
    most, now, step
        The most for one animal, what was asked for, and the step [the reader's unit].
    share, bales
        Of one unit of weight: share of the day's feed [%], bales for the group [count or ``None``].
    unit
        Name of the reader's unit.
    share_now, bales_now
        The same of what was asked for, as a page prints them; "" for bales nobody weighed.
    head
        Animals of the group.
    """

    most: float
    now: float
    step: float
    share: float
    bales: float | None
    unit: str
    share_now: str
    bales_now: str
    head: int


def slider_of(much: HowMuch, asked: float | None, reader: Reader) -> Slider:
    """The slider for a reader.

    Parameters
    ----------
    much
        What is allowed.
    asked
        What one animal is to get [the reader's unit, as fed]; ``None`` for the most.
    reader
        Whose units.

    Raises
    ------
    Refused
        More than is allowed was asked for.
    """
    unit = _MASS[reader.units]
    step = _STEP[reader.units]
    most = int(convert(much.per_head, "kg", unit) / step + 1e-9) * step
    if asked is not None and not 0 <= asked <= most:
        raise Refused("amount", f"{asked:g}", f"{most:g} {unit}", key="office.feed.too_much")
    now = most if asked is None else asked
    kg = convert(now, unit, "kg")
    each = convert(1.0, unit, "kg")
    bales = much.bales(kg)
    return Slider(
        most=most,
        now=now,
        step=step,
        share=100 * much.share_of(each),
        bales=much.bales(each),
        unit=unit,
        share_now=number(100 * much.share_of(kg), reader, digits=0),
        bales_now="" if bales is None else number(bales, reader, digits=1),
        head=much.head,
    )


def _asked(request: HttpRequest, seen: Shown) -> tuple[WhoForm, Decision]:
    """Whom was asked for; the first group, with the refusal beside its field, where none fits."""
    form = WhoForm(request, seen, request.GET if "group" in request.GET else None)
    if form.is_bound and form.is_valid():
        try:
            return form, form.decision(seen)
        except (Refused, Problems) as error:
            form.refuse(error)
    return form, seen.decisions[0]


def _slider(
    request: HttpRequest, decision: Decision, reader: Reader
) -> tuple[Slider | None, list[str]]:
    much = how_much(decision)
    if much is None:
        return None, []
    typed = request.GET.get("amount", "").strip()
    try:
        return slider_of(much, _number(typed) if typed else None, reader), []
    except HaywrightError as error:
        said = [say(one, reader) for one in error.messages()]
        return slider_of(much, None, reader), said


def _number(typed: str) -> float:
    try:
        return float(typed)
    except ValueError:
        raise Refused("amount", typed, key="office.form.wrong") from None


@page("sheet.see")
def feed_page(request: HttpRequest, key: str) -> HttpResponse:
    """May it be fed, to whom, how much of it."""
    sheet = found(sheets(request), pk=key)
    seen = shown(version_of(sheet, ""))
    reader = reader_of(request)
    form, decision = _asked(request, seen)
    slider, problems = (None, []) if form.errors else _slider(request, decision, reader)
    asked = form.address()
    held = {
        "sheet": sheet,
        "paper": seen.decision(decision, reader, PAGE),
        "steps": steps(stand_of(sheet.lot), reader, on="bunk"),
        "form": form,
        "named": [form[name] for name in form.named],
        "chosen": form.is_bound and form.data.get("group") == OTHER,
        "carried": [(n, v) for n, v in request.GET.items() if n in form.fields],
        "slider": slider,
        "no_intake": not decision.group.intake,
        "problems": problems,
        "pdf": f"{reverse('feed-pdf', args=[sheet.pk])}{f'?{asked}' if asked else ''}",
    }
    status = HTTPStatus.UNPROCESSABLE_ENTITY if problems else status_of(form)
    return render(request, "haywright/feed.html", held, status=status)


@page("sheet.see")
def feed_pdf(request: HttpRequest, key: str) -> HttpResponse:
    """The same decision on paper."""
    from haywright.paper.typeset import set_pdf

    sheet = found(sheets(request), pk=key)
    seen = shown(version_of(sheet, ""))
    _, decision = _asked(request, seen)
    data = seen.decision(decision, reader_of(request))
    return pdf(set_pdf("decision", data), f"decision-{sheet.number}")
