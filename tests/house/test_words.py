"""Words we do not print: the promise "safe", a dose, and what belongs inside."""

from __future__ import annotations

import ast
import re
from functools import cache

from babel.messages.pofile import read_po

from tests.house.reading import (
    BELOW_CLI,
    PACKAGE,
    ROOT,
    docstrings,
    listed,
    modules_of,
    package_files,
)

PROMISE = re.compile(r"\b(un)?safe(ly|r|st)?\b", re.IGNORECASE)
# What a guide calls a row lies in its table, under the guide's name, and nowhere else.
GUIDES = re.compile(r"_guides\.toml:\d+$")
DRUGS = re.compile(
    r"\b(methylene|sodium nitrite|thiosul(f|ph)ate|hydroxocobalamin|ascorbic|adrenalin|epinephrine"
    r"|atropine|calcium (boro)?gluconate|(?<!flow )(?<!flow-)inject(ed|ion)?|intravenous(ly)?"
    r"|intramuscular(ly)?|dos(e|es|age) of)\b",
    re.IGNORECASE,
)
NEVER_SHOWN = re.compile(
    r"\b(dual|shadow price|guarded acceptance|quantiles?|posterior)\b", re.IGNORECASE
)


@cache
def texts():
    """(where, text) of everything a person may read: messages, help, templates, examples."""
    found = []
    for path in sorted((PACKAGE / "words").rglob("*.po")):
        with path.open("rb") as stream:
            for entry in read_po(stream):
                said = entry.string if isinstance(entry.string, tuple | list) else [entry.string]
                found += [(f"{path.relative_to(ROOT)}:{entry.lineno}", one) for one in said if one]
    for module in modules_of(("cli",)):
        found += [
            (module.at(node, "")[:-2], node.value)
            for node in ast.walk(module.tree)
            if isinstance(node, ast.Constant) and isinstance(node.value, str)
        ]
    for path in package_files(".typ", ".toml", ".csv", ".json", ".md", ".txt"):
        if "bibliography" in path.parts or path.suffix == ".txt":
            continue  # titles are their authors'; licences too
        found += [
            (f"{path.relative_to(ROOT)}:{number}", line)
            for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        ]
    return found


def those_with(pattern: re.Pattern[str]) -> list[str]:
    return [
        f"{where}: {match.group()}" for where, text in texts() if (match := pattern.search(text))
    ]


def test_the_word_safe_stands_only_in_a_guides_own_words():
    findings = [one for one in those_with(PROMISE) if not GUIDES.search(one.rpartition(": ")[0])]
    assert not findings, listed(findings)


def test_no_drug_and_no_dose_is_named():
    findings = those_with(DRUGS)
    assert not findings, listed(findings)


def test_words_of_the_inside_are_not_shown():
    findings = those_with(NEVER_SHOWN)
    assert not findings, listed(findings)


def test_no_sentence_in_code_promises_safety():
    findings = []
    for module in modules_of((*BELOW_CLI, "cli")):
        passed_over = docstrings(module.tree)
        findings += [
            module.at(node, repr(node.value))
            for node in ast.walk(module.tree)
            if isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and id(node) not in passed_over
            and PROMISE.search(node.value)
        ]
    assert not findings, listed(findings)
