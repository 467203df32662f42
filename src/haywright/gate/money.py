"""Money, and money per mass: exact inside, rounded once when printed.

A price is a ratio, so it is kept as a fraction: turning $/tonne into $/short ton and back gives
the same price to the last digit. The currency (ISO 4217) goes with it, and so does the unit it is
paid for; there is no bare ton.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal, localcontext
from fractions import Fraction

from haywright.measure.errors import Refused
from haywright.measure.message import Amount
from haywright.measure.rounding import round_decimal
from haywright.measure.units import BARE_TONS, canonical_name, definitions

Exact = Fraction
Number = Fraction | Decimal | int | float | str
_DIGITS_KEPT = 40


def exact(value: Number, field: str = "amount") -> Fraction:
    """The number exactly as written; a float counts as the shortest decimal that reads back [any].

    Raises
    ------
    Refused
        Not a finite number.
    """
    try:
        return Fraction(repr(float(value)) if isinstance(value, float) else value)
    except (ValueError, OverflowError, ZeroDivisionError):
        raise Refused(field, value, key="measure.not_a_number") from None


def as_decimal(value: Fraction) -> Decimal:
    """A fraction as a decimal of 40 digits, far beyond any price [any]."""
    with localcontext() as context:
        context.prec = _DIGITS_KEPT
        return Decimal(value.numerator) / Decimal(value.denominator)


def mass_unit(unit: str, field: str = "per") -> str:
    """The name of a unit of mass from what a person writes; a bare ton is refused."""
    if unit.strip().lower() in BARE_TONS:
        raise Refused(field, unit, key="measure.bare_ton")
    name = canonical_name(unit.replace("_", " ")) if "_" not in unit else unit
    if name not in definitions()["mass"] or name == "canonical":
        accepted = ", ".join(k.replace("_", " ") for k in ("short_ton", "long_ton", "tonne", "lb"))
        raise Refused(field, unit, accepted, key="gate.mass_unit")
    return name


def kilograms(unit: str) -> Fraction:
    """Kilograms in one of a unit of mass, exactly."""
    return exact(definitions()["mass"][mass_unit(unit)])


def convert_mass(amount: Number, from_unit: str, to_unit: str) -> Fraction:
    """A mass in another unit, exactly [``from_unit``]."""
    return exact(amount) * kilograms(from_unit) / kilograms(to_unit)


def currency_code(code: str) -> str:
    """An ISO 4217 code in capitals; "$" counts as US dollars."""
    plain = "USD" if code.strip() == "$" else code.strip().upper()
    if not re.fullmatch(r"[A-Z]{3}", plain):
        raise Refused("currency", code, key="gate.currency")
    return plain


@dataclass(frozen=True, slots=True)
class Price:
    """Money per mass.

    Parameters
    ----------
    amount
        Money for one ``per`` [currency per unit of mass]; kept exactly.
    per
        Unit of mass: short_ton, long_ton, tonne, cwt, lb, kg.
    currency
        ISO 4217.
    """

    amount: Fraction
    per: str
    currency: str = "USD"

    def __post_init__(self) -> None:
        object.__setattr__(self, "amount", exact(self.amount, "price"))
        object.__setattr__(self, "per", mass_unit(self.per))
        object.__setattr__(self, "currency", currency_code(self.currency))

    def to(self, per: str) -> Price:
        """The same price for another unit of mass."""
        unit = mass_unit(per)
        return Price(self.amount * kilograms(unit) / kilograms(self.per), unit, self.currency)

    def through(self, equation: Callable[[Fraction], Fraction]) -> Price:
        """The price that an equation of this module's neighbours makes of it."""
        return Price(equation(self.amount), self.per, self.currency)

    def for_mass(self, mass: Number, unit: str) -> Decimal:
        """What a mass costs, to the cent [mass in ``unit``]."""
        return round_decimal(as_decimal(self.to(unit).amount * exact(mass)), 2, "half_up")

    def rounded(self, digits: int = 2) -> Decimal:
        """The price as it is printed."""
        return round_decimal(as_decimal(self.amount), digits, "half_up")

    def __add__(self, other: Price) -> Price:
        return Price(self.amount + self._comparable(other).amount, self.per, self.currency)

    def __sub__(self, other: Price) -> Price:
        return Price(self.amount - self._comparable(other).amount, self.per, self.currency)

    def __lt__(self, other: Price) -> bool:
        return self.amount < self._comparable(other).amount

    def _comparable(self, other: Price) -> Price:
        if other.currency != self.currency:
            raise Refused("currency", other.currency, self.currency, key="gate.currencies")
        return other.to(self.per)

    def shown(self) -> Amount:
        """The price for a message: to the cent, or to a hundredth of one per lb or kg."""
        sign = "$" if self.currency == "USD" else self.currency
        digits = 4 if self.per in ("lb", "kg") else 2
        return Amount(self.rounded(digits), f"{sign}/{self.per}", digits=digits)

    def to_json(self) -> dict[str, str]:
        """Amount as text with eight decimals, unit and currency."""
        return {
            "amount": f"{self.rounded(8).normalize():f}",
            "per": self.per.replace("_", " "),
            "currency": self.currency,
        }
