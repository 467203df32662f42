"""How the stack stands: its faces, field parts, weeds and what cannot be reached, as a form."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.http import HttpRequest

from haywright.office.stack.forms import version_field
from haywright.office.web.pages import Form
from haywright.sources.crops import weed, weeds

MOST_ROWS = 12
_ROWS = {
    "faces": ("name", "tiers", "columns", "reach"),
    "field_parts": ("name", "bales"),
    "weeds": ("weed", "share"),
}
_WHOLE = ("tiers", "reach")
_COUNTS = re.compile(r"^\d+(\s*,\s*\d+)*$")


class StandForm(Form):
    """Rows of faces, field parts and weeds, one more than are there; empty rows count for nothing.

    Columns may be one number, or one for each tier from the ground: 16, 14, 12.
    """

    unreached = forms.CharField(required=False, max_length=400)

    def __init__(self, request: HttpRequest, lot: Any, data: Any = None) -> None:
        super().__init__(request, data, initial=_initial(lot.facts))
        self.fields["unreached"].help_text = self.say("office.help.unreached")
        for kind, names in _ROWS.items():
            for n in range(1, self._count(kind, lot, data) + 1):
                for name in names:
                    self.fields[f"{kind}_{n}_{name}"] = self._field(kind, n, name)
        self.fields["version"] = version_field(lot)

    def _count(self, kind: str, lot: Any, data: Any) -> int:
        there = len(lot.facts.get(kind, ()))
        sent = [int(m[1]) for one in data or () if (m := re.match(rf"{kind}_(\d+)_", one))]
        return min(max([there + 1, *sent]), MOST_ROWS)

    def _field(self, kind: str, n: int, name: str) -> forms.Field:
        if name == "weed":
            held: forms.Field = forms.ChoiceField(required=False)
            none = ("", self.say("office.form.nothing"))
            held.choices = [none, *((w.id, w.name) for w in weeds().values())]  # type: ignore[attr-defined]
        elif name in _WHOLE:
            held = forms.IntegerField(required=False, min_value=0, max_value=50)
        else:
            held = forms.CharField(required=False, max_length=120 if name == "name" else 400)
        held.label = self.say(f"office.stand.{kind}.{name}", n=n)
        wrong = self.say("office.form.wrong")
        held.error_messages = dict.fromkeys(held.error_messages, wrong)
        if name in (*_WHOLE, "columns"):
            held.widget.attrs["inputmode"] = "numeric"
        if n == 1 and name in ("columns", "reach", "bales", "share"):
            held.help_text = self.say(f"office.help.stand.{name}")
        if name == "share":
            held.unit = "%"  # type: ignore[attr-defined]
        return held

    def rows(self) -> list[tuple[str, list[Any]]]:
        """The fields under their heads, for the page."""
        out = []
        for kind in _ROWS:
            held = [one for one in self.visible_fields() if one.name.startswith(f"{kind}_")]
            out.append((self.say(f"office.stand.{kind}"), held))
        return [*out, (self.say("office.stand.unreached"), [self["unreached"]])]

    def beside(self, field: str) -> str:
        """A refusal stands at the row it concerns."""
        row = re.search(r"(faces|field_parts) (\d+): (\w+)$", field)
        if row:
            return f"{row[1]}_{row[2]}_{row[3]}"
        for n in range(1, MOST_ROWS + 1):
            if self.cleaned_data.get(f"field_parts_{n}_name") == field:
                return f"field_parts_{n}_bales"
            if field in (self.cleaned_data.get(f"weeds_{n}_weed"), f": weeds: {field}"):
                return f"weeds_{n}_share"
        return {"faces": "faces_1_columns", "tiers": "faces_1_tiers", "bale": "unreached"}.get(
            super().beside(field), super().beside(field)
        )

    def facts(self, before: dict[str, Any]) -> dict[str, Any]:
        """The lot's form with the stack as it stands now."""
        facts = {k: v for k, v in before.items() if k not in (*_ROWS, "unreached")}
        faces = [_face(row) for row in self._filled("faces")]
        parts = [{k: v for k, v in row.items() if v} for row in self._filled("field_parts")]
        found = {row["weed"]: _share(row["share"]) for row in self._filled("weeds") if row["weed"]}
        held = {"faces": faces, "field_parts": parts, "weeds": found,
                "unreached": self.cleaned_data["unreached"]}  # fmt: skip
        return {**facts, **{name: one for name, one in held.items() if one}}

    def _filled(self, kind: str) -> list[dict[str, Any]]:
        found = []
        for n in range(1, MOST_ROWS + 1):
            row = {name: self.cleaned_data.get(f"{kind}_{n}_{name}") for name in _ROWS[kind]}
            if any(one not in (None, "") for one in row.values()):
                found.append(row)
        return found


def _face(row: dict[str, Any]) -> dict[str, Any]:
    face: dict[str, Any] = {"name": row["name"]}
    columns = str(row["columns"] or "").strip()
    if _COUNTS.match(columns):
        counts = [int(one) for one in columns.split(",")]
        face["columns"] = counts if len(counts) > 1 else counts[0]
    else:
        face["columns"] = columns
    if row["tiers"] is not None and not isinstance(face["columns"], list):
        face["tiers"] = row["tiers"]
    return {**face, **({"reach": row["reach"]} if row["reach"] is not None else {})}


def _share(text: str) -> str:
    typed = text.strip()
    return f"{typed} %" if re.fullmatch(r"[\d.]+", typed) else typed or "unknown"


def _initial(facts: dict[str, Any]) -> dict[str, Any]:
    held: dict[str, Any] = {"unreached": _joined(facts.get("unreached", ""))}
    for kind in ("faces", "field_parts"):
        for n, row in enumerate(facts.get(kind, ()), 1):
            held |= {f"{kind}_{n}_{name}": _joined(one) for name, one in row.items()}
    for n, (word, share) in enumerate(facts.get("weeds", {}).items(), 1):
        told = "" if share == "unknown" else str(share).removesuffix("%").strip()
        held |= {f"weeds_{n}_weed": weed(word).id, f"weeds_{n}_share": told}
    return held


def _joined(value: Any) -> Any:
    return ", ".join(str(one) for one in value) if isinstance(value, list) else value
