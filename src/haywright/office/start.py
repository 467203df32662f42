"""The office's door for the command line: desk, server, ledger check, receiving, keeping copies.

Nothing here imports Django before :func:`ready` has said which office it is.
"""

from __future__ import annotations

import os
import secrets
import socket
import stat
import webbrowser
from collections.abc import Iterator, Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from haywright.measure.errors import HaywrightError, Problems, Refused
from haywright.measure.message import Message, message

if TYPE_CHECKING:
    from haywright.office.archive import Kept
    from haywright.office.people.models import Office, Person

DEMO_CODE = "SVH"
_TOLD, _LOCAL_TIME = os.environ.get("TZ", ""), Path("/etc/localtime")  # before Django sets its own
_SECRET = "secret"  # noqa: S105 - the name of a file
_DATABASE = "office.sqlite3"
_OURS_ALONE = stat.S_IRUSR | stat.S_IWUSR
_OFFICE_SETTINGS = ("DATABASE_URL", "HAYWRIGHT_HOSTS")
_NEEDED = {
    "HAYWRIGHT_SECRET": "no_secret",
    "HAYWRIGHT_HOSTS": "no_hosts",
    "DATABASE_URL": "no_database",
}


def is_desk(data: Path | None = None) -> bool:
    """Whether a command is meant for the desk: a folder is named, or no office's settings are."""
    return data is not None or not any(os.environ.get(name) for name in _OFFICE_SETTINGS)


def ready(data: Path | None = None, *, desk: bool, begun: bool = False) -> None:
    """Set Django up for the desk or for an office of many, once per process.

    Parameters
    ----------
    data
        Folder of the data; left out, the one the settings name, else the desk's own.
    desk
        Whether it is the desk.
    begun
        Whether an office must be kept there already; nothing is made where none is.

    Raises
    ------
    Refused, Problems
        The extra is not installed, the data folder cannot be written in, no office is kept
        there though one must be, or an office of many lacks a setting.
    """
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "haywright.office.settings")
    if data is not None:
        os.environ["HAYWRIGHT_DATA"] = str(data)
    try:
        import django
    except ImportError:
        raise Refused("office", "django", key="office.start.extra") from None
    if desk:
        _ready_desk()
    else:
        _all_there()
    folder = Path(os.environ.get("HAYWRIGHT_DATA") or default_folder())
    if begun and desk and not (folder / _DATABASE).is_file():
        raise _no_office(folder)
    _writable(folder)
    os.environ["HAYWRIGHT_DATA"] = str(folder)
    if desk:
        # In the environment, because the processes that serve read it there.
        os.environ["HAYWRIGHT_SECRET"] = _kept_secret(folder)
    (folder / "static").mkdir(exist_ok=True)
    django.setup()
    if begun:
        _an_office(folder)


def _ready_desk() -> None:
    os.environ["HAYWRIGHT_DESK"] = "1"
    for name in ("DATABASE_URL", "HAYWRIGHT_SECRET", "HAYWRIGHT_SECRET_FILE"):
        os.environ.pop(name, None)


def _no_office(folder: Path) -> Refused:
    return Refused("--data", folder, key="office.start.no_office")


def _an_office(folder: Path) -> None:
    """Refuse where the database holds no office, before a table is made in it."""
    from django.db import OperationalError, connection

    from haywright.office.people.models import Office

    try:
        tables = connection.introspection.table_names()
    except OperationalError as error:
        raise _no_answer(error) from None
    if Office._meta.db_table not in tables or not Office.objects.exists():  # noqa: SLF001
        raise _no_office(folder)


def _writable(folder: Path) -> None:
    from haywright.office.checks import folder_writable

    if not folder_writable(folder):
        raise Refused("HAYWRIGHT_DATA", folder, key="office.start.not_writable", folder=str(folder))
    if default_folder() in folder.parents:
        default_folder().mkdir(stat.S_IRWXU, parents=True, exist_ok=True)
    folder.mkdir(stat.S_IRWXU, parents=True, exist_ok=True)


def _keep_to_ourselves() -> None:
    """Have the files of a desk's database be nobody's but their owner's, as the secret is.

    What stands there already as somebody else's stays as it is; SQLite gives the files beside
    its database the mode of the database.
    """
    from django.db import connection

    if os.name != "posix" or connection.vendor != "sqlite":
        return
    path = Path(connection.settings_dict["NAME"])
    with suppress(FileExistsError):
        os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, _OURS_ALONE))
    for beside in ("", "-wal", "-shm"):
        one = path.with_name(path.name + beside)
        if one.exists() and one.stat().st_uid == os.getuid():
            one.chmod(_OURS_ALONE)


def _all_there() -> None:
    """Refuse an office of many whose settings are not complete, every missing one named."""
    file = os.environ.get("HAYWRIGHT_SECRET_FILE", "")
    if file and not Path(file).is_file():
        raise Refused("HAYWRIGHT_SECRET_FILE", file, key="office.start.no_file")
    problems = [
        Refused(name, "", key=f"office.start.{key}")
        for name, key in _NEEDED.items()
        if not os.environ.get(name) and not (name == "HAYWRIGHT_SECRET" and file)
    ]
    if problems:
        raise problems[0] if len(problems) == 1 else Problems(problems)


def default_folder() -> Path:
    """Where the desk keeps its data."""
    base = os.environ.get("XDG_DATA_HOME") or os.environ.get("LOCALAPPDATA")
    return (Path(base) if base else Path.home() / ".local" / "share") / "haywright"


def _kept_secret(folder: Path) -> str:
    path = folder / _SECRET
    if not path.is_file():
        with os.fdopen(
            os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, _OURS_ALONE), "w"
        ) as out:
            out.write(secrets.token_urlsafe(64))
    return path.read_text("utf-8").strip()


def migrate() -> None:
    """Bring the database up to this version.

    Raises
    ------
    Refused
        The database cannot be reached.
    """
    from django.core.management import call_command
    from django.db import OperationalError

    _keep_to_ourselves()
    try:
        call_command("migrate", verbosity=0, interactive=False)
        call_command("createcachetable", verbosity=0)
    except OperationalError as error:
        raise _no_answer(error) from None


def _no_answer(error: Exception) -> Refused:
    said = str(error).strip().splitlines()
    return Refused("DATABASE_URL", said[0] if said else "", key="office.start.no_answer")


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

    Raises
    ------
    Refused
        The port is taken, or the folder holds an office of its own where the demo was asked.
    """
    chosen = _port(port)
    migrate()
    person, office = desk_person(demo=demo)
    from haywright.office.people.links import make_link

    address = f"http://127.0.0.1:{chosen}/in/{make_link(person)}/"
    yield message("office.start.open", office=office.name, address=address)
    if browser:
        webbrowser.open(address)
    serve("127.0.0.1", chosen, workers=1)


def desk_person(*, demo: bool = False) -> tuple[Person, Office]:
    """Whoever sits at the desk, and the office; both are made the first time."""
    from django.db import transaction

    from haywright.office.people.models import Membership, Office, Person

    office = Office.objects.order_by("made_at").first()
    member = Membership.objects.filter(office=office).order_by("made_at", "id").first()
    if office is not None and member is not None:
        if demo and office.code != DEMO_CODE:
            raise Refused("--demo", office.name, key="office.start.not_the_demo")
        return member.person, office
    with transaction.atomic():
        return _first_person(Person, demo=demo)


def _first_person(people: type[Person], *, demo: bool) -> tuple[Person, Office]:
    from haywright.office.demo import bring_demo
    from haywright.office.ledger.chain import Deed
    from haywright.office.people.models import Membership, Office, Role

    office = Office.objects.create(**_told(demo=demo))
    person = people.objects.create_user(None, name="Desk", units=office.units)
    for role in Role.values:
        if role != Role.RANCHER:
            Membership.objects.create(person=person, office=office, role=role)
    if demo:
        deed = Deed(office, "office.begin", person.pk)
        deed.enter("office", office.pk, after={"name": office.name, "code": office.code})
        bring_demo(office, person)
    return person, office


def _told(*, demo: bool) -> dict[str, Any]:
    from haywright.files.office import demo_folder, read_office

    zone = {"time_zone": _machine_zone()}
    if not demo:
        return {"name": "Hay office", "code": "HAY", **zone}
    pure = read_office(demo_folder()).office
    names = ("name", "phone", "call_name", "call_phone", "guide", "units", "paper", "currency")
    return {"code": DEMO_CODE, **zone, **{name: getattr(pure, name) for name in names}}


def _machine_zone() -> str:
    """The time zone this machine is set to; UTC where it does not say."""
    from haywright.office.people.offices import time_zones

    name = (_TOLD.removeprefix(":") or str(_LOCAL_TIME.resolve())).rpartition("zoneinfo/")[2]
    return name if name in time_zones() else "UTC"


def _port(wanted: int) -> int:
    """The port wanted, or a free one; refused where something else answers on it."""
    with socket.socket() as held:
        held.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            held.bind(("127.0.0.1", wanted))
        except (OSError, OverflowError):
            raise Refused("--port", wanted, key="office.start.port") from None
        return int(held.getsockname()[1])


def open_office(address: str, port: int, *, workers: int) -> Iterator[Message]:
    """An office of many: everything made ready, then served until it is stopped.

    Raises
    ------
    Problems
        A setting is wrong.
    """
    from django.conf import settings

    from haywright.office import checks
    from haywright.office.people.models import Membership

    wrong = [HaywrightError(one) for _, one in checks.found()]
    if wrong:
        raise Problems(wrong)
    migrate()
    yield message(
        "office.start.serves", hosts=tuple(settings.ALLOWED_HOSTS), at=f"{address}:{port}"
    )
    if not Membership.objects.exists():
        yield message("office.start.nobody")
    serve(address, port, workers=workers)


def begin(name: str, code: str, email: str) -> str:
    """An office of many with its first admin asked to join; gives the invitation's address."""
    from django.conf import settings
    from django.urls import reverse

    from haywright.office.people.offices import begin_office

    migrate()
    _, secret = begin_office(name, code.upper(), email)
    way = "https" if settings.HTTPS else "http"
    host = next((one for one in settings.ALLOWED_HOSTS if "*" not in one), "localhost")
    return f"{way}://{host.lstrip('.')}{reverse('join', args=[secret])}"


def receive(paths: Sequence[Path], email: str) -> list[dict[str, Any]]:
    """Take in what the bench wrote, all files or none.

    Parameters
    ----------
    paths
        Files as ``haywright bench run`` writes them.
    email
        As whom; left empty, as whoever sits at the desk.
    """
    from django.db import DataError

    from haywright.office.bench.actions import receive_results
    from haywright.office.bench.reports import no_report, read_reports
    from haywright.office.people.actor import actor_of

    reports, once = read_reports(paths)
    migrate()
    try:
        batches = receive_results(actor_of(_person(email)), reports, once=once)
    except DataError as error:
        raise no_report(paths[0], "no_report") from error
    return [
        {"batch": one.name, "determination": one.determination, "held": one.held,
         "results": one.results.count()}
        for one in batches
    ]  # fmt: skip


def _person(email: str) -> Person:
    from django.conf import settings

    from haywright.office.people.models import Person

    if not email:
        if not settings.DESK:
            raise Refused("--as", "", key="office.receive.as")
        return desk_person()[0]
    found = Person.objects.filter(email=email.lower(), is_active=True).first()
    if found is None:
        raise Refused("--as", email, key="office.receive.nobody")
    return found


def backup(path: Path) -> Kept:
    """A copy of everything in one file, while the office goes on."""
    from haywright.office.archive import write_archive

    migrate()
    return write_archive(path)


def restore(path: Path) -> Kept:
    """Bring such a copy into an empty office, checked."""
    from haywright.office.restoring import restore_archive

    migrate()
    return restore_archive(path)


def no_folder(field: str, paths: Sequence[Path]) -> None:
    """Refuse a folder where a file is meant.

    Parameters
    ----------
    field
        How the command calls it.
    paths
        What was named.
    """
    folders = [Refused(field, one, key="office.is_folder") for one in paths if one.is_dir()]
    if folders:
        raise folders[0] if len(folders) == 1 else Problems(folders)


def check_ledgers() -> list[dict[str, Any]]:
    """For every office, how long its ledger is and where it does not hold."""
    from haywright.office.ledger.chain import check
    from haywright.office.people.models import Office

    migrate()
    return [
        {"office": one.name, "code": one.code, "entries": one.entries.count(),
         "broken": list(check(one))}
        for one in Office.objects.order_by("code")
    ]  # fmt: skip


def serve(address: str, port: int, *, workers: int) -> None:
    """Serve until stopped."""
    from django.conf import settings
    from granian.constants import Interfaces
    from granian.server import Server

    certificate = Path(settings.CERTIFICATE) if settings.CERTIFICATE else None
    Server(
        "haywright.office.wsgi:application",
        address=address,
        port=port,
        interface=Interfaces.WSGI,
        workers=workers,
        blocking_threads=4,
        log_access=False,
        log_enabled=False,
        ssl_cert=certificate,
        ssl_key=Path(settings.CERTIFICATE_KEY) if certificate else None,
    ).serve()
