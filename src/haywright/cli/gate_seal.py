"""Sealed sale papers at the command line: keys, sealing, checking, withdrawing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from haywright.cli.common import Json, Units, answer, command_errors

if TYPE_CHECKING:
    from datetime import date

    from haywright.files.keyring import Keyring
    from haywright.measure.message import Message

Lines = list["str | Message"]
Keys = Annotated[Path, typer.Option("--keys", help="Folder of your keys, made by: gate keys.")]


def add_to(app: typer.Typer) -> None:
    """Hang these commands on the gate."""
    app.command("keys")(keys)
    app.command("seal")(seal)
    app.command("check")(check_paper)
    app.command("withdraw")(withdraw_papers)


def _today() -> date:
    from datetime import UTC, datetime

    return datetime.now(UTC).date()


@command_errors
def keys(
    folder: Annotated[Path, typer.Argument(help="Folder of keys; made when it is not there.")],
    issuer: Annotated[
        str, typer.Option(help="Name you seal under; the first time, a key is made.")
    ] = "",
    renew: Annotated[
        bool, typer.Option("--renew", help="Make a new key; the old one still checks old papers.")
    ] = False,
    restore: Annotated[
        Path | None, typer.Option(help="Restore your key from a file typed off a recovery sheet.")
    ] = None,
    hold: Annotated[str, typer.Option(help="Hold somebody's key: “Name=ABCD EFGH ...”.")] = "",
    forget: Annotated[str, typer.Option(help="Forget the key held under a name.")] = "",
    json: Json = False,
) -> None:
    """List the keys of a folder; make, renew or restore your own; hold or forget another's.

    Example: haywright gate keys my-keys --issuer "Upper Creek hay office"
    """
    import secrets

    from haywright.files import keyring
    from haywright.files.reading import FORM_BYTES, decode, read_bytes
    from haywright.gate.seal.keys import KEY_BYTES, fingerprint, key_from_text
    from haywright.measure.message import message

    ring = keyring.read_keyring(folder)
    said: Lines = []
    name = issuer or ring.issuer
    if restore is not None:
        typed = decode(read_bytes(restore, FORM_BYTES), restore)
        ring = keyring.new_key(ring, key_from_text(typed), issuer=name, today=_today())
        said.append(message("gate_seal.key_restored", issuer=name))
    elif renew or (issuer and ring.current is None):
        secret = secrets.token_bytes(KEY_BYTES)
        ring = keyring.new_key(ring, secret, issuer=name, today=_today())
        path = keyring.write_recovery_sheet(ring, recovery_sheet(ring, secret))
        said += [message("gate_seal.key_made", issuer=name),
                 message("gate_seal.recovery_written", path=str(path))]  # fmt: skip
    if hold:
        whose, public = _held_from(hold)
        ring = keyring.hold(ring, whose, public, today=_today())
        said.append(message("gate_seal.holds", name=whose, fingerprint=fingerprint(public)))
    if forget:
        ring = keyring.forget(ring, forget)
    answer(_keys_json(ring), [*said, *_key_lines(ring)], json=json)


def recovery_sheet(ring: Keyring, secret: bytes) -> str:
    """The sheet to print and lock away."""
    from haywright.gate.seal.keys import fingerprint, key_text, public_half
    from haywright.measure.message import message
    from haywright.words import say

    lines = (
        message("gate_seal.sheet_head"),
        message("gate_seal.sheet_who", issuer=ring.issuer, made=_today(),
                fingerprint=fingerprint(public_half(secret))),
        message("gate_seal.sheet_key", letters=key_text(secret)),
        message("gate_seal.sheet_how", issuer=ring.issuer),
        message("gate_seal.sheet_lost"),
    )  # fmt: skip
    return "\n\n".join(say(one) for one in lines) + "\n"


def _held_from(text: str) -> tuple[str, bytes]:
    from haywright.gate.seal.keys import key_from_text
    from haywright.measure.errors import Refused

    name, sign, key = text.rpartition("=")
    if not sign or not name.strip():
        raise Refused("--hold", text, key="gate_seal.hold_form")
    return name.strip(), key_from_text(key)


def _keys_json(ring: Keyring) -> dict[str, Any]:
    from haywright.gate.seal.keys import fingerprint, key_text

    return {
        "issuer": ring.issuer,
        "own": [
            {
                "key": key_text(one.public),
                "fingerprint": fingerprint(one.public),
                "made_on": one.made_on.isoformat(),
                "retired_on": None if one.retired_on is None else one.retired_on.isoformat(),
            }
            for one in ring.own
        ],
        "held": [
            {
                "name": one.name,
                "key": key_text(one.public),
                "fingerprint": fingerprint(one.public),
                "since": one.since.isoformat(),
            }
            for one in ring.held
        ],
    }


def _key_lines(ring: Keyring) -> Lines:
    from haywright.gate.seal.keys import fingerprint, key_text
    from haywright.measure.message import message

    said: Lines = []
    for one in ring.own:
        print_ = fingerprint(one.public)
        if one.retired_on is None:
            said += [message("gate_seal.own_key", since=one.made_on, fingerprint=print_),
                     message("gate_seal.give_key", letters=key_text(one.public))]  # fmt: skip
        else:
            said.append(message("gate_seal.own_retired", since=one.made_on, until=one.retired_on,
                                fingerprint=print_))  # fmt: skip
    said += [
        message("gate_seal.held_key", name=one.name, since=one.since,
                fingerprint=fingerprint(one.public))
        for one in ring.held
    ]  # fmt: skip
    return said or [message("gate_seal.no_keys")]


@command_errors
def seal(
    office: Annotated[Path, typer.Argument(help="An office in small, as laid out by: new.")],
    lot: Annotated[str, typer.Argument(help="The lot: the name of its form.")],
    keys_folder: Keys,
    until: Annotated[str, typer.Option(help="Last day of the paper: 2027-06-30.")] = "",
    serial: Annotated[
        str, typer.Option(help="Number of the paper; the bag's code if left out.")
    ] = "",
    supersedes: Annotated[str, typer.Option(help="Paper that this one takes the place of.")] = "",
    result: Annotated[
        list[str] | None, typer.Option(help="Seal only this result; repeat. All if left out.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--to", help="Where to; the office's sheets folder if left out.")
    ] = None,
    json: Json = False,
) -> None:
    """Seal the tested hay of a lot as a text that fits one printed code.

    Example: haywright gate seal OFFICE upper-brome --keys my-keys --until 2027-06-30
    """
    from haywright.cli.tour import lot_samples
    from haywright.files.keyring import read_keyring, secret_of
    from haywright.files.office import read_office
    from haywright.files.reading import write_atomic
    from haywright.gate.seal.keys import public_half
    from haywright.gate.seal.paper import for_paper, most_characters, seal_lot
    from haywright.measure.message import message
    from haywright.paper.sale_paper import Sealed, sale_pdf
    from haywright.way.sealed import record_of
    from haywright.words import Reader

    ring = read_keyring(keys_folder)
    secret = secret_of(ring)
    folder = read_office(office)
    who = Reader(units=folder.office.units)
    samples, _ = lot_samples(folder, lot)
    where = (out or office / "sheets") / lot
    said: Lines = []
    papers = []
    for n, sample in enumerate(samples, 1):
        record = record_of(
            sample,
            samples,
            issued=_today(),
            laboratory=folder.batches[0].laboratory if folder.batches else "",
            serial=f"{serial}-{n}" if serial and len(samples) > 1 else serial,
            quantities=result or (),
            expires=_day("--until", until) if until else None,
            supersedes=supersedes,
        )
        text = seal_lot(record, ring.issuer, secret)
        part = f"-{sample.part.replace(' ', '-')}" if sample.part else ""
        path = where / f"sale-paper{part}.txt"
        write_atomic(path, text + "\n")
        drawn = sale_pdf(Sealed(record, ring.issuer, public_half(secret), text), folder.office, who)
        write_atomic(path.with_suffix(".pdf"), drawn)
        said += [message("gate_seal.sealed", name=record.name, serial=record.serial, n=len(text),
                         most=most_characters()),
                 *(f"    {line}" for line in for_paper(text)),
                 message("gate_seal.wrote", path=str(path)),
                 message("gate_seal.wrote", path=str(path.with_suffix(".pdf")))]  # fmt: skip
        papers.append({"part": sample.part, "serial": record.serial, "text": text,
                       "characters": len(text), "file": str(path),
                       "pdf": str(path.with_suffix(".pdf"))})  # fmt: skip
    answer({"papers": papers, "most_characters": most_characters()}, said, json=json)


def _day(field: str, text: str) -> date:
    from datetime import date

    from haywright.measure.errors import Refused

    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise Refused(field, text, key="gate_seal.day") from None


@command_errors
def check_paper(
    paper: Annotated[
        str,
        typer.Argument(help="The text scanned or typed, a file that holds it, or - to type it."),
    ],
    keys_folder: Annotated[
        Path | None, typer.Option("--keys", help="Folder with the keys you hold.")
    ] = None,
    withdrawn: Annotated[
        list[Path] | None, typer.Option(help="An issuer's sealed list of withdrawn papers.")
    ] = None,
    animals: Annotated[
        list[str] | None, typer.Option(help="Whom you would feed it: “bred cows”; repeat.")
    ] = None,
    show: Units = "us",
    json: Json = False,
) -> None:
    """Check a sealed paper offline: unaltered or not, whose, and what it says.

    Example: haywright gate check scanned.txt --keys my-keys --animals "bred cows"
    """
    from haywright.cli.gate_seal_lines import checked_json, checked_lines
    from haywright.files.keyring import WITHDRAWN, read_keyring, read_withdrawals_file
    from haywright.gate.seal.paper import check

    ring = read_keyring(keys_folder) if keys_folder is not None else None
    lists = [read_withdrawals_file(path) for path in withdrawn or ()]
    own_list = None if keys_folder is None else keys_folder / WITHDRAWN
    if own_list is not None and own_list.exists():
        lists.append(read_withdrawals_file(own_list))
    found = check(
        _text_of(paper), held={} if ring is None else ring.names, lists=lists, today=_today()
    )
    classes = _classes(animals or [])
    answer(checked_json(found, classes), checked_lines(found, classes), json=json, units=show)
    if found.record is None:
        raise typer.Exit(2)


def _text_of(paper: str) -> str:
    import sys

    from haywright.files.reading import FORM_BYTES, decode, read_bytes
    from haywright.gate.seal.paper import PREFIX

    if paper == "-":
        return decode(sys.stdin.buffer.read(FORM_BYTES), Path("-"))
    if paper.strip().upper().startswith(PREFIX):
        return paper
    path = Path(paper)
    return decode(read_bytes(path, FORM_BYTES), path)


def _classes(words: list[str]) -> tuple[str, ...]:
    from haywright.bunk.hazards.nitrate.lookup import classes_of
    from haywright.sources.animals import animals

    return tuple(dict.fromkeys(one for word in words for one in classes_of(animals(word))))


@command_errors
def withdraw_papers(
    keys_folder: Annotated[Path, typer.Argument(metavar="KEYS", help="Folder of your keys.")],
    serial: Annotated[list[str], typer.Argument(help="Numbers of the papers to withdraw.")],
    json: Json = False,
) -> None:
    """Withdraw papers: a sealed list of their numbers, to pass on to whoever has them."""
    from haywright.files.keyring import read_keyring, withdraw
    from haywright.measure.message import message

    path, found = withdraw(read_keyring(keys_folder), tuple(serial), today=_today())
    answer(
        {"file": str(path), "withdrawn": list(found.serials), "day": found.issued.isoformat()},
        [message("gate_seal.withdrawn_list", n=len(found.serials), path=str(path))],
        json=json,
    )
