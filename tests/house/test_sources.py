"""Every source has one key, every key used has its source, every table its manifest entry."""

from __future__ import annotations

import ast
import csv
import hashlib
import re
import tomllib
from functools import cache

from tests.house.reading import PACKAGE, ROOT, listed, modules, name_of

SOURCES = PACKAGE / "sources"
TABLES = SOURCES / "tables"
STATUSES = {"read", "recalled", "common practice", "definition", "derived"}
KEYS = {"source", "sources", "source_key"}
MANIFEST = {"title", "source", "page", "units", "rows", "sha256"}


@cache
def bibliography() -> dict[str, dict[str, object]]:
    found: dict[str, dict[str, object]] = {}
    for path in sorted((SOURCES / "bibliography").glob("*.toml")):
        for key, entry in tomllib.loads(path.read_text(encoding="utf-8")).items():
            assert key not in found, f"{path.relative_to(ROOT)}: {key} stands twice"
            found[key] = entry
    return found


def line_of(text: str, wanted: str) -> int:
    return text[: max(text.find(wanted), 0)].count("\n") + 1


def cited_in_code():
    for module in modules():
        for node in ast.walk(module.tree):
            if not isinstance(node, ast.Call):
                continue
            if name_of(node.func) == "cite" and node.args:
                yield module, node, node.args[0]
            if name_of(node.func) == "equation":
                yield from ((module, one, one.value) for one in node.keywords if one.arg in KEYS)


def keys_within(value: object):
    """Every source key inside a table, wherever it lies."""
    if isinstance(value, dict):
        for name, one in value.items():
            if name in KEYS or name.endswith("_source"):
                yield from [one] if isinstance(one, str) else one
            else:
                yield from keys_within(one)
    elif isinstance(value, list):
        for one in value:
            yield from keys_within(one)


def test_every_source_says_what_it_is_and_how_well_it_is_known():
    findings = [
        f"{key}: {what}"
        for key, entry in bibliography().items()
        for what, wrong in (
            ("no title", not entry.get("title")),
            (f"status {entry.get('status')!r}", entry.get("status") not in STATUSES),
        )
        if wrong
    ]
    assert not findings, listed(findings)


def test_every_source_key_in_code_is_in_the_bibliography():
    findings = [
        module.at(node, f"{value.value!r} is not in the bibliography")
        for module, node, value in cited_in_code()
        if isinstance(value, ast.Constant) and value.value not in bibliography()
    ]
    assert not findings, listed(findings)


def test_every_source_key_in_a_table_is_in_the_bibliography():
    findings = []
    for path in sorted([*TABLES.rglob("*.toml"), *(PACKAGE / "measure").rglob("*.toml")]):
        text = path.read_text(encoding="utf-8")
        findings += [
            f"{path.relative_to(ROOT)}:{line_of(text, key)}: {key!r} is not in the bibliography"
            for key in keys_within(tomllib.loads(text))
            if key not in bibliography()
        ]
    for path in sorted(TABLES.rglob("*.csv")):
        with path.open(encoding="utf-8", newline="") as stream:
            rows = csv.DictReader(line for line in stream if not line.startswith("#"))
            findings += [
                f"{path.relative_to(ROOT)}: row {number}: {row[name]!r} is not in the bibliography"
                for number, row in enumerate(rows, 1)
                for name in KEYS & set(row)
                for key in re.split(r"\s*[;,]\s*", row[name] or "")
                if key not in bibliography()
            ]
    assert not findings, listed(findings)


def tables():
    return [
        path
        for path in sorted(TABLES.rglob("*"))
        if path.is_file() and "manifest.d" not in path.parts and not path.name.startswith(".")
    ]


def entry_of(path):
    """The manifest entry of a table: named by the file, with or without its ending."""
    for name in (f"{path.name}.toml", f"{path.stem}.toml"):
        found = TABLES / "manifest.d" / name
        if found.exists():
            entry = tomllib.loads(found.read_text(encoding="utf-8"))
            return entry if "sha256" in entry or len(entry) != 1 else next(iter(entry.values()))
    return None


def test_every_table_is_in_the_manifest_as_it_stands():
    findings = []
    for path in tables():
        where, entry = path.relative_to(ROOT), entry_of(path)
        if entry is None:
            findings.append(f"{where}: no entry in manifest.d")
            continue
        missing = MANIFEST - set(entry)
        if missing:
            findings.append(f"{where}: its manifest entry lacks {sorted(missing)}")
        if entry.get("sha256") != hashlib.sha256(path.read_bytes()).hexdigest():
            findings.append(f"{where}: differs from its manifest; python -m tools.digest mends it")
        sources = entry.get("source", ())
        findings += [
            f"{where}: its manifest names {key!r}, which is not in the bibliography"
            for key in ([sources] if isinstance(sources, str) else sources)
            if key not in bibliography()
        ]
    assert not findings, listed(findings)


def test_every_manifest_entry_has_its_table():
    known = {name for path in tables() for name in (f"{path.name}.toml", f"{path.stem}.toml")}
    strays = {path.name for path in (TABLES / "manifest.d").glob("*.toml")} - known
    assert strays == set()
