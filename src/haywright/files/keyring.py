"""A folder of keys: one's own to seal with, other people's to check by.

::

    FOLDER/keyring.json        names and public keys, nobody's secret
    FOLDER/sealing.key         the secret half of one's own key; for its owner's eyes (mode 600)
    FOLDER/recovery-sheet.txt  the same on a sheet to print and lock away, then delete
    FOLDER/withdrawn.txt       the sealed list of one's withdrawn papers, to pass on
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

from haywright.files.reading import FORM_BYTES, decode, read_bytes, write_atomic
from haywright.gate.seal.keys import KEY_BYTES, key_from_text, key_text, public_half
from haywright.gate.seal.paper import read_withdrawals, seal_withdrawals
from haywright.gate.seal.record import Withdrawals, checked_text
from haywright.measure.errors import Refused

RING, SECRET, RECOVERY, WITHDRAWN = (
    "keyring.json", "sealing.key", "recovery-sheet.txt", "withdrawn.txt",
)  # fmt: skip
_OWNER_ONLY, _FOLDER_ONLY, _OTHERS = 0o600, 0o700, 0o077


@dataclass(frozen=True, slots=True)
class OwnKey:
    """One's own key, public half: from when, and until when it sealed."""

    public: bytes
    made_on: date
    retired_on: date | None = None


@dataclass(frozen=True, slots=True)
class HeldKey:
    """Somebody else's key: under which name, since when."""

    name: str
    public: bytes
    since: date


@dataclass(frozen=True, slots=True)
class Keyring:
    """What a folder of keys holds.

    Parameters
    ----------
    folder
        Where.
    issuer
        Name one seals under; "" when one only checks.
    own
        One's own keys, the newest last.
    held
        Other people's keys.
    """

    folder: Path
    issuer: str = ""
    own: tuple[OwnKey, ...] = ()
    held: tuple[HeldKey, ...] = ()

    @property
    def names(self) -> dict[bytes, str]:
        """Public key -> name, one's own included; retired keys still check old papers."""
        mine = {one.public: self.issuer for one in self.own}
        return {one.public: one.name for one in self.held} | mine

    @property
    def current(self) -> OwnKey | None:
        """The key that seals now."""
        return next((one for one in reversed(self.own) if one.retired_on is None), None)


def read_keyring(folder: Path) -> Keyring:
    """The keys of a folder; an empty ring when there is none yet.

    Raises
    ------
    Refused
        The ring cannot be read; nothing is guessed.
    """
    path = folder / RING
    if not path.exists():
        return Keyring(folder)
    try:
        data = json.loads(decode(read_bytes(path, FORM_BYTES), path))
        return Keyring(
            folder,
            str(data["issuer"]),
            tuple(_own(one) for one in data["own"]),
            tuple(
                HeldKey(str(one["name"]), _public(one["public"]), date.fromisoformat(one["since"]))
                for one in data["held"]
            ),
        )
    except (ValueError, KeyError, TypeError):
        raise Refused("keys", path, key="gate_seal.ring_broken") from None


def _own(one: Mapping[str, Any]) -> OwnKey:
    retired = one["retired_on"]
    return OwnKey(
        _public(one["public"]),
        date.fromisoformat(one["made_on"]),
        None if retired is None else date.fromisoformat(retired),
    )


def _public(text: Any) -> bytes:
    found = bytes.fromhex(text)
    if len(found) != KEY_BYTES:
        raise ValueError(text)
    return found


def _write(ring: Keyring) -> Keyring:
    data = {
        "issuer": ring.issuer,
        "own": [
            {
                "public": one.public.hex(),
                "made_on": one.made_on.isoformat(),
                "retired_on": None if one.retired_on is None else one.retired_on.isoformat(),
            }
            for one in ring.own
        ],
        "held": [
            {"name": one.name, "public": one.public.hex(), "since": one.since.isoformat()}
            for one in ring.held
        ],
    }
    write_atomic(ring.folder / RING, json.dumps(data, indent=1, ensure_ascii=False) + "\n")
    return ring


def new_key(ring: Keyring, secret: bytes, *, issuer: str, today: date) -> Keyring:
    """The ring with a key that seals from today; an older one is retired and still checks.

    The secret half of an older key is overwritten: it is on its recovery sheet.
    """
    name = checked_text("issuer", issuer)
    folder_of_keys(ring.folder)
    _write_secret(ring.folder / SECRET, f"{key_text(secret)}\n")
    older = tuple(
        one if one.retired_on is not None else replace(one, retired_on=today) for one in ring.own
    )
    public = public_half(secret)
    kept = tuple(one for one in older if one.public != public)
    since = next((one.made_on for one in ring.own if one.public == public), today)
    return _write(replace(ring, issuer=name, own=(*kept, OwnKey(public, since))))


def folder_of_keys(folder: Path) -> None:
    """Make the folder when it is not there, for its owner alone."""
    if folder.exists() and not folder.is_dir():
        raise Refused("keys", folder, key="files.folder_missing")
    if not folder.exists():
        folder.mkdir(parents=True, mode=_FOLDER_ONLY)


def _write_secret(path: Path, text: str) -> None:
    """Write a file that nobody but its owner can read at any moment, whole or not at all."""
    beside = path.with_name(f".{path.name}.new")
    beside.unlink(missing_ok=True)
    handle = os.open(beside, os.O_CREAT | os.O_EXCL | os.O_WRONLY, _OWNER_ONLY)
    with os.fdopen(handle, "w", encoding="utf-8") as stream:
        stream.write(text)
    beside.replace(path)


def write_recovery_sheet(ring: Keyring, text: str) -> Path:
    """Write the sheet to print and lock away; for its owner's eyes."""
    path = ring.folder / RECOVERY
    _write_secret(path, text)
    return path


def secret_of(ring: Keyring) -> bytes:
    """The secret half of the key that seals now.

    Raises
    ------
    Refused
        There is none, others can read it, or it is not the half of the key in the ring.
    """
    path = ring.folder / SECRET
    if ring.current is None or not path.exists():
        raise Refused("keys", ring.folder, key="gate_seal.ring_no_key")
    if os.name == "posix" and path.stat().st_mode & _OTHERS:
        raise Refused("keys", path, key="gate_seal.ring_open_to_others")
    secret = key_from_text(decode(read_bytes(path, FORM_BYTES), path))
    if public_half(secret) != ring.current.public:
        raise Refused("keys", path, key="gate_seal.ring_other_half")
    return secret


def hold(ring: Keyring, name: str, public: bytes, *, today: date) -> Keyring:
    """The ring with somebody's key held under a name; one key stands under one name."""
    known = checked_text("name", name)
    for one in ring.held:
        if one.name == known and one.public != public:
            raise Refused("name", name, key="gate_seal.ring_name_taken")
    folder_of_keys(ring.folder)
    others = tuple(one for one in ring.held if one.public != public)
    return _write(replace(ring, held=(*others, HeldKey(known, public, today))))


def forget(ring: Keyring, name: str) -> Keyring:
    """The ring without the keys held under a name."""
    left = tuple(one for one in ring.held if one.name != name)
    if len(left) == len(ring.held):
        raise Refused("name", name, key="gate_seal.ring_name_unknown")
    return _write(replace(ring, held=left))


def withdraw(ring: Keyring, serials: tuple[str, ...], *, today: date) -> tuple[Path, Withdrawals]:
    """Add papers to the sealed list of those withdrawn and write it, to be passed on."""
    secret = secret_of(ring)
    path = ring.folder / WITHDRAWN
    before: tuple[str, ...] = ()
    if path.exists():
        key, known = read_withdrawals_file(path)
        if key not in {one.public for one in ring.own}:
            raise Refused("withdrawn", path, key="gate_seal.ring_other_list")
        before = known.serials
    found = Withdrawals(today, tuple(sorted({*before, *serials})))
    write_atomic(path, seal_withdrawals(found, ring.issuer, secret) + "\n")
    return path, found


def read_withdrawals_file(path: Path) -> tuple[bytes, Withdrawals]:
    """The key and the list of a sealed list of withdrawn papers in a file."""
    return read_withdrawals(decode(read_bytes(path, FORM_BYTES), path))
