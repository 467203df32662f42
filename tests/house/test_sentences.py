"""Sentences stand in the catalogues; code returns a Message, paper asks ``words`` for its text."""

from __future__ import annotations

import ast
import re

from tests.house.reading import (
    BELOW_CLI,
    docstrings,
    is_equation,
    listed,
    modules_of,
    name_of,
    text_parts,
)

WORD = re.compile(r"[A-Za-z][a-z'’-]+")
NOT_FOR_READING = re.compile(
    r"\(\?| \| |\\[sdwb]|\^|\$$|^\s*(SELECT|INSERT|CREATE|UPDATE|DELETE)\b"
)
LEAST_WORDS = 3
REFUSALS = {"Refused", "UnknownName", "CannotDerive"}


def is_sentence(text: str) -> bool:
    """Whether a person would read it: three words with spaces between."""
    words = [one for one in text.replace("{}", " ").split() if WORD.fullmatch(one.strip(".,:;()"))]
    return len(words) >= LEAST_WORDS and not NOT_FOR_READING.search(text)


def names_of_things(tree: ast.AST) -> set[int]:
    """Texts that name: members of an enumeration, equations, the field an error speaks of."""
    found: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef) and any("Enum" in ast.unparse(b) for b in node.bases):
            found |= {id(one) for one in ast.walk(node)}
        if isinstance(node, ast.Call) and name_of(node.func) in REFUSALS and node.args:
            found.add(id(node.args[0]))
        if is_equation(node):
            found |= {id(one) for top in node.decorator_list for one in ast.walk(top)}
    return found


def test_no_sentence_below_the_command_line():
    findings = []
    for module in modules_of(BELOW_CLI):
        passed_over = docstrings(module.tree) | names_of_things(module.tree)
        inside_formatted = {
            id(part)
            for node in ast.walk(module.tree)
            if isinstance(node, ast.JoinedStr)
            for part in node.values
        }
        for node in ast.walk(module.tree):
            text = text_parts(node)
            if (
                text is not None
                and id(node) not in passed_over | inside_formatted
                and is_sentence(text)
            ):
                findings.append(module.at(node, repr(text)))
    assert not findings, listed(findings)
