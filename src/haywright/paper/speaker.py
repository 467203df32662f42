"""Saying things for paper: messages, amounts, ranges and dates for one reader."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from haywright.measure.analytes import dictionary
from haywright.measure.estimate import Estimate, State
from haywright.measure.message import Amount, Message, MessageValue, message
from haywright.measure.register import get
from haywright.paper.tokens import PRINT, Palette
from haywright.sources.bibliography import Status, cite
from haywright.words import Reader, say
from haywright.words.numbers import (
    NBSP,
    date_text,
    figure,
    month_text,
    number,
    season_date_text,
    short_date_text,
    weekday_text,
)

DAGGER = "†"
MINUS = "\N{MINUS SIGN}"


@dataclass(frozen=True, slots=True)
class Speaker:
    """One reader's words, and the colours pictures are drawn in; call it with a message key."""

    reader: Reader
    palette: Palette = PRINT

    def __call__(self, key: str, **args: MessageValue) -> str:
        """The text of a key."""
        return say(Message(key, args), self.reader)

    def said(self, one: Message | str) -> str:
        """A message as text; a plain text as it is, a dictionary name by its label."""
        if isinstance(one, Message):
            return say(one, self.reader)
        return self.name(one) if one in dictionary() else one

    def every(self, many: Iterable[Message]) -> list[str]:
        """Messages as texts."""
        return [self.said(one) for one in many]

    def name(self, quantity: str) -> str:
        """The label of a quantity."""
        return say(message("measure.quantity", id=quantity), self.reader)

    def day(self, day: date) -> str:
        """A date that cannot be misread."""
        return date_text(day, self.reader)

    def short_day(self, day: date) -> str:
        """A day whose year is known from the rest of the paper: "9 Nov"."""
        return short_date_text(day, self.reader)

    def season_day(self, day: date) -> str:
        """The same in full: "9 November"."""
        return season_date_text(day, self.reader)

    def month(self, day: date) -> str:
        """The month alone: "Nov"."""
        return month_text(day, self.reader)

    def weekday(self, day: date) -> str:
        """The day of the week: "Mon"."""
        return weekday_text(day, self.reader)

    def count(self, value: float, digits: int = 0) -> str:
        """A plain number; ``digits`` of -1 rounds to tens."""
        # 0.0 takes the sign off a value that rounds to nothing.
        return number(round(value, digits) + 0.0, self.reader, digits=max(digits, 0))

    def percent(self, share: float) -> str:
        """A share [0 to 1] as whole per cent."""
        return f"{number(share * 100, self.reader, digits=0)}{NBSP}%"

    def figure(self, value: float, quantity: str) -> str:
        """The bare number of a quantity, rounded as the dictionary says."""
        return figure(_amount(value, quantity), self.reader)[0]

    def unit(self, quantity: str) -> str:
        """The unit of a quantity as written; "" for an index."""
        return figure(_amount(0, quantity), self.reader)[1]

    def value(self, estimate: Estimate, quantity: str, *, unit: bool = True) -> str:
        """An estimate's number with its unit: "38.2 %", "below 0.5 %", or that it is held."""
        tail = f"{NBSP}{self.unit(quantity)}" if unit and self.unit(quantity) else ""
        if estimate.state is State.HELD:
            return self("paper.held")
        if estimate.state is State.BETWEEN:
            return self.between(estimate.low, estimate.high, quantity) + tail
        if estimate.state is State.BELOW:
            return self("paper.below", limit=self.figure(estimate.high, quantity) + tail)
        if estimate.state is State.ABOVE:
            return self("paper.above", limit=self.figure(estimate.low, quantity) + tail)
        return self.figure(estimate.value, quantity) + tail

    def between(self, low: float, high: float, quantity: str) -> str:
        """A range without its unit: "890 to 1,460"."""
        return self("paper.range", low=self.figure(low, quantity), high=self.figure(high, quantity))

    def likely(self, estimate: Estimate, quantity: str, confidence: float) -> str:
        """The likely range of a settled number; nothing for one without or beyond a limit."""
        if not estimate.settled or not estimate.u > 0:
            return ""
        return self.between(*estimate.interval(confidence), quantity)

    def equation(self, name: str) -> str:
        """The plain name of an equation, with a dagger where it is recalled."""
        found = get(name)
        name = self.reader.name(found.name).replace(" - ", f" {MINUS} ")
        return f"{name} {DAGGER}" if found.recalled else name

    def method(self, method: str) -> str:
        """A laboratory's method: its name, then its settings; what no table knows as written."""
        return "; ".join(self.reader.name(part.strip()) for part in method.split(";"))

    def plain(self, value: float) -> str:
        """A number as read, with as many digits as it has."""
        return number(value, self.reader)

    def exactly(self, value: float) -> str:
        """A reading with every digit that was written down."""
        return number(value, self.reader, digits=decimals_of(value))

    def instant(self, when: str) -> str:
        """The day of an instant (ISO 8601); anything else as it stands."""
        try:
            return self.day(date.fromisoformat(when[:10]))
        except ValueError:
            return when

    def source(self, key: str) -> str:
        """The line of a source, with a dagger where it is recalled.

        A title stays as it was printed. What is no publication (a definition, common practice)
        is said in the reader's language.
        """
        found = cite(key)
        line = self.reader.name(found.line)
        return f"{line} {DAGGER}" if found.status is Status.RECALLED else line


def decimals_of(value: float) -> int:
    """Decimals that a number needs to be written down whole."""
    exponent = Decimal(repr(float(value))).normalize().as_tuple().exponent
    return max(0, -int(exponent))


def capital(name: str) -> str:
    """A name as it begins a line: its first letter a capital."""
    return name[:1].upper() + name[1:]


def _amount(value: float, quantity: str) -> Amount:
    """Results keep the trade's units everywhere; energy goes into the reader's own."""
    entry = dictionary()[quantity]
    if entry.unit.startswith("Mcal"):
        return Amount(value, entry.unit, digits=entry.digits)
    return Amount(value, entry.unit, analyte=quantity)
