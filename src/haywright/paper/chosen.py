"""The choices of a batch in words: how it was dried, with what it was extracted, which curve."""

from __future__ import annotations

from haywright.bench.batch import Batch
from haywright.bench.pattern import Choice
from haywright.measure.analytes import dictionary
from haywright.measure.message import Message, message
from haywright.paper.speaker import Speaker
from haywright.sources.tables import load_toml
from haywright.words.numbers import NBSP

# Choices whose words have a name of their own in a table.
_TABLES = {"extractant": "extractants", "drying_lab": "drying", "drying_partial": "drying",
           "compound": "pure_compounds"}  # fmt: skip


def choice_name(choice: Choice) -> Message:
    """What is chosen, as printed."""
    if not choice.options and choice.name in dictionary():
        return message("measure.quantity", id=choice.name)
    return message(f"bench_paper.choice.{choice.name}")


def choice_said(batch: Batch, name: str, words: Speaker) -> str:
    """What a batch chose; "" when nothing is written."""
    value = batch.choices.get(name)
    if value is None:
        return ""
    if not isinstance(value, str):
        unit = words.unit(name) if name in dictionary() else ""
        return f"{words.plain(value)}{NBSP}{unit}" if unit else words.plain(value)
    named = load_toml(_TABLES[name]).get(value) if name in _TABLES else None
    return str(named["name"]) if named else value.replace("_", " ")
