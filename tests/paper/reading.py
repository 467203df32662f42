"""What the tests read a finished paper with: an independent reader of PDF."""

from __future__ import annotations

import io
import re
from xml.etree import ElementTree as ET

from pypdf import PdfReader

SVG = "{http://www.w3.org/2000/svg}"


def reader(pdf: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(pdf))


def text_of(pdf: bytes) -> str:
    """All text in reading order, with plain blanks between words."""
    text = " ".join(page.extract_text() for page in reader(pdf).pages)
    return re.sub(r"\s+", " ", text.replace("\N{NO-BREAK SPACE}", " "))


def fonts_of(pdf: bytes) -> list[tuple[str, bool]]:
    """(name, whether the face itself is inside) of every font."""
    found = []
    objects = reader(pdf)
    for number in range(1, len(objects.xref[0]) + 1):
        one = objects.get_object(number)
        if isinstance(one, dict) and one.get("/Type") == "/FontDescriptor":
            inside = any(key in one for key in ("/FontFile", "/FontFile2", "/FontFile3"))
            found.append((str(one["/FontName"]), inside))
    return found


def drawing(svg: str) -> ET.Element:
    return ET.fromstring(svg)  # noqa: S314 - our own drawings


def words_in(svg: str) -> list[str]:
    """Every text a person sees in a drawing."""
    return ["".join(one.itertext()) for one in drawing(svg).iter(f"{SVG}text")]
