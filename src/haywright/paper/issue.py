"""Which version of a sheet this is, and what must be said of it before anything else."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from haywright.measure.message import Message
from haywright.paper.speaker import Speaker
from haywright.sheet.sheet import Sheet
from haywright.words.numbers import NBSP

MOST_CHANGES = 4
MOST_NAMED = 3


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


def mark_of(sheet: Sheet, issue: Issue | None, words: Speaker) -> dict[str, Any] | None:
    """OLDER, INTERIM or AMENDED in the verdict's place, with what that means here.

    "text" is what everybody must read; "more" the lines a page may fold.
    """
    told = list(_marks(sheet, issue, words))
    if not told:
        return None
    (word, text, lines), *others = told
    return {
        "word": word,
        "text": " ".join([text, *(f"{w}: {t}" for w, t, _ in others)]).strip(),
        "more": [*lines, *(line for _, _, rest in others for line in rest)],
    }


Mark = tuple[str, str, list[str]]


def _marks(sheet: Sheet, issue: Issue | None, words: Speaker) -> Iterator[Mark]:
    if issue is not None and issue.number < issue.newest:
        note = words("paper.older_note", n=issue.number, newest=issue.newest)
        yield words("paper.older"), note, []
    if sheet.interim:
        yield _interim(sheet, words)
    if issue is not None and issue.reason:
        yield _amended(issue, words)


def _interim(sheet: Sheet, words: Speaker) -> Mark:
    """What is still waited for: by name where that is short, else how many, the names after it."""
    text, more = [], []
    for key, names in (("pending", sheet.pending), ("held_back", sheet.held)):
        if not names:
            continue
        said = words(f"paper.{key}", tests=tuple(words.name(n) for n in names))
        if len(names) > MOST_NAMED:
            text.append(words(f"paper.{key}_many", n=len(names)))
            more.append(said)
        else:
            text.append(said)
    if sheet.pending:
        text.append(words("paper.may_change"))
    return words("paper.interim"), " ".join(text), more


def _amended(issue: Issue, words: Speaker) -> Mark:
    """In whose place it stands and the one change that matters most; why, and all, after it."""
    why = issue.reason if isinstance(issue.reason, str) else words.said(issue.reason)
    text = [words("paper.amended_note", before=issue.number - 1)]
    more = [words("paper.amended_why", reason=why.rstrip("."))]
    nitrate = [one for one in issue.changes if one["quantity"] == "nitrate_n"]
    lead = nitrate or list(issue.changes if len(issue.changes) == 1 else ())
    text += [f"{_change(one, words)}." for one in lead[:1]]
    if len(issue.changes) > len(lead):
        changed = "; ".join(change_lines(issue.changes, words))
        more.append(words("paper.changed", what=changed))
    return words("paper.amended"), " ".join(text), more


def change_lines(changes: tuple[Mapping[str, Any], ...], words: Speaker) -> list[str]:
    """Each change in words, the first few; how many more there are is said."""
    lines = [_change(one, words) for one in changes[:MOST_CHANGES]]
    more = len(changes) - len(lines)
    return [*lines, words("paper.changes_more", n=more)] if more > 0 else lines


def _change(change: Mapping[str, Any], words: Speaker) -> str:
    name = words.name(change["quantity"])
    was, now = _figure(change, "was", words), _figure(change, "now", words)
    unit = f"{NBSP}{words.unit(change['quantity'])}"
    if now.endswith(unit):  # said once of two numbers
        was = was.removesuffix(unit)
    if not was:
        return words("paper.change.came", name=name, now=now)
    if not now:
        return words("paper.change.went", name=name, was=was)
    return words("paper.change.is", name=name, was=was, now=now)


def _figure(change: Mapping[str, Any], side: str, words: Speaker) -> str:
    """The number on one side of a change, or that it is held; "" where there was none."""
    if change.get(f"{side}_held"):
        return words("paper.held")
    value, unit = change[side], words.unit(change["quantity"])
    if value is None:
        return ""
    said = words.figure(value, change["quantity"])
    return f"{said}{NBSP}{unit}" if unit else said
