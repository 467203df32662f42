"""A number of three or more digits stands in an equation or in ``sources``, with its source."""

from __future__ import annotations

import ast
import re

import pytest

from tests.house.reading import is_equation, listed, modules, name_of, walk

MOST_DIGITS = 2


def significant_digits(literal: str) -> int:
    """Digits that carry meaning; the zeros of 100, 1000 and 0.001 do not."""
    mantissa = literal.lower().replace("_", "").lstrip("+-").partition("e")[0]
    whole, point, part = mantissa.partition(".")
    digits = (whole + part.rstrip("0")) if point else whole
    return len(digits.strip("0")) if not part.strip("0") else len(digits.lstrip("0"))


@pytest.mark.parametrize(
    ("literal", "digits"),
    [("100", 1), ("1000", 1), ("1_000_000", 1), ("0.001", 1), ("1e-12", 1), ("100.0", 1),
     ("0.95", 2), ("250", 2), ("6.25", 3), ("4.43", 3), ("105", 3), ("1050", 3), ("2.0", 1),
     ("10.05", 4), ("88.2", 3), ("0.5", 1), ("1.50", 2)],
)  # fmt: skip
def test_digits_are_counted_as_a_reader_would(literal, digits):
    assert significant_digits(literal) == digits


def not_about_hay(node):
    """Equations have their place here; the size of a cache is no quantity."""
    return is_equation(node) or (isinstance(node, ast.keyword) and node.arg == "maxsize")


def numbers_in(module):
    """(node, literal) of every number, in code or handed as text to a number's maker."""
    for node in walk(module.tree, skip=not_about_hay):
        if isinstance(node, ast.Constant) and type(node.value) in (int, float):
            yield node, ast.get_source_segment(SOURCE[module.path], node) or repr(node.value)
        elif isinstance(node, ast.Call) and name_of(node.func) in {"Decimal", "Fraction", "float"}:
            for one in node.args:
                if isinstance(one, ast.Constant) and re.match(r"[-+]?[\d.]", str(one.value)):
                    yield one, str(one.value)


SOURCE = {module.path: module.path.read_text(encoding="utf-8") for module in modules()}


def test_no_number_of_three_digits_outside_equations_and_sources():
    findings = [
        module.at(node, f"{literal} belongs into an equation or a table with its source")
        for module in modules()
        if module.folder != "sources"
        for node, literal in numbers_in(module)
        if not literal.lower().startswith(("0x", "0b", "0o"))
        and significant_digits(literal) > MOST_DIGITS
    ]
    assert not findings, listed(findings)
