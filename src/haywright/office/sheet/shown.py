"""A frozen version made into what page and paper show: worked out again from what was frozen.

Should the program work it out differently today, the frozen numbers are what the page says
differ; nothing changes silently.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from haywright.bunk.ranch import FeedingGroup
from haywright.files.ranches import ranch_of
from haywright.files.reading import Checked
from haywright.measure.message import Message, message
from haywright.measure.register import get
from haywright.measure.result import Result, Results
from haywright.office.people.policies import MAY
from haywright.office.sheet.models import Note, Sheet, Version
from haywright.office.way.pure import Known, assemble, bag_from_facts, lot_from_facts
from haywright.paper.decision_paper import decision_data, narrow_hill
from haywright.paper.issue import Issue
from haywright.paper.sheet_paper import About, Opening, Said, sheet_data
from haywright.paper.speaker import DAGGER, Speaker
from haywright.paper.tokens import PRINT, Palette
from haywright.paper.verdict_matter import opening_of
from haywright.sheet.families import family
from haywright.way.lot import Decision, Sample
from haywright.way.office import Office
from haywright.words import Reader


@dataclass(frozen=True)
class Shown:
    """One version: the sample, the verdicts, and what is said of them.

    Parameters
    ----------
    version
        The frozen version.
    sample
        Its sample, worked out again.
    decisions
        The verdict for each group of the ranch.
    about
        Which sheet of which hay.
    differs
        Quantities that come out differently today, or by another equation that was asked for.
    known
        All that is known of the lot.
    asked
        Whether another TDN equation was asked for.
    """

    version: Version
    sample: Sample
    decisions: list[Decision]
    about: About
    differs: tuple[str, ...]
    known: Known
    asked: bool = False

    def sheet(self, reader: Reader, palette: Palette = PRINT) -> dict[str, Any]:
        """The test sheet as page and paper take it, with what is said of it today."""
        about = replace(
            self.about,
            issue=issue_of(self.version),
            said=_said(self.version),
            aside=self._aside(Speaker(reader)),
        )
        return sheet_data(self.sample.sheet, about, self.opening(reader), reader, palette)

    def _aside(self, words: Speaker) -> str:
        """What is worked out another way here than when the sheet was written."""
        now = self.sample.sheet.get("tdn")
        if not self.asked or now is None:
            if not self.differs:
                return ""
            return words("paper.aside.differs", what=tuple(map(words.name, self.differs)))
        frozen = self.version.snapshot["sheet"]["derived"]
        written: dict[str, Any] = next((one for one in frozen if one["analyte"] == "tdn"), {})
        if written.get("equation", "") == now.equation:
            return ""
        said = words("paper.aside.tdn", equation=words.equation(now.equation))
        recalled = get(now.equation).recalled
        return f"{said} {words('paper.recalled', mark=DAGGER)}" if recalled else said

    def opening(self, reader: Reader) -> Opening:
        """What stands first: the verdict for the first group."""
        return opening_of(self.decisions[0].verdict, reader)

    def decide(self, group: FeedingGroup, *, assumed_feed: float | None = None) -> Decision:
        """The verdict for any animals.

        Parameters
        ----------
        group
            Who eats it.
        assumed_feed
            Nitrate of the rest of their feed as a person says it [mg/kg NO3-N of DM].
        """
        clean = self.version.snapshot["clean_feed"]
        return self.known.decide(self.sample, group, clean, assumed_feed=assumed_feed)

    def decision(
        self, decision: Decision, reader: Reader, palette: Palette = PRINT
    ) -> dict[str, Any]:
        """A nitrate decision as page and paper take it."""
        return decision_data(decision.verdict, self.about, reader, palette)

    def narrow(self, decision: Decision, reader: Reader, palette: Palette) -> dict[str, Any] | None:
        """The bales of a decision as a hill, drawn for a phone."""
        return narrow_hill(decision.verdict, Speaker(reader, palette))


def tdn_asked(asked: Mapping[str, str]) -> str:
    """The TDN equation asked for in an address; "" for none, or for one there is not."""
    name = asked.get("tdn", "")
    return name if name in {one.name for one in family("tdn").methods} else ""


@lru_cache(maxsize=128)
def shown(version: Version, *, tdn: str = "") -> Shown:
    """Work a frozen version out again; as it is frozen, once is enough.

    Parameters
    ----------
    version
        The frozen version.
    tdn
        Name of another TDN equation to work it out by; "" for the one it was written with.
    """
    held = version.snapshot
    sheet = version.sheet
    lot = lot_from_facts(held["lot"]["facts"], str(sheet.lot.number), held["lot"]["ranch"])
    bags = [bag_from_facts(code, {**facts, "lot": lot.id}) for code, facts in held["bags"].items()]
    ranch = held["ranch"]
    known = assemble(
        Office(**held["office"] | ({"tdn_method": tdn} if tdn else {})),
        ranch_of(Checked(ranch, ""), held["lot"]["ranch"])
        if ranch and ranch.get("group")
        else None,
        lot,
        bags,
        {code: _results(one) for code, one in held["results"].items()},
    )
    sample = next(one for one in known.samples if one.part == held["part"])
    about = About(
        office=known.office,
        lot=str(sheet.lot.number),
        lot_name=lot.name,
        ranch=ranch["name"] if ranch else "",
        number=sheet.number,
        released=version.sheet.office.day_of(version.made_at),
        bag=sample.bags[0] if sample.bags else None,
        bales=sample.bales,
        laboratory=held.get("laboratory", ""),
    )
    return Shown(
        version,
        sample,
        known.decisions(sample, held["clean_feed"]),
        about,
        tuple(_differs(held["sheet"], sample)),
        known,
        bool(tdn),
    )


def newest_of(sheet: Sheet) -> int:
    """Number of the newest version."""
    return sheet.versions.order_by("number").values_list("number", flat=True).last() or 0


def issue_of(version: Version) -> Issue:
    """Which version it is, and what was amended why."""
    return Issue(
        version.number,
        newest_of(version.sheet),
        tuple(version.changes),
        why_of(version) if version.amended else "",
    )


def why_of(version: Version) -> Message | str:
    """Why a version was written: the reason given, else what was done."""
    done = version.reason in MAY
    return message(f"office.deed.{version.reason}") if done else version.reason


def _said(version: Version) -> Said | None:
    """The office's latest words to this rancher."""
    note = version.sheet.notes.select_related("by").first()
    if note is None:
        return None
    day, told_of = version.sheet.office.day_of(note.made_at), _written_for(note, version)
    return Said(note.text, note.by.name, day, 0 if told_of == version.number else told_of)


def _written_for(note: Note, version: Version) -> int:
    """Number of the version that stood when the words were written, never one after that shown."""
    if note.made_at >= version.made_at:
        return version.number
    before = version.sheet.versions.filter(made_at__lte=note.made_at).order_by("number")
    return before.values_list("number", flat=True).last() or 1


def _results(held: list[dict[str, Any]]) -> Results:
    return Results([Result.from_json(one) for one in held])


def _differs(frozen: dict[str, Any], sample: Sample) -> Iterator[str]:
    today = sample.sheet.to_json()
    for kind in ("measured", "derived"):
        now = {one["analyte"]: one.get("value") for one in today[kind]}
        for one in frozen[kind]:
            if one.get("value") != now.get(one["analyte"]):
                yield one["analyte"]
