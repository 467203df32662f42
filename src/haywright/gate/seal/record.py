"""What a sealed paper says of one lot, packed small enough for one printed code.

A map with whole-number keys over CBOR; results are scaled whole numbers and days are counted from
1970-01-01, so that no rounding stands between what was signed and what is printed. Reading is
strict: a field that is missing, unknown or of the wrong kind makes the paper unreadable.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any, Literal

from haywright.gate.seal.keys import KEY_BYTES
from haywright.measure.errors import Refused

LOT_PAPER, WITHDRAWALS = 1, 2
(KIND, ISSUER, SERIAL, ISSUED, EXPIRES, SUPERSEDES, LOT, SAMPLING, RESULTS, LABORATORY, SAMPLER,
 SUSPECT) = range(12)  # fmt: skip
# A code is its place here and never changes; new quantities are added at the end. With each its
# decimals, in the dictionary's unit on dry matter (dry matter itself as it stood).
QUANTITIES: tuple[tuple[str, int], ...] = (
    ("dm", 1), ("cp", 1), ("adf", 1), ("ndf", 1), ("ash", 1), ("nitrate_n", 0), ("tdn", 1),
    ("nem", 2), ("neg", 2), ("nel", 2), ("ca", 2), ("p", 2), ("mg", 2), ("k", 2), ("na", 2),
    ("s", 2), ("rfv", 0), ("horse_de", 2), ("wsc", 1), ("starch", 1),
)  # fmt: skip
CODES = {name: code for code, (name, _) in enumerate(QUANTITIES)}
TAKEN = ("probe", "grab", "cut")
Beyond = Literal["", "<", ">"]
_BEYOND: tuple[Beyond, ...] = ("", "<", ">")
_FIRST_DAY = datetime.fromtimestamp(0, UTC).date()
_LONGEST = 60
_MOST = 10**9


@dataclass(frozen=True, slots=True)
class SealedResult:
    """One result as it is signed.

    Parameters
    ----------
    quantity
        Dictionary name.
    value
        In the dictionary's unit, on dry matter; the limit when the result lies beyond one.
    low, high
        The range it lies in with 95 % confidence; ``None`` when no uncertainty was given.
    beyond
        < below a limit, > above the range of the method.
    """

    quantity: str
    value: Decimal
    low: Decimal | None = None
    high: Decimal | None = None
    beyond: Beyond = ""


@dataclass(frozen=True, slots=True)
class LotRecord:
    """One lot as a sale paper speaks of it.

    Parameters
    ----------
    serial
        Number of the paper with its issuer.
    issued
        Day of issue.
    lot, name, crop
        Id and name of the lot, and the id of its crop.
    cored_on
        Day of sampling; the results speak for the bales as they stood then.
    results
        As signed.
    bales, bale_weight
        Count, and weight of one [kg as it stands]; ``None`` when not stated.
    bales_cored, cores_per_bale, taken
        How the sample was taken: probe, grab or cut.
    laboratory, sampler
        Who tested and who sampled; "" when not stated.
    nitrate_suspect
        Whether crop, weather or weeds ask for a nitrate test.
    expires, supersedes
        Last day of the paper, and the serial it takes the place of, when stated.
    """

    serial: str
    issued: date
    lot: str
    name: str
    crop: str
    cored_on: date
    results: tuple[SealedResult, ...]
    bales: int | None = None
    bale_weight: int | None = None
    bales_cored: int | None = None
    cores_per_bale: int = 1
    taken: str = "probe"
    laboratory: str = ""
    sampler: str = ""
    nitrate_suspect: bool = False
    expires: date | None = None
    supersedes: str = ""

    def result(self, name: str) -> SealedResult | None:
        """The result of a quantity, when there is one."""
        return next((one for one in self.results if one.quantity == name), None)


@dataclass(frozen=True, slots=True)
class Withdrawals:
    """Serials an issuer has withdrawn, as known on a day."""

    issued: date
    serials: tuple[str, ...] = field(default=())


def packed_lot(record: LotRecord, issuer: str, public: bytes) -> dict[int, Any]:
    """The map that is signed for a lot."""
    out: dict[int, Any] = {
        KIND: LOT_PAPER,
        ISSUER: [checked_text("issuer", issuer), public],
        SERIAL: checked_text("serial", record.serial),
        ISSUED: _days(record.issued),
        LOT: [
            checked_text("lot", record.lot),
            checked_text("name", record.name),
            checked_text("crop", record.crop),
            record.bales or 0,
            record.bale_weight or 0,
        ],
        SAMPLING: [
            (record.issued - record.cored_on).days,
            record.bales_cored or 0,
            record.cores_per_bale,
            TAKEN.index(record.taken),
        ],
        RESULTS: _packed(record.results),
    }
    if record.expires is not None:
        out[EXPIRES] = (record.expires - record.issued).days
    for key, name in ((SUPERSEDES, "supersedes"), (LABORATORY, "laboratory"), (SAMPLER, "sampler")):
        if getattr(record, name):
            out[key] = checked_text(name, getattr(record, name))
    if record.nitrate_suspect:
        out[SUSPECT] = True
    return out


def packed_withdrawals(found: Withdrawals, issuer: str, public: bytes) -> dict[int, Any]:
    """The map that is signed for a list of withdrawn papers."""
    return {
        KIND: WITHDRAWALS,
        ISSUER: [checked_text("issuer", issuer), public],
        SERIAL: sorted({checked_text("serial", one) for one in found.serials}),
        ISSUED: _days(found.issued),
    }


def checked_text(name: str, text: str) -> str:
    """A text for the paper: printable, not empty and not too long."""
    if not text.strip() or not text.isprintable() or len(text) > _LONGEST:
        raise Refused(name, text[:_LONGEST], str(_LONGEST), key="gate_seal.text")
    return text


def _packed(results: Sequence[SealedResult]) -> list[Any]:
    """Which quantities, as bits; then for each in the order of codes its value and its reach."""
    inside = sorted(results, key=lambda one: CODES[one.quantity])
    out: list[Any] = [sum(1 << CODES[one.quantity] for one in inside)]
    for one in inside:
        digits = QUANTITIES[CODES[one.quantity]][1]
        value = _scaled(one.value, digits)
        out += [value, _reach(one, value, digits)]
    return out


def _reach(one: SealedResult, value: int, digits: int) -> int | list[int] | None:
    """How far the range reaches down and up, once when alike; -1 below a limit, -2 above one."""
    if one.beyond:
        return -_BEYOND.index(one.beyond)
    if one.low is None or one.high is None:
        return None
    down, up = value - _scaled(one.low, digits), _scaled(one.high, digits) - value
    return down if down == up else [down, up]


def _scaled(value: Decimal, digits: int) -> int:
    return int(value.scaleb(digits).to_integral_value())


def _days(day: date) -> int:
    return (day - _FIRST_DAY).days


class Strict:
    """Takes fields out of a signed map; anything unexpected makes it unreadable."""

    def __init__(self, data: Any) -> None:
        if not isinstance(data, Mapping):
            raise unreadable()
        self.left = dict(data)

    def take(self, key: int, *, default: Any = ...) -> Any:
        """The value of a key; without a default a missing one is unreadable."""
        if key not in self.left:
            if default is ...:
                raise unreadable()
            return default
        return self.left.pop(key)

    def done(self) -> None:
        """Refuse fields that nobody knows."""
        if self.left:
            raise unreadable()


def unreadable() -> Refused:
    """The error for a paper that cannot be read as it stands."""
    return Refused("sealed text", None, key="gate_seal.not_whole")


def issuer_of(fields: Strict) -> tuple[str, bytes]:
    """Name and public key of the issuer, as the paper says them."""
    match fields.take(ISSUER):
        case [str(name), bytes(public)] if len(public) == KEY_BYTES:
            return text_of(name), public
        case _:
            raise unreadable()


def text_of(value: Any) -> str:
    """A text that may be shown: no control characters, not too long."""
    if not isinstance(value, str) or not value.strip() or not value.isprintable():
        raise unreadable()
    if len(value) > _LONGEST:
        raise unreadable()
    return value


def count_of(value: Any) -> int:
    """A whole number of a believable size."""
    if type(value) is not int or abs(value) > _MOST:
        raise unreadable()
    return value


def day_of(value: Any) -> date:
    """A day from its count."""
    try:
        return _FIRST_DAY + timedelta(days=count_of(value))
    except OverflowError:
        raise unreadable() from None


def lot_record(fields: Strict) -> LotRecord:
    """The lot of a signed map whose kind and issuer are taken already."""
    match fields.take(LOT), fields.take(SAMPLING), fields.take(RESULTS):
        case [[lot, name, crop, bales, weight], [before, n, m, taken], [*rows]]:
            pass
        case _:
            raise unreadable()
    how = count_of(taken)
    if not 0 <= how < len(TAKEN):
        raise unreadable()
    issued = count_of(fields.take(ISSUED))
    lasts = fields.take(EXPIRES, default=None)
    texts = {
        name: text_of(value) if (value := fields.take(key, default="")) != "" else ""
        for key, name in (
            (SUPERSEDES, "supersedes"), (LABORATORY, "laboratory"), (SAMPLER, "sampler"),
        )
    }  # fmt: skip
    record = LotRecord(
        serial=text_of(fields.take(SERIAL)),
        issued=day_of(issued),
        lot=text_of(lot),
        name=text_of(name),
        crop=text_of(crop),
        cored_on=day_of(issued - count_of(before)),
        results=_unpacked(rows),
        bales=count_of(bales) or None,
        bale_weight=count_of(weight) or None,
        bales_cored=count_of(n) or None,
        cores_per_bale=count_of(m),
        taken=TAKEN[how],
        nitrate_suspect=fields.take(SUSPECT, default=False) is True,
        expires=None if lasts is None else day_of(issued + count_of(lasts)),
        **texts,
    )
    fields.done()
    return record


def _unpacked(data: Sequence[Any]) -> tuple[SealedResult, ...]:
    if not data:
        raise unreadable()
    bits, numbers = count_of(data[0]), data[1:]
    codes = [code for code in range(bits.bit_length()) if bits >> code & 1]
    known = bits > 0 and codes[-1] < len(QUANTITIES)
    if not known or len(numbers) != 2 * len(codes):
        raise unreadable()
    return tuple(
        _one(code, count_of(numbers[2 * n]), numbers[2 * n + 1]) for n, code in enumerate(codes)
    )


def _one(code: int, value: int, reach: Any) -> SealedResult:
    name, digits = QUANTITIES[code]
    if reach is None:
        return SealedResult(name, _unscaled(value, digits))
    if reach in (-1, -2):
        return SealedResult(name, _unscaled(value, digits), beyond=_BEYOND[-reach])
    match reach:
        case [down, up]:
            pass
        case both:
            down = up = both
    if min(count_of(down), count_of(up)) < 0:
        raise unreadable()
    low, high = _unscaled(value - down, digits), _unscaled(value + up, digits)
    return SealedResult(name, _unscaled(value, digits), low, high)


def _unscaled(value: int, digits: int) -> Decimal:
    return Decimal(value).scaleb(-digits)


def withdrawals(fields: Strict) -> Withdrawals:
    """The list of a signed map whose kind and issuer are taken already."""
    match fields.take(SERIAL):
        case [*serials]:
            found = Withdrawals(day_of(fields.take(ISSUED)), tuple(text_of(s) for s in serials))
        case _:
            raise unreadable()
    fields.done()
    return found
