"""Bag codes: office, running number and two check digits, as in VLY-0042-06.

The check digits are ISO/IEC 7064 MOD 97-10, with letters counted as 10 to 35 as bank account
numbers do it. They catch every single wrong character and every swap of two neighbours; where
a code fails, the nearest readings that would pass are named.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from enum import StrEnum

from haywright.measure.errors import Refused
from haywright.measure.message import message

# Letters that are not mistaken for a digit on a wet label: no I, O or Q.
OFFICE_LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ"
_OFFICE_LENGTH, _LEAST_DIGITS, _MOST_DIGITS = 3, 4, 8
_AS_NUMBER = {ord(letter): str(int(letter, 36)) for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"}
_PRINTED = re.compile(f"([{OFFICE_LETTERS}]{{3}})-([0-9]{{4}}|[1-9][0-9]{{4,7}})-([0-9]{{2}})")
_AS_DIGIT = str.maketrans("OQDILZSBG", "000112586")


class Slip(StrEnum):
    """What went wrong when a code was written down."""

    SWAPPED = "swapped"
    ONE_CHARACTER = "one_character"
    MISSING = "missing"
    EXTRA = "extra"


@dataclass(frozen=True, slots=True)
class BagCode:
    """A valid code; ``str`` gives it as printed."""

    office: str
    number: int

    def __post_init__(self) -> None:
        if len(self.office) != _OFFICE_LENGTH or set(self.office) - set(OFFICE_LETTERS):
            raise Refused("office", self.office, OFFICE_LETTERS, key="bag.code.office")
        if not 1 <= self.number < 10**_MOST_DIGITS:
            raise Refused("number", self.number, key="bag.code.number", most=10**_MOST_DIGITS - 1)

    @property
    def check(self) -> str:
        """The two check digits."""
        return check_digits(self.office + self._digits)

    @property
    def _digits(self) -> str:
        return f"{self.number:0{_LEAST_DIGITS}d}"

    def __str__(self) -> str:
        return f"{self.office}-{self._digits}-{self.check}"


@dataclass(frozen=True, slots=True)
class Guess:
    """A code that differs from what was written by one slip."""

    code: BagCode
    slip: Slip


class WrongCode(Refused):
    """A code whose check digits do not fit, with the readings that would.

    ``guesses`` holds codes already in use first.
    """

    def __init__(self, text: str, guesses: tuple[Guess, ...]) -> None:
        key = "bag.code.wrong_near" if guesses else "bag.code.wrong"
        near = tuple(message(f"bag.code.{g.slip}", code=str(g.code)) for g in guesses[:3])
        super().__init__("code", text, key=key, near=near)
        self.guesses = guesses


def _as_number(text: str) -> int:
    return int(text.translate(_AS_NUMBER))


def check_digits(text: str) -> str:
    """ISO/IEC 7064 MOD 97-10 check digits of capital letters and digits (letters 10 to 35).

    The text with its check digits behind it, read as one number, leaves 1 when divided by 97.
    """
    return f"{98 - _as_number(text) * 100 % 97:02d}"


def passes(text: str) -> bool:
    """Whether a text that ends in its check digits is whole by MOD 97-10."""
    return _as_number(text) % 97 == 1


def as_printed(text: str) -> bool:
    """Whether a text is a valid code just as it is printed, without a slip to straighten."""
    found = _PRINTED.fullmatch(text)
    if found is None or found[2] == "0000":
        return False
    return found[3] == check_digits(found[1] + found[2])


def _strict(characters: str) -> BagCode | None:
    """The code of bare characters "VLY004206", or nothing when they are not one."""
    office, digits = characters[:_OFFICE_LENGTH], characters[_OFFICE_LENGTH:]
    number, check = digits[:-2], digits[-2:]
    least, most = _LEAST_DIGITS, _MOST_DIGITS
    if set(office) - set(OFFICE_LETTERS) or not (digits.isascii() and digits.isdigit()):
        return None
    if not least <= len(number) <= most or (len(number) > least and number[0] == "0"):
        return None
    code = BagCode(office, int(number)) if int(number) else None
    return code if code is not None and code.check == check else None


def _straightened(text: str) -> str:
    """Bare capitals, with letters among the digits read as digits: "vly 42 o5" -> VLY004205.

    Digits among the office letters are left alone, so that a swap over the dash cannot turn
    into another code.
    """
    bare = re.sub(r"[\s\-_./]+", "", text.upper())
    digits = bare[_OFFICE_LENGTH:].translate(_AS_DIGIT)
    return bare[:_OFFICE_LENGTH] + digits[:-2].rjust(_LEAST_DIGITS, "0") + digits[-2:]


def read_code(text: str, in_use: Collection[str] = ()) -> BagCode:
    """The code in what a person typed: any case, spaces or dashes, O for 0, l for 1.

    Parameters
    ----------
    text
        What was written or scanned.
    in_use
        Codes already in use, as printed; they come first among the guesses.

    Raises
    ------
    WrongCode
        The check digits do not fit; the readings one slip away are named.
    Refused
        It does not look like a bag code at all.
    """
    bare = _straightened(text)
    if not re.fullmatch(r"[A-Z][0-9A-Z]{6,13}", bare) or not re.search(r"\d.*\d.*\d", text):
        raise Refused("code", text[:40], str(BagCode("VLY", 42)), key="bag.code.form")
    code = _strict(bare)
    if code is not None:
        return code
    guesses = {g.code: g for g in reversed(list(_one_slip_away(bare)))}
    ranked = sorted(guesses.values(), key=lambda g: (str(g.code) not in in_use, _LIKELY[g.slip]))
    raise WrongCode(text, tuple(ranked))


_LIKELY = {Slip.SWAPPED: 0, Slip.ONE_CHARACTER: 1, Slip.MISSING: 2, Slip.EXTRA: 3}


def _one_slip_away(bare: str) -> Iterator[Guess]:
    for slip, other in _slips(bare):
        code = _strict(other)
        if code is not None:
            yield Guess(code, slip)


def _slips(bare: str) -> Iterator[tuple[Slip, str]]:
    for i in range(len(bare)):
        before, here, after = bare[:i], bare[i], bare[i + 1 :]
        if after and after[0] != here:
            yield Slip.SWAPPED, before + after[0] + here + after[1:]
        alphabet = OFFICE_LETTERS if i < _OFFICE_LENGTH else "0123456789"
        for other in alphabet:
            yield Slip.ONE_CHARACTER, before + other + after
            yield Slip.MISSING, before + other + here + after
        yield Slip.EXTRA, before + after
