"""The form of a paper report: a row a number, with its unit and basis, as the paper has them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any, ClassVar

from django import forms
from django.http import HttpRequest

from haywright.bag.tests import lab_test
from haywright.measure.analytes import dictionary
from haywright.measure.basis import parse_basis
from haywright.measure.errors import HaywrightError, Refused
from haywright.measure.message import Message
from haywright.office.bag.models import Bag
from haywright.office.bench.actions import profile_of
from haywright.office.bench.models import Laboratory
from haywright.office.stack.models import Lot
from haywright.office.web.pages import Form
from haywright.paper.speaker import Speaker, capital
from haywright.sheet.normal import scales_with_moisture
from haywright.sheet.typed import Laboratory as Profile
from haywright.sheet.typed import TypedReport, entry_of, on_reports, parts_of, read_typed, units_of
from haywright.words import say

# What a paper mostly has, in its usual order.
USUAL = ("dm", "cp", "adf", "ndf", "nitrate_n")
NITRATE = "nitrate_n"
BASES = ("dry matter", "as received", "90 % dry matter")
FREE, MOST_FREE, SPARE = 3, 24, 2
LINES = "numbers"


@dataclass
class Row:
    """One number of the paper on the page: its fields, and what was noticed of it.

    Parameters
    ----------
    key
        Field of its number.
    quantity
        Dictionary name; "" for a free row nobody has filled yet.
    label
        What it is called.
    number, unit, basis, what
        Fields; ``None`` where nothing is to be asked.
    fixed
        The unit, where it is the only one.
    noticed
        What looks unusual.
    """

    key: str
    quantity: str
    label: str
    number: Any
    unit: Any = None
    basis: Any = None
    what: Any = None
    fixed: str = ""
    noticed: list[str] = field(default_factory=list)

    @property
    def errors(self) -> list[tuple[str, str]]:
        """What was refused in the row: the id it is told under, and what is said."""
        fields = (self.what, self.number, self.unit, self.basis)
        held = [one for one in fields if one is not None]
        return [(f"{one.auto_id}_error", " ".join(one.errors)) for one in held if one.errors]


class ReportForm(Form):
    """A paper report: a row a number; the laboratory's habits fill what the paper leaves out."""

    laboratory = forms.CharField(max_length=120)
    report = forms.CharField(max_length=80, required=False)
    dated = forms.DateField(required=False, widget=forms.DateInput(attrs={"type": "date"}))
    basis = forms.ChoiceField(required=False)
    bag = forms.ChoiceField(required=False)
    numbers = forms.CharField(
        max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 6})
    )
    reason = forms.CharField(max_length=500, required=False)
    sure = forms.BooleanField(required=False)
    seen = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)
    head: ClassVar = ("laboratory", "report", "dated", "bag", "basis")

    def __init__(
        self, request: HttpRequest, lot: Lot, known: Iterable[Laboratory], *args: Any, **kwargs: Any
    ) -> None:
        super().__init__(request, *args, **kwargs)
        self.lot, self.known = lot, list(known)
        self.bags: list[Bag] = list(lot.bags.order_by("-id"))
        self.speaker = Speaker(self.reader)
        self.lines: list[tuple[str, str]] = []
        self._head()
        self.rows = [*map(self._asked_row, self._asked()), *map(self._free_row, self._free())]

    def _head(self) -> None:
        words = [(one, self.say(f"office.basis.{one.replace(' ', '_')}")) for one in BASES[:2]]
        self._choose("basis", [("", self.say("office.report.by_habit")), *words])
        own = [(str(b.pk), b.code) for b in self.bags]
        self._choose("bag", [*own, ("", self.say("office.report.no_bag"))])
        if self.bags:
            self.fields["bag"].initial = own[0][0]
            self.fields["laboratory"].initial = self.bags[0].laboratory
        if not self.fields["laboratory"].initial and len(self.known) == 1:
            self.fields["laboratory"].initial = self.known[0].name
        self.fields["laboratory"].widget.attrs["list"] = "laboratories"
        self.fields[LINES].help_text = self.say("office.help.numbers")
        self.fields["reason"].help_text = self.say("office.help.reason")

    def _choose(self, name: str, choices: list[tuple[str, str]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]

    def _asked(self) -> list[str]:
        """What has a row of its own: what was asked of the bag, else the usual; and what came."""
        at = str(self.data.get("bag", "")) if self.is_bound else ""
        bag = next((one for one in self.bags if str(one.pk) == at), next(iter(self.bags), None))
        gives = [q for one in (bag.tests if bag else ()) for q in lab_test(one).gives]
        # a paper that gives the protein has the nitrogen in it
        asked = [q for q in gives if q != "n" or "cp" not in gives] or list(USUAL)
        came = [k[2:] for k in self.data if k.startswith("n_") and self.data[k]]
        order = [q for q in USUAL if q in asked] + [q for q in asked if q not in USUAL]
        return [q for q in dict.fromkeys((*order, *came)) if q in dictionary()]

    def _free(self) -> range:
        """How many free rows: always a few more than are filled."""
        filled = [
            int(k[1:]) for k in self.data
            if k[:1] in ("w", "v") and k[1:].isascii() and k[1:].isdigit() and self.data[k]
        ]  # fmt: skip
        return range(1, min(max([FREE, *(one + SPARE for one in filled)]), MOST_FREE) + 1)

    def _asked_row(self, name: str) -> Row:
        label = self.say("office.report.nitrate") if name == NITRATE else self._name(name)
        key, units = f"n_{name}", units_of(name)
        self._number(key, label)
        if len(units) > 1:
            self._unit(f"u_{name}", label, name, units)
        if scales_with_moisture(name):
            self._basis(f"b_{name}", label)
        return Row(
            key,
            name,
            label,
            self[key],
            unit=self[f"u_{name}"] if len(units) > 1 else None,
            basis=self[f"b_{name}"] if scales_with_moisture(name) else None,
            fixed=units[0] if len(units) == 1 else "",
        )

    def _free_row(self, n: int) -> Row:
        label = self.say("office.report.free", n=n)
        named = [(q, self._name(q)) for q in self._others()]
        what = forms.ChoiceField(required=False, choices=[("", label), *named])
        what.label = what.widget.attrs["aria-label"] = self.say("office.report.what_of", n=n)
        self.fields[f"w{n}"] = what
        self._number(f"v{n}", label)
        self.fields[f"v{n}"].widget.attrs["aria-label"] = label
        units = dict.fromkeys(u for q in self._others() for u in units_of(q))
        self._unit(f"u{n}", label, "", tuple(units))
        self._basis(f"b{n}", label)
        chosen = str(self.data.get(f"w{n}", ""))
        return Row(
            f"v{n}", chosen if chosen in dictionary() else "", label,
            self[f"v{n}"], unit=self[f"u{n}"], basis=self[f"b{n}"], what=self[f"w{n}"],
        )  # fmt: skip

    def _others(self) -> list[str]:
        return [one for one in on_reports() if one in dictionary()]

    def _name(self, quantity: str) -> str:
        return capital(self.speaker.name(quantity))

    def _number(self, key: str, label: str) -> None:
        held = forms.CharField(required=False, max_length=60, label=label)
        held.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off"}
        self.fields[key] = held

    def _unit(self, key: str, label: str, name: str, units: tuple[str, ...]) -> None:
        """Units to choose from; what a laboratory writes by habit may be left to it."""
        by_habit = not name or name == NITRATE or dictionary()[name].unit.startswith("Mcal")
        first = [("", self.say("office.report.unit"))] if by_habit else []
        held = forms.ChoiceField(required=False, choices=[*first, *((u, u) for u in units)])
        held.label = self.say("office.report.unit_of", name=label)
        held.widget.attrs["aria-label"] = held.label
        self.fields[key] = held

    def _basis(self, key: str, label: str) -> None:
        words = [(one, self.say(f"office.report.on.{one.replace(' %', '').replace(' ', '_')}"))
                 for one in BASES]  # fmt: skip
        held = forms.ChoiceField(
            required=False, choices=[("", self.say("office.report.on.all")), *words]
        )
        held.label = self.say("office.report.basis_of", name=label)
        held.widget.attrs["aria-label"] = held.label
        self.fields[key] = held

    def clean(self) -> dict[str, Any]:
        """Every number as a text the reader of reports takes, each with its field."""
        given = super().clean() or self.cleaned_data
        written = str(given.get(LINES, "")).splitlines()
        self.lines = [(LINES, one.strip()) for one in written if one.strip()]
        for row in self.rows:
            typed = str(given.get(row.key, "")).strip()
            if not typed:
                continue
            if not row.quantity:
                self.add_error(row.key, self.say("office.report.of_what"))
                continue
            try:
                self.lines.append((row.key, self._line(row, typed, given)))
            except Refused as error:
                self.add_error(row.key, say(error.message, self.reader))
        if "laboratory" in given and "basis" in given:
            self._refuse_each(self.profile())
        return given

    def _line(self, row: Row, typed: str, given: dict[str, Any]) -> str:
        number, unit, basis = parts_of(typed)
        parts = [
            self._one(row, mine, str(given.get(held.name, "")) if held is not None else "", held)
            for mine, held in ((unit, row.unit), (basis, row.basis))
        ]
        # a nitrate is asked for by its plain name, so that its form is said and never guessed
        word = "nitrate" if row.quantity == NITRATE else row.quantity
        return f"{word}={' '.join(one for one in (number, *parts) if one)}"

    def _one(self, row: Row, typed: str, chosen: str, held: Any) -> str:
        """What was typed with the number, or what was chosen beside it; not two of them."""
        untouched = not chosen or chosen == next(iter(dict(held.field.choices)), "")
        if typed and not untouched and typed != chosen:
            raise Refused(row.label, typed, chosen, key="office.report.two")
        return typed or chosen

    def profile(self) -> Profile:
        """What the paper leaves unsaid: by the laboratory's habits, or as chosen on the page."""
        held = replace(profile_of(self.own()), name=self.cleaned_data["laboratory"].strip())
        basis = self.cleaned_data["basis"]
        return replace(held, basis=parse_basis(basis)) if basis else held

    def own(self) -> Laboratory | None:
        """The laboratory of the office that is named on the page."""
        named = self.cleaned_data["laboratory"].strip().casefold()
        return next((one for one in self.known if one.name.casefold() == named), None)

    def habits(self) -> list[tuple[str, str]]:
        """What is known of how each laboratory writes."""
        return [(one.name, said) for one in self.known if (said := self._habit(one.profile))]

    def _habit(self, held: dict[str, Any]) -> str:
        parts = [held.get("basis", ""), held.get("nitrate", ""), held.get("energy", "")]
        return ", ".join(one for one in parts if one)

    def texts(self) -> list[str]:
        """The numbers as the reader of reports takes them."""
        return [text for _, text in self.lines]

    def read(self) -> TypedReport:
        """The report as it is understood."""
        given = self.cleaned_data
        return read_typed(
            self.texts(), laboratory=self.profile(), report=given["report"], dated=given["dated"]
        )

    def _refuse_each(self, profile: Profile) -> None:
        """Refuse every number that cannot be read by itself, beside the field it was typed in.

        A basis that the whole paper lacks is asked for once, where it is chosen for the paper.
        """
        asked = False
        for key, text in self.lines:
            try:
                entry_of(text, profile)
            except HaywrightError as error:
                for one in error.messages():
                    if one.key == "measure.basis_missing" and key != LINES:
                        asked = True
                    else:
                        self.add_error(key, say(one, self.reader))
        if asked:
            self.add_error("basis", self.say("office.report.of_what_share"))

    def refuse(self, error: HaywrightError) -> None:
        """Put what was refused of the report as a whole beside the number it speaks of."""
        for one in error.messages():
            self.add_error(self._place(one), say(one, self.reader))

    def _place(self, said: Message) -> str | None:
        about = str(said.args.get("field", ""))
        if said.key == "office.result.there":
            return "reason"
        names = {dictionary()[row.quantity].name: row.key for row in self._filled()}
        return {**names, **{row.quantity: row.key for row in self._filled()}}.get(
            about, about if about in self.fields else LINES if self._has_lines() else None
        )

    def _has_lines(self) -> bool:
        return any(key == LINES for key, _ in self.lines)

    def _filled(self) -> Iterator[Row]:
        typed = {key for key, _ in self.lines}
        return (row for row in self.rows if row.key in typed)

    def at(self, quantities: Iterable[str]) -> list[Row]:
        """The filled rows of these quantities."""
        return [row for row in self._filled() if row.quantity in set(quantities)]
