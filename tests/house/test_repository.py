"""The repository speaks of the product alone, and its tests all run."""

from __future__ import annotations

import re

import pytest

from tests.house.reading import PACKAGE, ROOT, listed, tracked_files

# Brackets around a letter keep this file from finding itself.
FORBIDDEN_WORDS = (
    r"(?<![\w.])/([w]ork|[t]mp|[r]oot|[f]arm|[o]pt|[h]ome/\w+)/",
    r"\bsub-?[a]gents?\b",
    r"(?<!wetting )(?<!reducing )(?<!oxidising )(?<!drying )(?<!masking )\b[a]gents?\b",
    r"\b[p]rompts?\b",
    r"\b(this|next|last|earlier|later|work) [s]essions?\b",
    r"\b[l]anguage models?\b|\b[L]LMs?\b|\bas an [A]I\b",
    r"\b([c]laude|[c]hatgpt|[c]opilot|[a]nthropic|[o]penai)\b",
    r"\b[t]ranscripts?\b",
    r"\b[p]ypi\.org|\b[p]ythonhosted|\b[n]pmjs|\b[f]ind-links|\b[i]ndex-url",
)
FORBIDDEN = re.compile("|".join(FORBIDDEN_WORDS), re.IGNORECASE)
# The outside cases keep the words of their sources; the licence its own; fonts are bytes.
OTHERS_WORDS = {"LICENSE"}
BINARY = {".ttf", ".otf", ".woff2", ".png", ".pdf", ".xlsx", ".ico"}
UNRUN = re.compile(r"pytest\.(skip|xfail|importorskip)|mark\.(skip|skipif|xfail)\b")
MOST_LINES = 500


def text_files():
    for path in tracked_files():
        inside = path.relative_to(ROOT)
        if path.suffix in BINARY or path.name in OTHERS_WORDS or "cases" in inside.parts:
            continue
        yield inside, path.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "line",
    [
        "see /w~ork/main",
        "an a~gent did it",
        "the p~rompt",
        "in this s~ession",
        "an L~LM",
        "p~ypi.org",
    ],
)
def test_such_a_word_would_be_found(line):
    assert FORBIDDEN.search(line.replace("~", ""))


@pytest.mark.parametrize(
    "line", ["a reducing ag~ent", "promptly", "workshop", "a ses~sion of court"]
)
def test_a_word_of_the_trade_is_let_through(line):
    assert not FORBIDDEN.search(line.replace("~", ""))


def test_no_word_that_is_not_about_the_product():
    kept_out = re.compile(r"--no-emit-[i]ndex-url|--no-emit-[f]ind-links")  # by tools/lock
    findings = [
        f"{path}:{number}: {match.group()}"
        for path, text in text_files()
        for number, line in enumerate(text.splitlines(), 1)
        if (match := FORBIDDEN.search(kept_out.sub("", line)))
    ]
    assert not findings, listed(findings)


def test_pinned_dependencies_carry_hashes_and_no_address():
    for name in ("requirements.lock", "requirements-dev.lock"):
        text = (ROOT / name).read_text(encoding="utf-8")
        assert "://" not in text, name
        pinned = re.split(r"\n(?=[a-z])", text.strip())
        bare = [one.split()[0] for one in pinned if "--hash=sha256:" not in one]
        assert not bare, f"{name}: {bare} without hashes"


def test_the_longer_list_of_pins_agrees_with_the_shorter():
    pins = [
        dict(re.findall(r"^([\w-]+)==([^\s;]+)", (ROOT / name).read_text("utf-8"), re.MULTILINE))
        for name in ("requirements.lock", "requirements-dev.lock")
    ]
    assert pins[0].items() <= pins[1].items()


def test_no_test_is_skipped():
    findings = [
        f"{path}:{number}: {match.group()}"
        for path, text in text_files()
        if path.parts[0] == "tests" and path.name != "test_repository.py"
        for number, line in enumerate(text.splitlines(), 1)
        if (match := UNRUN.search(line))
    ]
    assert not findings, listed(findings)


def test_no_module_is_too_long_to_read_at_a_sitting():
    findings = [
        f"{path.relative_to(ROOT)}: {lines} lines"
        for path in sorted(PACKAGE.rglob("*.py"))
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > MOST_LINES
    ]
    assert not findings, listed(findings)
