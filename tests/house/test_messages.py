"""Every message key has its text, every text is used, and its places are filled."""

from __future__ import annotations

import ast
import re
from functools import cache
from string import Formatter

from babel.messages.pofile import read_po

from tests.house.reading import (
    PACKAGE,
    ROOT,
    Module,
    listed,
    modules,
    name_of,
    package_files,
    text_parts,
)

SAYERS = {"message", "Message"}
KEY_WORDS = {"key", "label_key", "message_key"}
# What Refused and its kin put into their message themselves.
GIVEN = {"field", "value", "accepted"}
IN_CODE = "measure.quantity"  # said from the dictionary, not from a catalogue


@cache
def catalogue() -> dict[str, tuple[str, frozenset[str]]]:
    """Msgid -> where it stands, and the names of its places."""
    found: dict[str, tuple[str, frozenset[str]]] = {}
    for path in sorted((PACKAGE / "words" / "en").glob("*.po")):
        with path.open("rb") as stream:
            for entry in read_po(stream, abort_invalid=True):
                if not entry.id:
                    continue
                key = entry.id[0] if isinstance(entry.id, tuple | list) else entry.id
                texts = entry.string if isinstance(entry.string, tuple | list) else [entry.string]
                places = {name for text in texts for name in places_of(text)}
                where = f"{path.relative_to(ROOT)}:{entry.lineno}"
                assert key not in found, f"{where}: {key} stands twice, also in {found[key][0]}"
                assert all(texts), f"{where}: {key} has no text"
                found[key] = (where, frozenset(places))
    return found


def places_of(text: str) -> set[str]:
    return {
        re.split(r"[.\[]", name)[0] for _, name, _, _ in Formatter().parse(text) if name is not None
    }


@cache
def prefixes() -> tuple[str, ...]:
    return tuple(sorted({key.partition(".")[0] for key in catalogue()}))


def said(module: Module):
    """(node, key, names given or None) of each message made with its key written out."""
    for node in ast.walk(module.tree):
        if not isinstance(node, ast.Call):
            continue
        named = {one.arg: one.value for one in node.keywords}
        if name_of(node.func) in SAYERS and node.args:
            key = text_parts(node.args[0])
            given = None if name_of(node.func) == "Message" else set(named)
        else:
            key = next((text_parts(named[one]) for one in KEY_WORDS if one in named), None)
            given = (set(named) | GIVEN) - KEY_WORDS if "key" in named else None
        if key and re.fullmatch(r"[a-z_]+(\.[a-z0-9_{}]+)+", key):
            open_ended = None in named or given is None
            yield node, key, None if open_ended else given


def pattern(key: str) -> re.Pattern[str]:
    return re.compile(re.escape(key).replace(r"\{\}", r"[A-Za-z0-9_.-]+"))


def test_every_message_has_its_text():
    findings = [
        module.at(node, f"{key} has no text in words/en")
        for module in modules()
        for node, key, _ in said(module)
        if key != IN_CODE and not any(pattern(key).fullmatch(one) for one in catalogue())
    ]
    assert not findings, listed(findings)


def test_the_places_of_a_text_are_filled():
    findings = [
        module.at(node, f"{key} leaves {sorted(catalogue()[key][1] - given)} unfilled")
        for module in modules()
        for node, key, given in said(module)
        if given is not None and key in catalogue() and catalogue()[key][1] - given
    ]
    assert not findings, listed(findings)


def test_every_text_is_used():
    exact: set[str] = set()
    open_ended: set[str] = set()
    for module in modules():
        for node in ast.walk(module.tree):
            text = text_parts(node)
            if text is None and isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
                left = text_parts(node.left)
                text = f"{left}{{}}" if left else None
            if text and text.startswith(prefixes()):
                (open_ended if "{}" in text else exact).add(text)
    # keys that stand in tables, other texts or templates
    elsewhere = "\n".join(
        path.read_text(encoding="utf-8")
        for path in package_files(".toml", ".csv", ".typ", ".json", ".html", ".txt")
    )
    exact |= set(re.findall(r"[a-z_]+(?:\.[a-z0-9_]+)+", elsewhere))
    patterns = [pattern(one) for one in open_ended if len(one.replace("{}", "")) > len("bag.")]
    findings = [
        f"{where}: {key} is said nowhere"
        for key, (where, _) in catalogue().items()
        if key not in exact and not any(one.fullmatch(key) for one in patterns)
    ]
    assert not findings, listed(findings)


def test_a_text_stands_in_the_catalogue_of_its_place():
    def place(where: str) -> str:
        """``office_yard.po`` holds texts of the office, as ``office.po`` does."""
        return where.rpartition("/")[2].partition(".po")[0].partition("_")[0]

    places = {place(where) for where, _ in catalogue().values()}
    findings = [
        f"{where}: {key} belongs into {key.partition('.')[0]}.po"
        for key, (where, _) in catalogue().items()
        if key.partition(".")[0] in places - {place(where)}
    ]
    assert not findings, listed(findings)
