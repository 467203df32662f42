"""A rancher's printed way in: one page with a square that signs them in, for the barn wall."""

from __future__ import annotations

from typing import Any

from haywright.paper.drawings import code_square
from haywright.paper.sheet_paper import PAPER_NAMES
from haywright.paper.speaker import Speaker
from haywright.paper.typeset import set_pdf
from haywright.words import Reader


def way_in_pdf(address: str, reader: Reader, **of: str) -> bytes:
    """One page with the square of an address that signs somebody in; as ``way_in_data``."""
    return set_pdf("way_in", way_in_data(address, reader, **of))


def way_in_data(
    address: str,
    reader: Reader,
    *,
    person: str,
    ranch: str,
    office: str,
    phone: str = "",
    page: str = "letter",
) -> dict[str, Any]:
    """The page as the template takes it.

    Parameters
    ----------
    address
        The way in, whole.
    reader
        Who reads it.
    person, ranch
        Whose it is.
    office, phone
        Who printed it, and where to say that it is lost.
    page
        Name of ``PAPER_NAMES``.
    """
    words = Speaker(reader)
    said = words("paper.way_in.square")
    drawn = code_square(address, title=said, description=said, head=(said,), level="M")
    return {
        "language": reader.language,
        "paper": PAPER_NAMES[page],
        "title": words("paper.way_in.title", person=person),
        "head": {"name": words("paper.way_in.head"), "office": office},
        "kicker": [one for one in (ranch, office) if one],
        "lede": words("paper.way_in.lede"),
        "code": {"svg": drawn.svg, "alt": f"{drawn.title}. {drawn.description}"},
        "steps": [words(f"paper.way_in.step.{n}") for n in (1, 2, 3)],
        "or-type": words("paper.way_in.or_type"),
        "address": address,
        "care": words("paper.way_in.care", office=office, phone=phone or "–"),
        "foot": {"left": office, "page": words("paper.page", page="{page}", pages="{pages}")},
    }
