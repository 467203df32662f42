"""Operations of the sheet: its versions and numbers, decisions, notes, links and calls."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any

from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone
from ninja import Field, Path, Query, Router, Schema, Status

from haywright.measure.result import Result
from haywright.office.api.decisions import Asked, DecisionList, DecisionOut, asked_of, decision_out
from haywright.office.api.door import asked, done, once_in
from haywright.office.api.kinds import Instant, Key, Measured, Quantity, Sent, Yes, measured, when
from haywright.office.api.problems import reader_for
from haywright.office.api.stack import MADE, lot_of, paged
from haywright.office.sheet import actions
from haywright.office.sheet.models import Sheet, Version
from haywright.office.sheet.queries import sheets, version_of
from haywright.office.sheet.shown import Shown, shown
from haywright.office.stack.views import pdf
from haywright.office.web.pages import actor_in, found
from haywright.paper.speaker import Speaker

sheet = Router(tags=["sheet"])
READ, WRITE = "sheet:read", "sheet:write"
PDF = "application/pdf"
Number = Annotated[int, Query(ge=0, le=1_000_000, description="0 or left out: the newest.")]


class SheetOut(Schema):
    """Which sheet of which lot."""

    id: Key
    number: int
    lot: Key
    part: str = Field(description='Part of the field; "" for the whole lot.')
    newest: int = Field(description="Number of its newest version.")
    nitrate: Quantity = Field(
        description="What the newest version found; null where it is held, beyond the range of the "
        "method, or not there yet: the version says which."
    )
    note: str = Field(description="The educator's own words to this rancher.")

    @staticmethod
    def resolve_lot(row: Any) -> Any:
        """Key of the lot."""
        return row.lot_id

    @staticmethod
    def resolve_newest(row: Any) -> Any:
        """Number of the newest version."""
        return max((one.number for one in row.versions.all()), default=0)

    @staticmethod
    def resolve_nitrate(row: Any) -> dict[str, Any]:
        """The nitrate of the newest version, where it is an ordinary number."""
        newest = max(row.versions.all(), key=lambda one: one.number, default=None)
        found = None if newest is None or newest.nitrate is None else float(newest.nitrate)
        return {"value": found, "unit": "mg/kg NO3-N", "basis": "dry matter"}

    @staticmethod
    def resolve_note(row: Any) -> str:
        """The newest note."""
        return next((one.text for one in row.notes.all()), "")


class SheetPage(Schema):
    """Sheets, newest first; ``after`` begins the next page and is "" at the end."""

    items: list[SheetOut]
    after: str


class Changed(Schema):
    """A number that came, changed or went with a version, in its canonical unit."""

    quantity: str
    was: float | None = Field(description="Null where there was none, or it was held back.")
    now: float | None = Field(description="Null where there is none, or it is held back.")
    was_held: bool = Field(
        default=False, description="Whether a failed control held it back before."
    )
    now_held: bool = Field(default=False, description="Whether a failed control holds it back.")
    unit: str
    basis: str


class Listed(Schema):
    """A version in the list of a sheet's versions."""

    number: int
    interim: bool
    amended: bool
    reason: str
    made_at: datetime
    digest: str
    changes: list[Changed]


class VersionList(Schema):
    """Versions of a sheet, newest first."""

    items: list[Listed]


class VersionOut(Schema):
    """One frozen version of a sheet, with its numbers."""

    number: int
    interim: bool
    amended: bool
    reason: str
    made_at: datetime
    digest: str = Field(description="SHA-256 of the snapshot, keys sorted, without spaces.")
    numbers: list[Measured]
    pending: list[str] = Field(description="Quantities that are still to come.")
    differs: list[str] = Field(description="Quantities that come out otherwise today.")
    remarks: list[str]
    snapshot: dict[str, Any] = Field(description="Everything it was made from, as frozen.")


class Note(Sent):
    """The educator's own words to this rancher."""

    text: str = Field(min_length=1, max_length=4000)


class LinkOut(Schema):
    """A link by which anyone may read one sheet; ``address`` is told once, when it is made."""

    id: Key
    ends_at: datetime
    address: str


class LinkList(Schema):
    """Links by which the sheet can be read still."""

    items: list[LinkOut]


class Called(Sent):
    """Who was called about a high nitrate."""

    called: str = Field(min_length=1, max_length=120)
    reached: Yes
    at: Instant
    said: str = Field("", max_length=500)


class CallOut(Schema):
    """A call, as it was written down."""

    id: Key
    called: str
    reached: bool
    at: datetime
    said: str


def _sheets(request: HttpRequest) -> Any:
    return sheets(request).prefetch_related("versions", "notes")


def sheet_of(request: HttpRequest, key: Any) -> Sheet:
    """The sheet of a key, if it is the person's to see."""
    return found(sheets(request), pk=key)  # type: ignore[no-any-return]


def _version(request: HttpRequest, key: Any, number: int) -> Version:
    return version_of(sheet_of(request, key), str(number) if number else "")


@asked(sheet, "/sheets", SheetPage, READ, "sheet.see")
def sheets_list(request: HttpRequest, lot: Key | None = None, after: Key | None = None) -> Any:
    """Test sheets, newest first."""
    rows = _sheets(request)
    return paged(rows.filter(lot=lot_of(request, lot)) if lot else rows, after)


@asked(sheet, "/sheets/{key}", SheetOut, READ, "sheet.see")
def sheet_get(request: HttpRequest, key: Key) -> Any:
    """One test sheet."""
    return found(_sheets(request), pk=key)


@asked(sheet, "/sheets/{key}/versions", VersionList, READ, "sheet.see")
def sheet_versions(request: HttpRequest, key: Key) -> Any:
    """The versions of a sheet, with what changed and why."""
    rows = sheet_of(request, key).versions.order_by("-number")
    return {"items": [{**_listed(one), "changes": list(_changes(one))} for one in rows]}


@asked(sheet, "/sheets/{key}/versions/{number}", VersionOut, READ, "sheet.see")
def sheet_version(
    request: HttpRequest, key: Key, number: Annotated[int, Path(ge=0, le=1_000_000)]
) -> Any:
    """One version of a sheet, as it was frozen; 0 for the newest."""
    one = _version(request, key, number)
    seen, words = shown(one), Speaker(reader_for(request))
    whole = seen.sample.sheet
    rows = [*whole.measured.values(), *whole.derived.values()]
    return {
        **_listed(one),
        "numbers": [told(row, words, whole.choices.confidence) for row in rows],
        "pending": list(whole.pending),
        "differs": list(seen.differs),
        "remarks": [words.said(said) for said in whole.remarks],
        "snapshot": one.snapshot,
    }


def _listed(one: Version) -> dict[str, Any]:
    names = ("number", "interim", "amended", "reason", "made_at", "digest")
    return {name: getattr(one, name) for name in names}


def _changes(one: Version) -> Any:
    held = one.snapshot["sheet"]
    rows = {row["analyte"]: row for row in (*held["measured"], *held["derived"])}
    for change in one.changes:
        row = rows.get(change["quantity"], {})
        yield {**change, "unit": row.get("unit", ""), "basis": row.get("basis", "")}


def told(one: Result, words: Speaker, confidence: float) -> dict[str, Any]:
    """A result with its unit, its basis and its doubt.

    Parameters
    ----------
    one
        The result.
    words
        The reader's.
    confidence
        Of the range beside it [0 to 1].
    """
    return measured(
        one.analyte,
        words.name(one.analyte),
        one.estimate,
        unit=one.unit,
        basis=one.basis,
        likely=confidence,
        form=one.form.value if one.form else "",
        kind=one.kind.value,
        equation=one.equation,
        laboratory=one.laboratory,
        report=one.report,
        dated=one.dated or None,
    )


@asked(sheet, "/sheets/{key}/decisions", DecisionList, READ, "sheet.see")
def sheet_decisions(request: HttpRequest, key: Key, version: Number = 0) -> Any:
    """May it be fed: the decision for each group of the ranch."""
    seen, words = shown(_version(request, key, version)), Speaker(reader_for(request))
    rows = enumerate(seen.decisions)
    return {"items": [decision_out(seen, one, at, words) for at, one in rows]}


@asked(sheet, "/sheets/{key}/decision", DecisionOut, READ, "sheet.see")
def sheet_decision(request: HttpRequest, key: Key, whom: Query[Asked], version: Number = 0) -> Any:
    """May it be fed, for one group of the ranch or for any animals."""
    seen, words = shown(_version(request, key, version)), Speaker(reader_for(request))
    group, decision = asked_of(seen, whom)
    return decision_out(seen, decision, group, words)


@asked(sheet, "/sheets/{key}/sheet.pdf", PDF, READ, "sheet.see", pdf=True)
def sheet_pdf(request: HttpRequest, key: Key, version: Number = 0) -> Any:
    """The test sheet on paper."""
    from haywright.paper.typeset import set_pdf

    one = _version(request, key, version)
    data = shown(one).sheet(reader_for(request))
    return pdf(set_pdf("test_sheet", data), f"test-sheet-{one.sheet.number}-{one.number}")


@asked(sheet, "/sheets/{key}/decision.pdf", PDF, READ, "sheet.see", pdf=True)
def decision_pdf(request: HttpRequest, key: Key, whom: Query[Asked], version: Number = 0) -> Any:
    """A decision on paper."""
    from haywright.paper.typeset import set_pdf

    seen: Shown = shown(_version(request, key, version))
    data = seen.decision(asked_of(seen, whom)[1], reader_for(request))
    return pdf(set_pdf("decision", data), f"decision-{seen.version.sheet.number}")


@done(sheet, "/sheets/{key}/notes", SheetOut, WRITE, "sheet.note", made=True)
def sheet_note(request: HttpRequest, key: Key, sent: Note) -> Any:
    """Keep the educator's words to this rancher."""
    held = sheet_of(request, key)
    actions.write_note(actor_in(request), held, sent.text, once=once_in(request))
    return Status(MADE, found(_sheets(request), pk=key))


@done(sheet, "/sheets/{key}/links", LinkOut, WRITE, "sheet.link", made=True, body=False)
def link_make(request: HttpRequest, key: Key) -> Any:
    """Make a link by which anyone may read this sheet for a while."""
    held = sheet_of(request, key)
    secret = actions.make_link(actor_in(request), held, once=once_in(request))
    link = held.links.get(digest=actions.digest(secret))
    address = request.build_absolute_uri(reverse("read", args=[secret]))
    return Status(MADE, {"id": link.pk, "ends_at": link.ends_at, "address": address})


@asked(sheet, "/sheets/{key}/links", LinkList, READ, "sheet.link")
def links_list(request: HttpRequest, key: Key) -> Any:
    """Links by which the sheet can be read still; their addresses are kept nowhere."""
    rows = sheet_of(request, key).links
    live = rows.filter(withdrawn_at__isnull=True, ends_at__gt=timezone.now()).order_by("-id")
    return {"items": [{"id": one.pk, "ends_at": one.ends_at, "address": ""} for one in live]}


@done(sheet, "/sheets/{key}/links/{link}", LinkOut, WRITE, "sheet.link", method="delete",
      body=False)  # fmt: skip
def link_end(request: HttpRequest, key: Key, link: Key) -> Any:
    """End a link by which the sheet was read."""
    held = found(sheet_of(request, key).links.all(), pk=link)
    actions.withdraw_link(actor_in(request), held)
    return {"id": held.pk, "ends_at": held.ends_at, "address": ""}


@done(sheet, "/sheets/{key}/calls", CallOut, WRITE, "sheet.call", made=True)
def sheet_call(request: HttpRequest, key: Key, sent: Called) -> Any:
    """Write down a call about a high nitrate; it is about the newest version."""
    made = actions.note_call(
        actor_in(request),
        _version(request, key, 0),
        sent.called,
        reached=sent.reached,
        at=when("at", sent.at),
        said=sent.said,
        once=once_in(request),
    )
    return Status(MADE, made)
