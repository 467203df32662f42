"""The only colours of paper and pictures; the page's stylesheet has the same names."""

from __future__ import annotations

from dataclasses import dataclass

SANS = "Source Sans 3"
SERIF = "Source Serif 4"


@dataclass(frozen=True, slots=True)
class Palette:
    """What each colour is for; straw is hay, ink is evidence, warn is what can kill."""

    paper: str
    ink: str
    soft: str
    line: str
    rule: str
    warn: str
    straw: str
    straw_deep: str
    hay2: str
    hay3: str


LIGHT = Palette(
    paper="#fdfcf9",
    ink="#211d18",
    soft="#5b5449",
    line="#857c6e",
    rule="#d6cfc2",
    warn="#8c2b1b",
    straw="#d9b15a",
    straw_deep="#8a6414",
    hay2="#b3a78f",
    hay3="#74562c",
)

# Black ink on white paper: straw is light grey with a black outline.
PRINT = Palette(
    paper="#ffffff",
    ink="#000000",
    soft="#333333",
    line="#555555",
    rule="#999999",
    warn="#000000",
    straw="#dddddd",
    straw_deep="#000000",
    hay2="#aaaaaa",
    hay3="#666666",
)

# Inside a page the stylesheet decides, so a picture follows light and dark.
PAGE = Palette(
    **{
        name: f"var(--{name.replace('_', '-')})"
        for name in (
            "paper",
            "ink",
            "soft",
            "line",
            "rule",
            "warn",
            "straw",
            "straw_deep",
            "hay2",
            "hay3",
        )
    }
)
