"""What is only remembered may serve, marked; it is never what a person gets without choosing."""

from __future__ import annotations

import ast
import csv
import tomllib

from haywright.measure.register import Mark
from haywright.sources.bibliography import Status, cite
from haywright.way.equations import equation_book
from tests.house.reading import PACKAGE, ROOT, listed, modules

TABLES = PACKAGE / "sources" / "tables"
RECALLED = {"recalled", "from memory"}


def rests_on_memory(row: dict[str, object]) -> bool:
    """Whether a row is marked recalled, or its only source is."""
    mark = str(row.get("mark", row.get("status", row.get("kind", ""))))
    if mark:
        return mark in RECALLED
    source = row.get("source", "")
    return isinstance(source, str) and bool(source) and cite(source).status is Status.RECALLED


def rows_within(value: object, name: str = ""):
    """Every table inside a table, with its name."""
    if isinstance(value, dict):
        yield name, value
        for key, one in value.items():
            yield from rows_within(one, key)
    elif isinstance(value, list):
        for number, one in enumerate(value):
            yield from rows_within(one, f"{name}[{number}]")


def test_no_recalled_row_is_a_default():
    findings = []
    for path in sorted(TABLES.glob("*.toml")):
        tables = dict(rows_within(tomllib.loads(path.read_text(encoding="utf-8"))))
        for name, row in tables.items():
            named = row.get("default")
            chosen = row if named is True else tables.get(named) if isinstance(named, str) else None
            if chosen is not None and rests_on_memory(chosen):
                findings.append(f"{path.relative_to(ROOT)}: {name} is a default and recalled")
    for path in sorted(TABLES.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as stream:
            rows = csv.DictReader(line for line in stream if not line.startswith("#"))
            findings += [
                f"{path.relative_to(ROOT)}: row {number} is a default and recalled"
                for number, row in enumerate(rows, 1)
                if row.get("default", "").lower() in {"true", "yes", "1"} and rests_on_memory(row)
            ]
    assert not findings, listed(findings)


def defaults_in(tree: ast.AST):
    """Every value that stands when nobody chooses: of a parameter, a field, a DEFAULT."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            yield from (one for one in (*node.args.defaults, *node.args.kw_defaults) if one)
        elif isinstance(node, ast.ClassDef):
            yield from (
                one.value for one in node.body if isinstance(one, ast.AnnAssign) and one.value
            )
        elif isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None:
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            if any("DEFAULT" in ast.unparse(one).upper() for one in targets):
                yield node.value


def test_no_recalled_equation_is_a_default():
    recalled = {one.id: one for one in equation_book() if one.mark is Mark.RECALLED}
    by_function = {one.fn.__name__: one.id for one in recalled.values()}
    findings = []
    for module in modules():
        for value in defaults_in(module.tree):
            for node in ast.walk(value):
                text = node.value if isinstance(node, ast.Constant) else None
                name = node.id if isinstance(node, ast.Name) else None
                if text in recalled or name in by_function:
                    findings.append(module.at(node, f"{text or by_function[name]} is recalled"))
    assert not findings, listed(findings)


def test_an_equation_read_in_its_source_names_a_source_that_was_read():
    findings = [
        f"{one.id}: marked read, but {one.source} is {cite(one.source).status}"
        for one in equation_book()
        if one.mark is Mark.READ and cite(one.source).status is Status.RECALLED
    ]
    assert not findings, listed(findings)
