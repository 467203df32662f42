"""Every TDN equation this hay can be worked by, beside each other, the one shown marked."""

from __future__ import annotations

from typing import Any

from haywright.measure.message import Message
from haywright.office.sheet.shown import Shown
from haywright.paper.speaker import Speaker
from haywright.sheet.energy_rows import EnergyRow
from haywright.words import Reader

_FOLLOWS = ("nem", "neg")


def energy_choices(seen: Shown, reader: Reader) -> list[dict[str, Any]]:
    """A row for each equation that can be worked, those made for this crop first."""
    words, whole = Speaker(reader), seen.sample.sheet
    now = whole.get("tdn")
    rows = [one for one in whole.energy if one.energy]
    rows.sort(key=lambda one: not one.meant)
    return [
        _row(one, words, whole.choices.confidence)
        | {"shown": now is not None and now.equation == one.method.equation.id}
        for one in rows
    ]


def _row(one: EnergyRow, words: Speaker, confidence: float) -> dict[str, Any]:
    tdn, equation = one.energy["tdn"], one.method.equation
    return {
        "name": one.method.name,
        "said": words.equation(equation.id),
        "source": words.source(equation.source),
        "made_for": words("paper.energy.this_crop" if one.meant else "paper.energy.other_crop"),
        "value": words.value(tdn.estimate, "tdn"),
        "likely": words.likely(tdn.estimate, "tdn", confidence),
        "follows": [
            f"{words(f'paper.energy.{name}')} {words.value(one.energy[name].estimate, name)}"
            for name in _FOLLOWS
            if name in one.energy
        ],
        "needs": ", ".join(words.name(term.name) for term in equation.inputs),
        "recalled": equation.recalled,
    }


def energy_wanting(seen: Shown, reader: Reader) -> list[dict[str, str]]:
    """Equations that cannot be worked for this hay, each with what it lacks."""
    words = Speaker(reader)
    return [
        {"said": words.equation(one.method.equation.id), "lacks": _lacks(one.refused, words)}
        for one in seen.sample.sheet.energy
        if not one.energy and one.refused is not None
    ]


def _lacks(refused: Message, words: Speaker) -> str:
    missing = refused.args.get("missing")
    if not isinstance(missing, tuple):
        return words.said(refused)
    return ", ".join(words.said(one) for one in missing if isinstance(one, Message | str))
