"""Base45 (RFC 9285): bytes as text that a printed code holds in its small alphabet.

Two bytes become three characters, a last odd byte two. Reading is strict: a character outside the
alphabet, a group beyond two bytes or a lone last character is refused, so that no two texts give
the same bytes.
"""

from __future__ import annotations

from haywright.measure.errors import Refused

ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
_BASE = len(ALPHABET)
_VALUES = {character: value for value, character in enumerate(ALPHABET)}
_SHOWN = 40


def encode(data: bytes) -> str:
    """Text of some bytes."""
    out = []
    for i in range(0, len(data) - 1, 2):
        value = data[i] << 8 | data[i + 1]
        out += [value % _BASE, value // _BASE % _BASE, value // _BASE**2]
    if len(data) % 2:
        out += [data[-1] % _BASE, data[-1] // _BASE]
    return "".join(ALPHABET[value] for value in out)


def decode(text: str) -> bytes:
    """Bytes of a text.

    Raises
    ------
    Refused
        The text is none that :func:`encode` gives.
    """
    values = [_VALUES.get(character, -1) for character in text]
    if len(values) % 3 == 1 or -1 in values:
        raise _wrong(text)
    out = bytearray()
    for i in range(0, len(values), 3):
        group = values[i : i + 3]
        value = sum(digit * _BASE**place for place, digit in enumerate(group))
        size = len(group) - 1
        if value >> 8 * size:
            raise _wrong(text)
        out += value.to_bytes(size, "big")
    return bytes(out)


def length(data_bytes: int) -> int:
    """Characters that a number of bytes takes."""
    return 3 * (data_bytes // 2) + 2 * (data_bytes % 2)


def _wrong(text: str) -> Refused:
    return Refused("sealed text", text[:_SHOWN], key="gate.seal.base45")
