"""Writes docs/labels.md: every label and message a person can see, in one list to read through."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from babel.messages.pofile import read_po

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "src" / "haywright"
PAGE = ROOT / "docs" / "labels.md"
# Columns of our tables that are shown to a person as they stand.
SHOWN = {"name", "title", "label", "short", "also", "printed"}


def page() -> str:
    """The whole list."""
    parts = [
        "# Every label and message",
        "Made by `make labels` from the program; read it for words that are not the trade's.",
    ]
    for title, lines in (
        ("Quantities", quantities()),
        ("Equations", equations()),
        ("Commands and options", commands()),
        ("Names in tables", names_in_tables()),
        ("Words in templates", templates()),
        ("Messages", messages()),
    ):
        parts.append(f"## {title}\n\n" + "\n".join(lines))
    return "\n\n".join(parts).rstrip() + "\n"


def quantities() -> Iterator[str]:
    from haywright.measure.analytes import dictionary

    for one in sorted(dictionary().values(), key=lambda one: one.id):
        of = ", ".join(part for part in (one.unit, one.basis) if part)
        yield f"- `{one.id}` {one.name}" + (f" ({of})" if of else "")


def equations() -> Iterator[str]:
    from haywright.way.equations import equation_book

    for one in equation_book():
        yield f"- `{one.id}` {one.name}"


def commands() -> Iterator[str]:
    import typer

    from haywright.cli.main import app

    yield from _command("haywright", typer.main.get_command(app))


def _command(path: str, command: Any) -> Iterator[str]:
    yield f"- `{path}` {_line(command.help)}"
    if command.epilog:
        yield f"  - {_line(command.epilog)}"
    for one in command.params:
        shown = " ".join(one.opts) if one.param_type_name == "option" else one.name.upper()
        yield f"  - `{shown}` {_line(getattr(one, 'help', None))}".rstrip()
    for word, inner in sorted(getattr(command, "commands", {}).items()):
        yield from _command(f"{path} {word}", inner)


def names_in_tables() -> Iterator[str]:
    for table in sorted((PACKAGE / "sources" / "tables").glob("*.toml")):
        found = sorted(set(_names(tomllib.loads(table.read_text(encoding="utf-8")))))
        if found:
            yield f"- {table.stem}: " + "; ".join(found)


def _names(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for key, one in value.items():
            if key in SHOWN:
                yield from [one] if isinstance(one, str) else filter(_is_text, one)
            else:
                yield from _names(one)
    elif isinstance(value, list):
        for one in value:
            yield from _names(one)


def _is_text(value: Any) -> bool:
    return isinstance(value, str)


def templates() -> Iterator[str]:
    for template in sorted((PACKAGE / "paper").rglob("*.typ")):
        text = re.sub(r"//.*", "", template.read_text(encoding="utf-8"))
        written = re.findall(
            r"\"([^\"\n]*[A-Za-z]{2,} [^\"\n]*)\"|\[([^\[\]\n#]*[A-Za-z]{2,}[^\[\]\n#]*)\]", text
        )
        for one in sorted({(a or b).strip() for a, b in written}):
            yield f"- {template.name}: {one}"


def messages() -> Iterator[str]:
    for catalogue in sorted((PACKAGE / "words" / "en").glob("*.po")):
        yield f"\n### {catalogue.stem}\n"
        with catalogue.open("rb") as stream:
            for entry in sorted((one for one in read_po(stream) if one.id), key=_key):
                texts = entry.string if isinstance(entry.string, tuple | list) else [entry.string]
                said = " / ".join(dict.fromkeys(_line(one) for one in texts))
                yield f"- `{_key(entry)}` {said}"


def _key(entry: Any) -> str:
    return str(entry.id[0] if isinstance(entry.id, tuple | list) else entry.id)


def _line(text: str | None) -> str:
    return " ".join((text or "").split())


def main() -> None:
    PAGE.parent.mkdir(exist_ok=True)
    PAGE.write_text(page(), encoding="utf-8")


if __name__ == "__main__":
    main()
