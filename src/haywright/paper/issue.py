"""Which version of a sheet this is, and what must be said of it before anything else."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from haywright.measure.message import Message
from haywright.paper.speaker import Speaker
from haywright.sheet.sheet import Sheet

MOST_CHANGES = 6


@dataclass(frozen=True, slots=True)
class Issue:
    """One numbered version among those of a sheet.

    Parameters
    ----------
    number, newest
        Of this version and of the newest.
    changes
        Numbers that came, changed or went since the one before: {"quantity", "was", "now"}, each
        value in the quantity's own unit, ``None`` where there was none.
    reason
        Why a whole sheet was amended; "" for one that was not.
    """

    number: int
    newest: int
    changes: tuple[Mapping[str, Any], ...] = ()
    reason: Message | str = ""


def mark_of(sheet: Sheet, issue: Issue | None, words: Speaker) -> dict[str, str] | None:
    """OLDER, INTERIM or AMENDED in the verdict's place, with what that means here."""
    told = list(_marks(sheet, issue, words))
    if not told:
        return None
    (word, text), *more = told
    return {"word": word, "text": " ".join([text, *(f"{w}: {t}" for w, t in more)]).strip()}


def _marks(sheet: Sheet, issue: Issue | None, words: Speaker) -> Iterator[tuple[str, str]]:
    if issue is not None and issue.number < issue.newest:
        yield words("paper.older"), words("paper.older_note", n=issue.number, newest=issue.newest)
    if sheet.interim:
        yield words("paper.interim"), " ".join(_waiting(sheet, words))
    if issue is not None and issue.reason:
        why = issue.reason if isinstance(issue.reason, str) else words.said(issue.reason)
        said = words("paper.amended_note", before=issue.number - 1, reason=why.rstrip("."))
        changed = "; ".join(change_lines(issue.changes, words))
        yield (
            words("paper.amended"),
            " ".join(
                part
                for part in (said, words("paper.changed", what=changed) if changed else "")
                if part
            ),
        )


def _waiting(sheet: Sheet, words: Speaker) -> Iterator[str]:
    if sheet.pending:
        yield words("paper.pending", tests=tuple(words.name(n) for n in sheet.pending))
    if sheet.held:
        yield words("paper.held_back", tests=tuple(words.name(n) for n in sheet.held))


def change_lines(changes: tuple[Mapping[str, Any], ...], words: Speaker) -> list[str]:
    """Each change in words, the first few; how many more there are is said."""
    lines = [_change(one, words) for one in changes[:MOST_CHANGES]]
    more = len(changes) - len(lines)
    return [*lines, words("paper.changes_more", n=more)] if more > 0 else lines


def _change(change: Mapping[str, Any], words: Speaker) -> str:
    name = words.name(change["quantity"])
    was, now = _figure(change, "was", words), _figure(change, "now", words)
    if not was:
        return words("paper.change.came", name=name, now=now)
    if not now:
        return words("paper.change.went", name=name, was=was)
    return words("paper.change.is", name=name, was=was, now=now)


def _figure(change: Mapping[str, Any], side: str, words: Speaker) -> str:
    """The number on one side of a change, or that it is held; "" where there was none."""
    if change.get(f"{side}_held"):
        return words("paper.held")
    value = change[side]
    return "" if value is None else words.figure(value, change["quantity"])
