"""What the rules of the house are read from: our own source files, parsed once."""

from __future__ import annotations

import ast
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "haywright"
PLACES = ("stack", "bag", "bench", "sheet", "bunk", "gate")
SCIENCE = ("measure", *PLACES)
BELOW_WORDS = ("measure", "sources", *PLACES, "way")
BELOW_CLI = (*BELOW_WORDS, "words", "files", "paper")


@dataclass(frozen=True)
class Module:
    """One of our Python files."""

    path: Path
    tree: ast.Module = field(repr=False)

    @property
    def folder(self) -> str:
        """The folder of ours it lies in; "" for the package itself."""
        parts = self.path.relative_to(PACKAGE).parts
        return parts[0] if len(parts) > 1 else ""

    def at(self, node: ast.AST, text: str) -> str:
        """A finding, with the file and the line first."""
        return f"{self.path.relative_to(ROOT)}:{getattr(node, 'lineno', 1)}: {text}"


@cache
def modules() -> tuple[Module, ...]:
    """Every Python file of the package."""
    return tuple(
        Module(path, ast.parse(path.read_text(encoding="utf-8")))
        for path in sorted(PACKAGE.rglob("*.py"))
        if "migrations" not in path.parts  # written by Django
    )


def modules_of(folders: tuple[str, ...]) -> Iterator[Module]:
    """The Python files in some of our folders."""
    return (module for module in modules() if module.folder in folders)


@cache
def package_files(*endings: str) -> tuple[Path, ...]:
    """Files of the package with one of these endings; all when none is given."""
    return tuple(
        path
        for path in sorted(PACKAGE.rglob("*"))
        if path.is_file()
        and "__pycache__" not in path.parts
        and (not endings or path.suffix in endings)
    )


@cache
def tracked_files() -> tuple[Path, ...]:
    """Files under version control, or about to be."""
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    paths = (ROOT / name for name in listed.split("\0") if name)
    return tuple(path for path in paths if path.is_file())


def is_equation(node: ast.AST) -> bool:
    """Whether a node is a function declared in the register."""
    return isinstance(node, ast.FunctionDef) and any(
        isinstance(one, ast.Call) and name_of(one.func) == "equation" for one in node.decorator_list
    )


def name_of(node: ast.AST) -> str:
    """The last part of a dotted name; "" for anything else."""
    if isinstance(node, ast.Name):
        return node.id
    return node.attr if isinstance(node, ast.Attribute) else ""


def walk(node: ast.AST, *, skip: object) -> Iterator[ast.AST]:
    """Every node below one, not looking into those that ``skip`` names."""
    for child in ast.iter_child_nodes(node):
        if not skip(child):
            yield child
            yield from walk(child, skip=skip)


def docstrings(tree: ast.AST) -> set[int]:
    """The ids of the constant nodes that are docstrings, or text that stands alone as one."""
    return {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }


def text_parts(node: ast.AST) -> str | None:
    """The text of a string or of the fixed parts of a formatted one, holes as {}."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(
            part.value if isinstance(part, ast.Constant) else "{}" for part in node.values
        )
    return None


def listed(findings: list[str]) -> str:
    """Findings as an assertion prints them."""
    return "\n" + "\n".join(findings)
