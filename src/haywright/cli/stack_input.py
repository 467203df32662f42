"""What the commands of the stack share: amounts with units, and the package spoken of."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from haywright.stack.packages import Package

PackageName = Annotated[
    str,
    typer.Option(
        "--package",
        help="Usual package: 5x5, 5x4, 6x5 (across x wide), small-square, 3x3x8, 3x4x8, 4x4x8.",
    ),
]
Diameter = Annotated[str, typer.Option("--diameter", help="Round bale, across: “5 ft”.")]
Width = Annotated[str, typer.Option("--width", help="Width of the bale: “4 ft”.")]
Height = Annotated[str, typer.Option("--height", help="Square bale, height: “3 ft”.")]
BaleLength = Annotated[str, typer.Option("--bale-length", help="Square bale, length: “8 ft”.")]
BaleWeight = Annotated[str, typer.Option("--bale-weight", help="Weight of a bale: “1,150 lb”.")]


def amount(text: str, to: str, field: str) -> float:
    """A number with its unit, converted."""
    from haywright.measure.parse import parse_amount

    return parse_amount(text, to=to, field=field)


def package_of(word: str, diameter: str, width: str, height: str, length: str) -> Package | None:
    """The package named or measured; ``None`` when nothing is said of it."""
    from haywright.stack.packages import Package, bale_size, usual_size

    if word:
        return bale_size(word).package
    if diameter:
        across = amount(diameter, "m", "--diameter")
        wide = amount(width, "m", "--width") if width else usual_size("round").package.width
        return Package("round", diameter=across, width=wide)
    if height or length:
        return Package(
            "large_square",
            height=amount(height, "m", "--height"),
            width=amount(width, "m", "--width"),
            length=amount(length, "m", "--bale-length"),
        )
    return None
