"""A Message becomes text here, and nowhere else."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal

from haywright.measure.analytes import dictionary
from haywright.measure.message import Amount, Message, MessageValue
from haywright.words.catalogue import HOUSE, catalogue, text_of
from haywright.words.numbers import Reader, amount_text, date_text, number

__all__ = ["Reader", "reads", "say", "say_value"]

_NAMED = "measure.quantity"
# Places of a text that take a name out of a table.
_FROM_TABLES = {"animals", "basis", "crop", "equation", "feed"}


def say(message: Message, reader: Reader | None = None) -> str:
    """The sentence of a message for a reader.

    Placeholders take amounts with unit and basis, dates that cannot be misread, lists joined in
    the language, and messages inside messages.
    """
    reader = reader or Reader()
    if message.key == _NAMED:
        return reader.name(_quantity_name(str(message.args["id"])))
    reader = reads(message.key, reader)
    entry = text_of(message.key, reader.language)
    text = entry.for_count(message.args.get("n"))
    filled = {name: say_value(value, reader) for name, value in message.args.items()}
    filled |= {name: reader.name(filled[name]) for name in _FROM_TABLES & filled.keys()}
    return text.format_map(filled)


def reads(key: str, reader: Reader) -> Reader:
    """The reader of a text: a sentence, or a paper by its title, is of one language throughout.

    Parameters
    ----------
    key
        Of the sentence or the title; where the language lacks it, it is read in English.
    reader
        Whom we speak to.
    """
    if reader.language == HOUSE or key in catalogue(reader.language):
        return reader
    return replace(reader, language=HOUSE)


def say_value(value: MessageValue, reader: Reader) -> str:
    """One quantity of a message as text."""
    if isinstance(value, Message):
        return say(value, reader)
    if isinstance(value, Amount):
        return amount_text(value, reader)
    if isinstance(value, tuple):
        return _joined([say_value(one, reader) for one in value], reader)
    if isinstance(value, bool) or value is None:
        return "" if value is None else str(value)
    if isinstance(value, datetime):
        return f"{date_text(value, reader)}, {value:%H:%M}"
    if isinstance(value, date):
        return date_text(value, reader)
    if isinstance(value, int | float | Decimal):
        return number(value, reader)
    return str(value)


def _quantity_name(name: str) -> str:
    entry = dictionary().get(name)
    return entry.name if entry is not None else name


def _joined(parts: list[str], reader: Reader) -> str:
    from babel.lists import format_list

    if any(" " in part and part.endswith(".") for part in parts):
        return " ".join(parts)
    return str(format_list(parts, locale=reader.locale)) if parts else ""
