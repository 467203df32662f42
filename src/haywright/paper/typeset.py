"""A template and its data become a PDF: same data, same bytes; nothing from the machine.

Data goes in as JSON through the template's inputs and is never built into source, so markup in
a name stays a name. Only the fonts shipped here are used.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
FONTS = HERE / "fonts"
TEMPLATES = HERE / "templates"
UNPRINTABLE = "\N{WHITE SQUARE}"
# Nitrate's figure is set low, on paper and in drawings alike.
NITRATE, SET_LOW = re.compile(r"NO3(?!\d)"), "NO\N{SUBSCRIPT THREE}"


def set_pdf(template: str, data: Mapping[str, Any]) -> bytes:
    """A tagged PDF (PDF/UA-1) of a template, such as "test_sheet", filled with plain data.

    Characters that no shipped face has print as an empty square, so that nobody's name stops a
    paper.
    """
    return _compiled(template, data, format="pdf", pdf_standards=["ua-1"])[0]


def set_pages(template: str, data: Mapping[str, Any], *, dots_per_inch: int = 110) -> list[bytes]:
    """The pages of the same paper as PNG pictures, to look at."""
    return _compiled(template, data, format="png", ppi=dots_per_inch)


def _compiled(template: str, data: Mapping[str, Any], **output: Any) -> list[bytes]:
    import typst

    compiler = typst.Compiler(
        TEMPLATES / f"{template}.typ",
        root=TEMPLATES,
        font_paths=_fonts(),
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(printable(data), ensure_ascii=False, sort_keys=True)},
    )
    made: Any = compiler.compile(**output)
    return made if isinstance(made, list) else [made]


@cache
def _fonts() -> Any:
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[FONTS])


def printable(value: Any) -> Any:
    """The same data with every text made of characters that the shipped faces have."""
    if isinstance(value, str):
        return printable_text(value)
    if isinstance(value, Mapping):
        return {key: printable(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [printable(one) for one in value]
    return value


def printable_text(text: str) -> str:
    """The text composed (NFC); a missing letter becomes its base letter or an empty square."""
    text = NITRATE.sub(SET_LOW, text)
    if text.isascii() and text.isprintable():
        return text
    composed = unicodedata.normalize("NFC", text)
    return "".join(one if one in "\n\t" else _covered_or_near(one) for one in composed)


@cache
def _covered_or_near(character: str) -> str:
    if unicodedata.category(character) in {"Cc", "Cf", "Cs"}:
        return ""
    if ord(character) in covered():
        return character
    near = unicodedata.normalize("NFKD", character)
    kept = "".join(one for one in near if ord(one) in covered() and not unicodedata.combining(one))
    return kept or UNPRINTABLE


@cache
def covered() -> frozenset[int]:
    """The code points that the sans faces have; the serif falls back on them."""
    found: set[int] = set()
    for line in (FONTS / "covered.txt").read_text("utf-8").splitlines():
        if line.startswith("#"):
            continue
        for piece in line.split():
            first, _, last = piece.partition("-")
            found.update(range(int(first, 16), int(last or first, 16) + 1))
    return frozenset(found)
