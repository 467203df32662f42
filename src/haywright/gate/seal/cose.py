"""COSE_Sign1 (RFC 9052): one payload, one signature, over CBOR (RFC 8949).

Reading is strict. The bytes must be what deterministic encoding (RFC 8949 section 4.2) gives, so
that nothing outside the signature can differ unseen; and what was received is verified, never
what was encoded again. Algorithm -19 (Ed25519, RFC 9864) is written; its older number -8 is read.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import cbor2

from haywright.gate.seal.keys import SIGNATURE_BYTES, sign, verifies
from haywright.measure.errors import Refused

TAG = 18
_ALGORITHM, _CRITICAL = 1, 2
ED25519, EDDSA = -19, -8
MOST_BYTES = 10_000
_MOST_DEPTH = 8
_CONTEXT = "Signature1"


def encode(value: Any) -> bytes:
    """Deterministic CBOR of plain values: whole numbers, texts, bytes, lists, maps, true, false."""
    return cbor2.dumps(value, canonical=True)


def decode(data: bytes) -> Any:
    """The one value that some bytes hold, refused when they are not its deterministic encoding."""
    try:
        value = cbor2.loads(
            data, max_depth=_MOST_DEPTH, allow_indefinite=False, allow_duplicate_keys=False
        )
        same = len(data) <= MOST_BYTES and encode(value) == data
    except (cbor2.CBORError, ValueError, TypeError, OverflowError, RecursionError):
        same = False
    if not same:
        raise _wrong()
    return value


def to_be_signed(protected: bytes, payload: bytes) -> bytes:
    """The bytes a signature is made over (RFC 9052 section 4.4), without outside data."""
    return encode([_CONTEXT, protected, b"", payload])


PROTECTED = encode({_ALGORITHM: ED25519})


def sign1(
    payload: bytes,
    secret: bytes,
    *,
    protected: bytes = PROTECTED,
    unprotected: Mapping[int, bytes] | None = None,
) -> bytes:
    """A signed message.

    Parameters
    ----------
    payload
        What is signed.
    secret
        Key of the signer.
    protected
        Header as encoded; it is signed with the payload.
    unprotected
        Header that the signature does not cover; nothing to rely on belongs here.
    """
    signature = sign(to_be_signed(protected, payload), secret)
    return encode(cbor2.CBORTag(TAG, [protected, dict(unprotected or {}), payload, signature]))


@dataclass(frozen=True, slots=True)
class Sign1:
    """A message as received; ``unsigned`` is the header that no signature covers."""

    protected: bytes
    unsigned: Mapping[Any, Any]
    payload: bytes
    signature: bytes

    def verifies(self, public: bytes) -> bool:
        """Whether the holder of a key signed exactly this payload and protected header."""
        return verifies(self.signature, to_be_signed(self.protected, self.payload), public)


def read1(data: bytes) -> Sign1:
    """The parts of a signed message; nothing is verified yet.

    Raises
    ------
    Refused
        Not one whole COSE_Sign1 with a known algorithm, or a header it asks us to understand.
    """
    whole = decode(data)
    if not isinstance(whole, cbor2.CBORTag) or whole.tag != TAG:
        raise _wrong()
    match whole.value:
        case [bytes(protected), Mapping() as unsigned, bytes(payload), bytes(signature)]:
            header = decode(protected)
        case _:
            raise _wrong()
    known = isinstance(header, Mapping) and _CRITICAL not in header
    if not known or header.get(_ALGORITHM) not in (ED25519, EDDSA) or _ALGORITHM in unsigned:
        raise _wrong()
    if len(signature) != SIGNATURE_BYTES:
        raise _wrong()
    return Sign1(protected, unsigned, payload, signature)


def _wrong() -> Refused:
    return Refused("sealed text", None, key="gate_seal.not_whole")
