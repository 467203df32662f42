"""Numbers, units and dates as a person reads them."""

from __future__ import annotations

import math
import re
import tomllib
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import lru_cache
from importlib.resources import files

from haywright.measure.analytes import dictionary
from haywright.measure.message import Amount
from haywright.measure.rounding import round_decimal, round_significant
from haywright.measure.units import convert
from haywright.words.catalogue import name_in

NBSP = "\N{NO-BREAK SPACE}"
SCALES = ("us", "si")
# Numbers as United States readers print them, in either language: 1,120.5.
LOCALES = {"en": "en", "es": "es_US"}
_DAYS = {
    "en": ("d MMMM yyyy", "d MMMM", "d MMM"),
    "es": ("d 'de' MMMM 'de' yyyy", "d 'de' MMMM", "d MMM"),
}
_MONEY = re.compile(r"(\$|[A-Z]{3})/(\w+)")


@dataclass(frozen=True, slots=True)
class Reader:
    """Whom we speak to: language and the units they use ("us" or "si")."""

    language: str = "en"
    units: str = "us"

    @property
    def locale(self) -> str:
        """Whose separators, months and lists."""
        return LOCALES[self.language]

    def name(self, name: str) -> str:
        """A name out of a table in the reader's language; where it has none there, as it is."""
        return name_in(name, self.language)


@lru_cache(maxsize=1)
def _shown() -> dict[str, dict[str, str]]:
    text = files(__package__).joinpath("shown_units.toml").read_text("utf-8")
    return tomllib.loads(text)


def shown_unit(unit: str, reader: Reader) -> str:
    """The unit a reader uses for quantities that are kept in ``unit``."""
    return _shown()[reader.units].get(unit, unit)


def unit_label(unit: str, reader: Reader) -> str:
    """How a unit is written on a page; money per something as "$ per short ton"."""
    money = _MONEY.fullmatch(unit)
    if money is not None:
        return f"{money[1]} {reader.name(f'per {money[2]}'.replace('_', ' '))}"
    return reader.name(_shown()["label"].get(unit, unit))


def number(value: float | Decimal, reader: Reader, *, digits: int | None = None) -> str:
    """A number with the reader's separators; ``digits`` decimals, or as many as it needs."""
    if math.isinf(value):  # a band that is open at one end
        return ("\N{MINUS SIGN}" if value < 0 else "") + "\N{INFINITY}"
    if digits is None:
        exact = value if isinstance(value, Decimal) else Decimal(repr(float(value)))
        exact = round_significant(exact, 6) if exact else Decimal(0)
        plain = exact.normalize()
        digits = max(0, -int(plain.as_tuple().exponent))
    return _separated(str(round_decimal(value, digits)), digits, reader.locale)


@lru_cache(maxsize=10_000)
def _separated(plain: str, digits: int, locale: str) -> str:
    """A rounded number with a locale's separators; a page says the same few again and again."""
    from babel.numbers import format_decimal

    pattern = "#,##0" + ("." + "0" * digits if digits else "")
    return str(format_decimal(Decimal(plain), pattern, locale=locale)).replace(
        "-", "\N{MINUS SIGN}"
    )


def rounded(value: float | Decimal, amount: Amount) -> Decimal:
    """The number as the dictionary rounds it: decimals or significant figures."""
    entry = dictionary().get(amount.analyte)
    if amount.digits is not None:
        return round_decimal(value, amount.digits)
    if entry is not None and entry.significant is not None:
        return round_significant(value, entry.significant)
    if entry is not None and entry.digits is not None:
        return round_decimal(value, entry.digits)
    return round_significant(value, 3)


def figure(amount: Amount, reader: Reader) -> tuple[str, str]:
    """The number and the unit of an amount, in the reader's units, as two texts.

    An amount with an analyte or fixed decimals keeps its own unit (results are reported in the
    trade's units everywhere) unless the unit itself has a US counterpart and no analyte.
    """
    unit = amount.unit if amount.analyte else shown_unit(amount.unit, reader)
    value = amount.value
    if unit != amount.unit:
        value = convert(float(value), amount.unit, unit)
    shown = rounded(value, amount)
    decimals = max(0, -int(shown.as_tuple().exponent))
    return number(shown, reader, digits=decimals), unit_label(unit, reader)


def amount_text(amount: Amount, reader: Reader) -> str:
    """Number, unit and basis: "1,120 mg/kg of dry matter", "88.4 %", "18 in"."""
    text, unit = figure(amount, reader)
    if unit.startswith("$"):
        return f"{unit[0]}{text}{unit[1:]}"
    if unit:
        text = f"{text}{NBSP}{unit}"
    if not amount.basis:
        return text
    of = f"of {amount.basis}" if amount.basis == "dry matter" else amount.basis
    return f"{text} {reader.name(of)}"


@lru_cache(maxsize=10_000)
def date_text(day: date, reader: Reader) -> str:
    """A date that cannot be misread: "22 September 2026"."""
    from babel.dates import format_date

    return str(format_date(day, _DAYS[reader.language][0], locale=reader.locale)).replace(
        " ", NBSP, 1
    )


def short_date_text(day: date, reader: Reader) -> str:
    """A day of a season whose year is known: "9 Nov"."""
    from babel.dates import format_date

    return str(format_date(day, _DAYS[reader.language][2], locale=reader.locale)).replace(" ", NBSP)


def season_date_text(day: date, reader: Reader) -> str:
    """The same in full: "9 November"."""
    from babel.dates import format_date

    return str(format_date(day, _DAYS[reader.language][1], locale=reader.locale)).replace(" ", NBSP)


def month_text(day: date, reader: Reader) -> str:
    """The month alone, short: "Nov"."""
    from babel.dates import format_date

    return str(format_date(day, "MMM", locale=reader.locale))


def month_year_text(day: date, reader: Reader) -> str:
    """The month with its year: "September 2026"."""
    from babel.dates import format_skeleton

    return str(format_skeleton("yMMMM", day, locale=reader.locale))


def weekday_text(day: date, reader: Reader) -> str:
    """The day of the week, short: "Mon"."""
    from babel.dates import format_date

    return str(format_date(day, "EEE", locale=reader.locale))
