"""Bag labels: a code to scan and to read, and what the laboratory needs to know; no owner."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from haywright.bag.bag import Bag
from haywright.bag.tests import lab_test
from haywright.paper.drawings import code_square
from haywright.paper.speaker import Speaker
from haywright.paper.typeset import set_pdf
from haywright.words import Reader, reads

WIDTH_MM, HEIGHT_MM = 90, 40
MOST_TESTS = 4


def labels_pdf(bags: Sequence[Bag], reader: Reader) -> bytes:
    """One label a page, 90 by 40 mm."""
    return set_pdf("label", labels_data(bags, reader))


def labels_data(bags: Sequence[Bag], reader: Reader) -> dict[str, Any]:
    """The labels as the template takes them."""
    words = Speaker(reads("paper.label.title", reader))
    codes = tuple(str(one.code) for one in bags)
    return {
        "language": words.reader.language,
        "title": words("paper.label.title", codes=codes),
        "width": WIDTH_MM,
        "height": HEIGHT_MM,
        "labels": [_label(one, words) for one in bags],
    }


def _label(bag: Bag, words: Speaker) -> dict[str, Any]:
    code = str(bag.code)
    said = words("paper.label.reads", code=code)
    drawn = code_square(
        code, title=words("paper.label.code"), description=said, head=(words("paper.about.bag"),)
    )
    lines: list[Any] = [
        [words("paper.about.lot"), bag.lot],
        [words("paper.about.cored"), words.day(bag.cored_on)],
        [words("paper.label.tests"), _tests(bag, words)],
    ]
    if bag.bales_cored is not None:
        cores = words("paper.label.cores", bales=bag.bales_cored, cores=bag.cores_per_bale)
        lines.insert(2, [words("paper.about.bales"), cores])
    if bag.screen_only:
        lines.append(words("paper.label.grab"))
    lines.append(words("paper.label.cool"))
    return {
        "code": {"svg": drawn.svg, "alt": f"{drawn.title}. {drawn.description}"},
        "readable": code,
        "lines": lines,
    }


def _tests(bag: Bag, words: Speaker) -> str:
    """The first tests by name and how many more; the order form has them all."""
    names = [lab_test(one).name for one in bag.tests]
    if len(names) <= MOST_TESTS + 1:
        return ", ".join(names)
    more = words("paper.label.more", more=len(names) - MOST_TESTS)
    return ", ".join([*names[:MOST_TESTS], more])
