"""Keys of a seal: Ed25519 (RFC 8032), one secret half that signs and one public half that checks.

The fingerprint is the thumbprint of RFC 7638, so that any tool of that standard finds the same.
"""

from __future__ import annotations

import base64
import hashlib

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

from haywright.measure.errors import Refused

KEY_BYTES = 32
SIGNATURE_BYTES = 64
_CHECK_BYTES = 3
_GROUP = 4
_FINGERPRINT_GROUPS = 8


def public_half(secret: bytes) -> bytes:
    """The public key that belongs to a secret one."""
    return _secret(secret).public_key().public_bytes_raw()


def sign(data: bytes, secret: bytes) -> bytes:
    """The signature of some bytes; the same bytes and key give the same signature."""
    return _secret(secret).sign(data)


def verifies(signature: bytes, data: bytes, public: bytes) -> bool:
    """Whether a signature was made over exactly these bytes by the holder of a key."""
    try:
        Ed25519PublicKey.from_public_bytes(public).verify(signature, data)
    except (InvalidSignature, ValueError):
        return False
    return True


def _secret(secret: bytes) -> Ed25519PrivateKey:
    if len(secret) != KEY_BYTES:
        raise Refused("key", None, str(KEY_BYTES), key="gate_seal.key_length")
    return Ed25519PrivateKey.from_private_bytes(secret)


def base64url(data: bytes) -> str:
    """Base64 in the alphabet of addresses, without padding (RFC 4648 section 5)."""
    return base64.urlsafe_b64encode(data).decode("ascii").rstrip("=")


def thumbprint(public: bytes) -> bytes:
    """SHA-256 over the key's required members in order (RFC 7638; RFC 8037 appendix A.3)."""
    members = f'{{"crv":"Ed25519","kty":"OKP","x":"{base64url(public)}"}}'
    return hashlib.sha256(members.encode("ascii")).digest()


def fingerprint(public: bytes) -> str:
    """The first half of the thumbprint in groups of four, to read over the telephone."""
    return _grouped(thumbprint(public).hex().upper()[: _GROUP * _FINGERPRINT_GROUPS])


def key_text(key: bytes) -> str:
    """A key, secret or public, as letters and digits for paper, with a check against slips.

    Base32 (RFC 4648 section 6) of the key and the first bytes of its SHA-256.
    """
    whole = key + hashlib.sha256(key).digest()[:_CHECK_BYTES]
    return _grouped(base64.b32encode(whole).decode("ascii"))


def key_from_text(text: str) -> bytes:
    """The key that was written down.

    Raises
    ------
    Refused
        A letter is wrong, missing or too many; the text itself is not repeated.
    """
    letters = "".join(text.split()).replace("-", "").upper()
    try:
        whole = base64.b32decode(letters, casefold=False)
    except ValueError:
        whole = b""
    key, check = whole[:KEY_BYTES], whole[KEY_BYTES:]
    if len(key) != KEY_BYTES or check != hashlib.sha256(key).digest()[:_CHECK_BYTES]:
        raise Refused("key", None, key="gate_seal.key_text")
    return key


def _grouped(text: str) -> str:
    return " ".join(text[i : i + _GROUP] for i in range(0, len(text), _GROUP))
