"""The stack of a lot as it stands, with the bales a bag was cored from in the order walked."""

from __future__ import annotations

from collections.abc import Sequence

from haywright.paper import blocks
from haywright.paper.drawings import MapWords, stack_map
from haywright.paper.speaker import Speaker
from haywright.paper.yard import faces_of
from haywright.stack.lot import Lot

MOST_DRAWN = 600
# Drawn for a desk and for a phone, at the size of text a page may not go under.
MAP_WIDTHS = {"wide": 760.0, "narrow": 350.0}
MAP_TEXT = 15.0


def piece_of(words: Speaker) -> str:
    """How a piece of a long face is named; its places are filled when it is drawn."""
    left = {name: f"{{{name}}}" for name in ("face", "first", "last")}
    return words("paper.plan.map.part", **left)


def stack_section(
    lot: Lot,
    cored: Sequence[int],
    words: Speaker,
    *,
    code: str = "",
    width: float = MAP_WIDTHS["wide"],
) -> blocks.Block | None:
    """The drawn stack; ``None`` for a crop in the field, or for more bales than can be told apart.

    Parameters
    ----------
    lot
        Whose stack.
    cored
        Numbers of the bales cored, in walking order; those of another stack are left out.
    words
        Whose words and colours.
    code
        Of the bag they went into.
    width
        Of the drawing [drawing units, a pixel each].
    """
    bales = lot.bales
    if not bales or bales > MOST_DRAWN:
        return None
    package = None if lot.packages is None else lot.packages.package
    there = [one for one in cored if one <= bales]
    crossed = lot.out_of_reach() - set(there)
    faces = faces_of(lot, {n: walk for walk, n in enumerate(there, 1)}, crossed, words.reader)
    named = tuple(face.name for face in faces)
    drawn = stack_map(
        faces,
        MapWords(
            words("paper.plan.map.title"),
            words("paper.stack.described", cored=len(there), bales=bales, faces=named),
            tuple(words(f"paper.plan.map.{one}") for one in ("walk", "bale", "face", "tier")),
            words("paper.plan.map.unreached"),
            piece_of(words),
        ),
        rectangular=package is not None and not package.round,
        width=width,
        text=MAP_TEXT,
        palette=words.palette,
    )
    said = [words("paper.stack.cored", n=len(there), code=code)] if there else []
    if crossed:
        share = words.percent(len(crossed) / bales)
        said.append(words("paper.stack.crossed", n=len(crossed), share=share))
    return blocks.section(
        words("paper.stack.head"),
        blocks.picture(drawn, width=drawn.width),
        *([blocks.text(" ".join(said), kind="small")] if said else []),
        heavy=True,
        wide=True,
    )
