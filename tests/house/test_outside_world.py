"""Nothing here reaches for the network, a clock, the environment or chance."""

from __future__ import annotations

import ast
import re
import socket

import pytest

from tests.house.reading import BELOW_CLI, PACKAGE, ROOT, listed, modules_of, package_files

ADDRESS = re.compile(r"(https?|ftp|wss?)://[^\s\"'<>)]+|\bwww\.[a-z]")
# Names that look like addresses and are never fetched: the vocabularies of SVG and XML, this very
# machine, and the name an office gives itself.
NAMES_ONLY = re.compile(r"https?://(www\.w3\.org/|127\.0\.0\.1|\{host\})")
BINARY = {".ttf", ".otf", ".woff2", ".png", ".pdf", ".xlsx", ".mo"}
UNKNOWN_BELOW = re.compile(
    r"\b(datetime\.now|datetime\.today|datetime\.utcnow|date\.today|time\.time|time\.monotonic"
    r"|time\.perf_counter|os\.environ|os\.getenv|getenv|default_rng|random\.seed|random\.random"
    r"|np\.random\.(?!Generator)\w+|numpy\.random\.(?!Generator)\w+|uuid4|secrets\.\w+)\b"
)


def test_no_network_address_in_the_package():
    findings = []
    for path in package_files():
        inside = path.relative_to(PACKAGE)
        licence_text = path.suffix == ".txt" and "OFL" in path.name.upper()
        if path.suffix in BINARY or licence_text or "bibliography" in inside.parts:
            continue
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            found = ADDRESS.search(NAMES_ONLY.sub("", line))
            if found:
                findings.append(f"{path.relative_to(ROOT)}:{number}: {found.group()}")
    assert not findings, listed(findings)


def test_templates_import_only_files_that_are_here():
    findings = [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()}"
        for path in package_files(".typ")
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if "@preview" in line or re.search(r"(import|include)\s+\"@", line)
    ]
    assert not findings, listed(findings)


def test_nothing_below_the_command_line_knows_clock_environment_or_chance():
    findings = []
    for module in modules_of(BELOW_CLI):
        for node in ast.walk(module.tree):
            if isinstance(node, ast.Call | ast.Subscript):
                what = ast.unparse(node.func if isinstance(node, ast.Call) else node.value)
                if UNKNOWN_BELOW.search(what):
                    findings.append(module.at(node, f"{what} must come as an argument"))
    assert not findings, listed(findings)


def test_a_test_cannot_reach_the_network():
    with pytest.raises(PermissionError):
        socket.create_connection(("192.0.2.1", 80), timeout=1)
    with pytest.raises(PermissionError):
        socket.getaddrinfo("example.org", 80)
