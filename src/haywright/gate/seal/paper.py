"""A sealed paper as text: made by whoever issues it, checked by whoever holds it, offline.

The check says one of three things and no fourth: unaltered and from a key one holds; unaltered
but from a key one does not hold; altered or unreadable. A seal proves who said it and that nobody
changed it since, not that the sample was honest or that these are the bales.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any

from haywright.gate.seal import base45
from haywright.gate.seal.cose import decode, encode, read1, sign1
from haywright.gate.seal.keys import fingerprint, public_half
from haywright.gate.seal.qr_capacity import Level, capacity
from haywright.gate.seal.record import (
    KIND,
    LOT_PAPER,
    WITHDRAWALS,
    LotRecord,
    Strict,
    Withdrawals,
    issuer_of,
    lot_record,
    packed_lot,
    packed_withdrawals,
    unreadable,
    withdrawals,
)
from haywright.measure.errors import Refused

PREFIX = "HAY:"
CODE_VERSION = 14
CODE_LEVEL: Level = "M"
# On paper a blank cannot be seen at the end of a line, so it is written with a sign of its own.
BLANK_ON_PAPER = "_"
LINE = 44


class Seal(StrEnum):
    """What a check finds."""

    KEY_HELD = "unaltered, key held"
    KEY_NOT_HELD = "unaltered, key not held"
    ALTERED = "altered or unreadable"


class Standing(StrEnum):
    """Whether the issuer has withdrawn the paper, as far as one knows."""

    UNKNOWN = "not known"
    WITHDRAWN = "withdrawn"
    STANDS = "not withdrawn"


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check of a sealed paper found.

    Parameters
    ----------
    seal
        Which of the three.
    record
        What the paper says; ``None`` when it is altered or unreadable.
    says_issuer
        The name the paper gives itself; proven by nothing unless the key is held.
    held_as
        The name one holds the key under; "" when it is not held.
    public
        Key that the seal was made with.
    standing
        Withdrawn or not, as far as one knows.
    known_on
        Day of the issuer's list that says so.
    expired
        Whether the last day of the paper has passed; ``None`` when the day is not known.
    """

    seal: Seal
    record: LotRecord | None = None
    says_issuer: str = ""
    held_as: str = ""
    public: bytes = b""
    standing: Standing = Standing.UNKNOWN
    known_on: date | None = None
    expired: bool | None = None

    @property
    def fingerprint(self) -> str:
        """Fingerprint of the key, to compare with the issuer's own."""
        return fingerprint(self.public)


def most_characters() -> int:
    """Characters that the printed code holds."""
    return capacity(CODE_VERSION, CODE_LEVEL).alphanumeric


def seal_lot(record: LotRecord, issuer: str, secret: bytes) -> str:
    """The sealed text of a lot.

    Raises
    ------
    Refused
        More than the printed code holds; what to shorten is said.
    """
    text = _sealed(packed_lot(record, issuer, public_half(secret)), secret)
    over = len(text) - most_characters()
    if over > 0:
        raise Refused("paper", record.name, str(most_characters()), key="gate_seal.too_much",
                      over=over)  # fmt: skip
    return text


def seal_withdrawals(found: Withdrawals, issuer: str, secret: bytes) -> str:
    """The sealed list of an issuer's withdrawn papers."""
    return _sealed(packed_withdrawals(found, issuer, public_half(secret)), secret)


def _sealed(payload: Mapping[int, Any], secret: bytes) -> str:
    return PREFIX + base45.encode(sign1(encode(payload), secret))


def for_paper(text: str) -> tuple[str, ...]:
    """The text in lines as it is printed; blanks get a sign that can be seen."""
    seen = text.replace(" ", BLANK_ON_PAPER)
    return tuple(seen[i : i + LINE] for i in range(0, len(seen), LINE))


def from_paper(text: str) -> str:
    """The text as it was sealed, from lines scanned, copied or typed in either case."""
    plain = unicodedata.normalize("NFKC", text).strip()  # a 3 set low is a 3
    lines = "".join(line.strip("\r\t\ufeff") for line in plain.splitlines())
    return lines.upper().replace(BLANK_ON_PAPER, " ")


def _opened(text: str) -> tuple[Strict, int, str, bytes]:
    """Fields, kind, issuer and key of a text whose seal is whole."""
    whole = from_paper(text)
    if not whole.startswith(PREFIX):
        raise unreadable()
    message = read1(base45.decode(whole.removeprefix(PREFIX)))
    fields = Strict(decode(message.payload))
    kind = fields.take(KIND)
    issuer, public = issuer_of(fields)
    if message.unsigned or not message.verifies(public):
        raise unreadable()
    return fields, kind, issuer, public


def read_withdrawals(text: str) -> tuple[bytes, Withdrawals]:
    """The key and the list of a sealed list of withdrawn papers."""
    fields, kind, _, public = _opened(text)
    if kind != WITHDRAWALS:
        raise Refused("withdrawn", None, key="gate_seal.not_a_list")
    return public, withdrawals(fields)


def check(
    text: str,
    *,
    held: Mapping[bytes, str],
    lists: Iterable[tuple[bytes, Withdrawals]] = (),
    today: date | None = None,
) -> Checked:
    """What a sealed text is worth.

    Parameters
    ----------
    text
        As scanned or typed.
    held
        Public key -> name one holds it under.
    lists
        Lists of withdrawn papers with the key each was sealed by; those of other issuers are
        passed over.
    today
        For the last day of a paper; ``None`` when the day is not known.
    """
    try:
        fields, kind, issuer, public = _opened(text)
        if kind != LOT_PAPER:
            raise unreadable()
        record = lot_record(fields)
    except Refused:
        return Checked(Seal.ALTERED)
    mine = [one for key, one in lists if key == public or _one_holder(key, public, held)]
    withdrawn = [one for one in mine if record.serial in one.serials]
    known = withdrawn or mine
    return Checked(
        Seal.KEY_HELD if public in held else Seal.KEY_NOT_HELD,
        record,
        issuer,
        held.get(public, ""),
        public,
        Standing.WITHDRAWN if withdrawn else Standing.STANDS if mine else Standing.UNKNOWN,
        max((one.issued for one in known), default=None),
        None if today is None or record.expires is None else today > record.expires,
    )


def _one_holder(key: bytes, other: bytes, held: Mapping[bytes, str]) -> bool:
    """Whether two keys are held under one name: an issuer's older and newer key."""
    return key in held and held[key] == held.get(other)
