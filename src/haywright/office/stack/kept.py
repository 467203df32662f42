"""Photos of a lot and the paper it was bought with: a row and its file, both or neither."""

from __future__ import annotations

from pathlib import Path

from haywright.measure.errors import Refused
from haywright.office.action import acting
from haywright.office.people.actor import Actor
from haywright.office.people.policies import may_with
from haywright.office.stack.models import Lot, Photo

KINDS = {b"\xff\xd8\xff": "jpeg", b"\x89PNG\r\n\x1a\n": "png"}
MOST_BYTES = 12_000_000
TYPES = {"jpeg": "image/jpeg", "png": "image/png", "webp": "image/webp", "pdf": "application/pdf"}


def keep_photo(
    actor: Actor,
    lot: Lot,
    data: bytes,
    says: str,
    *,
    folder: Path,
    paper: bool = False,
    once: str = "",
) -> Photo:
    """Keep a photo of a lot, or the seller's paper.

    Parameters
    ----------
    actor, lot
        Who keeps it, of which lot.
    data
        JPEG, PNG or WebP; for a paper PDF too.
    says
        What it shows, for who cannot see it.
    folder
        Where its file goes, under the photo's key.
    paper
        Whether it is the seller's paper.
    once
        So that a form sent twice is one photo.
    """
    allowed = may_with(actor, "lot.photo", lot)
    with acting(actor, "lot.paper" if paper else "lot.photo", allowed=allowed, once=once) as deed:
        kind = kind_of(data, paper=paper)
        if kind is None or len(data) > MOST_BYTES:
            raise refused(len(data), paper=paper)
        photo = Photo.objects.create(
            lot=lot,
            kind=kind,
            size=len(data),
            says=says.strip() or lot.name,
            paper=paper,
            by=actor.person,
        )
        deed.enter("photo", photo.pk, after={"says": photo.says, "kind": kind}, lot=lot.pk)
        _write(path_of(photo, folder), data)
    return photo


def kind_of(data: bytes, *, paper: bool = False) -> str | None:
    """What a file is by its first bytes; ``None`` for anything that is not kept."""
    if paper and data.startswith(b"%PDF-"):
        return "pdf"
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "webp"
    return next((kind for start, kind in KINDS.items() if data.startswith(start)), None)


def refused(size: int, *, paper: bool = False) -> Refused:
    """The refusal of a file of a size [bytes]."""
    key = "office.lot.paper.kind" if paper else "office.lot.photo.kind"
    return Refused("photo", size, str(MOST_BYTES), key=key)


def path_of(photo: Photo, folder: Path) -> Path:
    """Where the file of a photo lies."""
    return folder / f"{photo.pk}.{photo.kind}"


def _write(path: Path, data: bytes) -> None:
    """The file whole or not at all; a failure undoes the row too."""
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        path.write_bytes(data)
    except BaseException:
        path.unlink(missing_ok=True)
        raise
