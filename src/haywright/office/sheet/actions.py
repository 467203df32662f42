"""Writing sheets: every change of results is a new version, with what changed and why."""

from __future__ import annotations

import hashlib
import json
import math
import secrets
from collections.abc import Iterator
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.utils import timezone

from haywright.measure.errors import Refused
from haywright.measure.estimate import Estimate
from haywright.measure.estimate import State as How
from haywright.office.action import acting, listen
from haywright.office.ledger.chain import Deed
from haywright.office.people.actor import Actor
from haywright.office.people.models import Office
from haywright.office.people.policies import may_with
from haywright.office.sheet.models import Call, Note, ReadLink, Sheet, Version
from haywright.office.stack.models import Lot
from haywright.office.way.pure import Known, clean_feed_of, known
from haywright.way.lot import Sample

READ_DAYS = 90
# What a sheet keeps of its newest version.
_FOLLOWS = ("nitrate", "nitrate_state", "to_call", "to_explain", "interim", "written_at")


@listen("results.changed")
def write_versions(*, lot: Lot, deed: Deed, actor: Actor, reason: str) -> None:
    """A version more of each sheet of a lot whose results changed."""
    found = known(lot)
    for sample in found.samples:
        _write(lot, found, sample, deed, actor, reason)


def write_note(
    actor: Actor, sheet: Sheet, text: str, *, read: int | None = None, once: str = ""
) -> Note:
    """The educator's own words to this rancher.

    Parameters
    ----------
    actor, sheet
        Whose words, to whoever holds which sheet.
    text
        The words.
    read
        Number of the version that was read for them; an older one than the newest is refused.
    once
        So that a form sent twice is one note.
    """
    with acting(actor, "sheet.note", allowed=may_with(actor, "sheet.note", sheet), once=once) as d:
        _still_newest(sheet, read)
        if not text.strip():
            raise Refused("note", text, key="office.sheet.note")
        note = Note.objects.create(sheet=sheet, text=text.strip(), by=actor.person)  # type: ignore[misc]
        Sheet.objects.filter(pk=sheet.pk).update(to_explain=False)
        d.enter("note", note.pk, after={"text": note.text}, lot=sheet.lot_id)
    return note


def make_link(actor: Actor, sheet: Sheet, *, read: int | None = None, once: str = "") -> str:
    """A link by which anyone may read one sheet for a while; gives its secret, kept nowhere.

    Parameters
    ----------
    actor, sheet
        Who gives out which sheet.
    read
        Number of the version that was read before; an older one than the newest is refused.
    once
        So that a form sent twice is one link.
    """
    with acting(actor, "sheet.link", allowed=may_with(actor, "sheet.link", sheet), once=once) as d:
        _still_newest(sheet, read)
        secret = secrets.token_urlsafe(24)
        link = ReadLink.objects.create(
            sheet=sheet,
            digest=digest(secret),
            by=actor.person,  # type: ignore[misc]
            ends_at=timezone.now() + timedelta(days=READ_DAYS),
        )
        d.enter("link", link.pk, after={"ends_at": link.ends_at}, lot=sheet.lot_id)
    return secret


def withdraw_link(actor: Actor, link: ReadLink) -> None:
    """End a link by which a sheet was read.

    Parameters
    ----------
    actor
        Who ends it.
    link
        The link.
    """
    sheet = link.sheet
    with acting(actor, "sheet.link", allowed=may_with(actor, "sheet.link", sheet)) as deed:
        if link.withdrawn_at is None:
            link.withdrawn_at = deed.at
            link.save(update_fields=["withdrawn_at"])
            deed.enter("link", link.pk, after={"withdrawn": True}, lot=sheet.lot_id)


def note_call(
    actor: Actor,
    version: Version,
    called: str,
    *,
    reached: bool,
    at: datetime,
    said: str = "",
    once: str = "",
) -> Call:
    """Who was called about a nitrate over the office's line.

    Parameters
    ----------
    actor
        Who called.
    version
        The sheet's version the call was about; an older one than the newest is refused.
    called
        Whom.
    reached
        Whether they answered.
    at
        When.
    said
        What was said.
    once
        So that a form sent twice is one call.
    """
    allowed = may_with(actor, "sheet.call", version.sheet)
    with acting(actor, "sheet.call", allowed=allowed, once=once) as deed:
        _still_newest(version.sheet, version.number)
        if not called.strip():
            raise Refused("called", called, key="office.sheet.called")
        call = Call.objects.create(
            version=version,
            called=called.strip(),
            reached=reached,
            said=said,
            at=at,
            by=actor.person,  # type: ignore[misc]
        )
        newest = version.sheet.versions.latest("number")
        if reached and newest.pk == version.pk:
            Sheet.objects.filter(pk=version.sheet_id).update(to_call=False)
        after = {"called": call.called, "reached": reached}
        deed.enter("call", call.pk, after=after, lot=version.sheet.lot_id)
    return call


def digest(secret: str) -> str:
    """What is kept of a secret."""
    return hashlib.sha256(secret.encode()).hexdigest()


def _still_newest(sheet: Sheet, read: int | None) -> None:
    """Refuse a deed on a version that a newer one stands in place of."""
    newest = sheet.versions.order_by("number").values_list("number", flat=True).last()
    if read is not None and newest is not None and read != newest:
        raise Refused("version", read, str(newest), key="office.sheet.stale")


def _write(
    lot: Lot, found: Known, sample: Sample, deed: Deed, actor: Actor, reason: str
) -> Version | None:
    office = Office.objects.select_for_update().get(pk=deed.office.pk)
    sheet = Sheet.objects.filter(lot=lot, part=sample.part).first()
    if sheet is None:
        sheet = Sheet.objects.create(
            office=office, lot=lot, part=sample.part, number=office.next_sheet
        )
        office.next_sheet += 1
        office.save(update_fields=["next_sheet"])
    last = sheet.versions.order_by("-number").first()
    snapshot = snapshot_of(lot, found, sample)
    if last is not None and last.snapshot == snapshot:
        return None
    changes = list(_changes(last.snapshot if last else None, snapshot))
    nitrate = sample.results.get("nitrate_n")
    settled = nitrate is not None and nitrate.settled
    found_as = _known(nitrate.estimate) if nitrate is not None else None
    # a number somebody may have read already is amended, on a whole sheet or an interim one
    amended = last is not None and (not last.interim or _replaced(last.snapshot, snapshot))
    version = Version.objects.create(
        sheet=sheet,
        number=last.number + 1 if last else 1,
        interim=sample.sheet.interim,
        amended=amended,
        snapshot=snapshot,
        changes=changes,
        reason=reason or (deed.name if amended else ""),
        nitrate=found_as if settled else None,
        call=nitrate is not None and _over(nitrate.estimate, float(office.call_line)),
        by=actor.person,
        made_at=deed.at,
        digest=_digest(snapshot),
    )
    sheet.to_call, sheet.written_at, sheet.nitrate = version.call, version.made_at, found_as
    sheet.nitrate_state = nitrate.estimate.state.value if nitrate is not None else ""
    sheet.to_explain = not version.interim and not sheet.notes.exists()
    sheet.interim = version.interim
    sheet.save(update_fields=_FOLLOWS)
    after = {"sheet": sheet.number, "version": version.number, "digest": version.digest}
    deed.enter("sheet", sheet.pk, after=after, lot=lot.pk, reason=reason)
    return version


def _replaced(before: dict[str, Any], after: dict[str, Any]) -> bool:
    """Whether a measured number stands where another stood."""
    now = {one["analyte"]: one.get("value") for one in after["sheet"]["measured"]}
    return any(
        one.get("value") is not None and one["value"] != now.get(one["analyte"])
        for one in before["sheet"]["measured"]
    )


def _known(found: Estimate) -> Decimal | None:
    """What sorts a nitrate among others [mg/kg NO3-N of DM]; ``None`` for one that is held."""
    ends = {How.ABOVE: found.low, How.BETWEEN: found.high, How.BELOW: found.high}
    value = found.value if found.settled else ends.get(found.state, math.nan)
    return Decimal(repr(round(value, 4))) if math.isfinite(value) else None


def _over(found: Estimate, line: float) -> bool:
    """Whether a nitrate is over a line [mg/kg NO3-N of DM]; beyond the range it may be."""
    if found.settled:
        return found.value >= line
    return found.state in (How.ABOVE, How.BETWEEN) and found.high >= line


def snapshot_of(lot: Lot, found: Known, sample: Sample) -> dict[str, Any]:
    """Everything a version was made from and what came of it, as plain JSON.

    The inputs are there to work it out again; the sheet as it was worked out stands beside them.
    """
    bags = [str(bag.code) for bag in sample.bags]
    own = {bag.code: bag for bag in lot.bags.filter(code__in=bags)}
    return json.loads(  # type: ignore[no-any-return]
        json.dumps(
            {
                "lot": {"id": str(lot.pk), "facts": lot.facts, "ranch": str(lot.ranch_id or "")},
                "part": sample.part,
                "bags": {code: own[code].facts for code in bags},
                "office": {
                    name: getattr(found.office, name) for name in found.office.__dataclass_fields__
                },
                "ranch": {"name": lot.ranch.name, **lot.ranch.facts} if lot.ranch else None,
                "results": {
                    code: [one.to_json() for one in found.results[code].values()]
                    for code in (bags or [""])
                },
                "laboratory": ", ".join(found.laboratories),
                "clean_feed": clean_feed_of(lot, sample),
                "sheet": sample.sheet.to_json(),
            }
        )
    )


def _digest(snapshot: dict[str, Any]) -> str:
    text = json.dumps(snapshot, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _changes(before: dict[str, Any] | None, after: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Which numbers came, changed or went between two versions."""
    if before is None:
        return
    was, now = _numbers(before), _numbers(after)
    for name in {**was, **now}:
        (old, was_held), (new, now_held) = was.get(name, _NONE), now.get(name, _NONE)
        if (old, was_held) != (new, now_held):
            held = {"was_held": was_held, "now_held": now_held}
            yield {"quantity": name, "was": old, "now": new, **{k: v for k, v in held.items() if v}}


_NONE = (None, False)


def _numbers(snapshot: dict[str, Any]) -> dict[str, tuple[Any, bool]]:
    """Each number and whether it is held; one that is held has no value to give out."""
    sheet = snapshot["sheet"]
    rows = (*sheet["measured"], *sheet["derived"])
    return {
        one["analyte"]: (None, True) if one["state"] == How.HELD else (one.get("value"), False)
        for one in rows
    }
