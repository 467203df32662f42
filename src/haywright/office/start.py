"""The office's door for the command line: desk, server, ledger check, receiving, keeping copies.

Nothing here imports Django before :func:`ready` has said which office it is.
"""

from __future__ import annotations

import os
import secrets
import socket
import webbrowser
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from haywright.measure.errors import Refused
from haywright.measure.message import Message, message

if TYPE_CHECKING:
    from haywright.office.people.models import Office, Person

_MOST_BYTES = 20_000_000
_SECRET = "secret"  # noqa: S105 - the name of a file


def ready(data: Path | None = None, *, desk: bool) -> None:
    """Set Django up for the desk or for an office of many, once per process."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "haywright.office.settings")
    if data is not None:
        os.environ["HAYWRIGHT_DATA"] = str(data)
    if desk:
        os.environ["HAYWRIGHT_DESK"] = "1"
        folder = Path(os.environ.get("HAYWRIGHT_DATA") or default_folder())
        os.environ["HAYWRIGHT_DATA"] = str(folder)
        os.environ.setdefault("HAYWRIGHT_SECRET", _kept_secret(folder))
    try:
        import django
    except ImportError:
        raise Refused("office", "django", key="office.start.extra") from None

    from django.conf import settings

    django.setup()
    Path(settings.DATA).mkdir(parents=True, exist_ok=True)
    Path(settings.STATIC_ROOT).mkdir(parents=True, exist_ok=True)


def default_folder() -> Path:
    """Where the desk keeps its data."""
    base = os.environ.get("XDG_DATA_HOME") or os.environ.get("LOCALAPPDATA")
    return (Path(base) if base else Path.home() / ".local" / "share") / "haywright"


def _kept_secret(folder: Path) -> str:
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / _SECRET
    if not path.is_file():
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as out:
            out.write(secrets.token_urlsafe(64))
    return path.read_text("utf-8").strip()


def migrate() -> None:
    """Bring the database up to this version."""
    from django.core.management import call_command

    call_command("migrate", verbosity=0, interactive=False)
    call_command("createcachetable", verbosity=0)


def open_desk(*, demo: bool, port: int, browser: bool) -> Iterator[Message]:
    """One person on one machine: everything made ready, then served until it is stopped.

    Parameters
    ----------
    demo
        Whether the demo's scenario is in it.
    port
        Port on this machine; 0 takes a free one.
    browser
        Whether a browser is opened.
    """
    migrate()
    person, office = _desk_person(demo=demo)
    from haywright.office.people.links import make_link

    chosen = port or _free_port()
    address = f"http://127.0.0.1:{chosen}/in/{make_link(person)}/"
    yield message("office.start.open", office=office.name, address=address)
    if browser:
        webbrowser.open(address)
    serve("127.0.0.1", chosen, workers=1)


def _desk_person(*, demo: bool) -> tuple[Person, Office]:
    from haywright.office.demo import bring_demo
    from haywright.office.people.models import Membership, Office, Person, Role

    code = "SVH" if demo else "HAY"
    office = Office.objects.order_by("made_at").first()
    person = Person.objects.order_by("made_at").first()
    if office is None or person is None:
        from haywright.files.office import demo_folder, read_office

        told: dict[str, Any] = {"name": "Hay office", "code": code}
        if demo:
            pure = read_office(demo_folder()).office
            told = {
                name: getattr(pure, name)
                for name in ("name", "code", "phone", "call_name", "call_phone", "guide", "units",
                             "paper", "currency")
            }  # fmt: skip
        office = Office.objects.create(**told)
        person = Person.objects.create_user(None, name="Desk", units=office.units)
        for role in Role.values:
            if role != Role.RANCHER:
                Membership.objects.create(person=person, office=office, role=role)
        if demo:
            bring_demo(office, person)
    return person, office


def _free_port() -> int:
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        return int(held.getsockname()[1])


def serve(address: str, port: int, *, workers: int) -> None:
    """Serve until stopped."""
    from granian.constants import Interfaces
    from granian.server import Server

    Server(
        "haywright.office.wsgi:application",
        address=address,
        port=port,
        interface=Interfaces.WSGI,
        workers=workers,
        blocking_threads=4,
        log_access=False,
        log_enabled=False,
    ).serve()


def desk_is_there() -> bool:
    """Whether the desk's data lie in the usual folder and no other database is named."""
    return not os.environ.get("DATABASE_URL") and (default_folder() / "office.sqlite3").is_file()


def receive(paths: list[Path]) -> list[str]:
    """Take in batch reports; gives the names of their batches.

    Raises
    ------
    Refused, Problems
        Everything that is wrong with the files; nothing is written then.
    """
    import json

    from haywright.files.reading import read_bytes
    from haywright.office.bench.actions import receive_results
    from haywright.office.people.actor import actor_of
    from haywright.office.people.models import Membership, Role

    reports = []
    for path in paths:
        try:
            held = json.loads(read_bytes(path, _MOST_BYTES))
        except ValueError:
            raise Refused("file", path, key="office.start.not_results") from None
        if not isinstance(held, dict) or not {"batch", "results", "decision"} <= held.keys():
            raise Refused("file", path, key="office.start.not_results")
        reports.append(held)
    member = Membership.objects.filter(role=Role.LAB_MANAGER).order_by("made_at").first()
    if member is None:
        raise Refused("person", "", key="office.start.no_manager")
    actor = actor_of(member.person, str(member.office_id))
    return [one.name for one in receive_results(actor, reports)]


def check_ledgers() -> list[tuple[str, int, list[Message]]]:
    """Office by office: its name, how many entries, and what does not hold."""
    from haywright.office.ledger.chain import check
    from haywright.office.ledger.models import Entry
    from haywright.office.people.models import Office

    return [
        (one.name, Entry.objects.filter(office=one).count(), list(check(one)))
        for one in Office.objects.order_by("made_at")
    ]
