"""Writes docs/pictures: a test sheet of the demo's office on paper, and pages of its office."""

from __future__ import annotations

from pathlib import Path

from haywright.cli.tour import lot_samples
from haywright.files.office import OfficeFolder, demo_folder, read_office
from haywright.paper.sheet_paper import About, sheet_data
from haywright.paper.typeset import set_pages
from haywright.paper.verdict_matter import opening_of
from haywright.way.lot import cleanest, decide_for, spread_between
from haywright.words import Reader
from tools.page_pictures import take

PICTURES = Path(__file__).resolve().parents[1] / "docs" / "pictures"
LOT = "creek-oats"
DOTS_PER_INCH = 110


def test_sheet(folder: OfficeFolder, reader: Reader) -> bytes:
    """Page 1 of the lot's test sheet as PNG; without a day of release, so it stays the same."""
    mine, every = lot_samples(folder, LOT)
    sample = mine[0]
    ranch = folder.ranches[sample.lot.ranch]
    of_ranch = [one for one in every if one.lot.ranch == sample.lot.ranch]
    decision = decide_for(
        sample,
        ranch.groups[0],
        office=folder.office,
        ranch=ranch,
        spread=spread_between(sample.lot, mine),
        clean_feed=cleanest(of_ranch, besides=sample),
    )
    about = About(
        folder.office,
        LOT,
        sample.name,
        ranch.name,
        bag=sample.bags[0],
        bales=sample.bales,
        laboratory=folder.batches[0].laboratory,
    )
    data = sheet_data(sample.sheet, about, opening_of(decision.verdict, reader), reader)
    return set_pages("test_sheet", data, dots_per_inch=DOTS_PER_INCH)[0]


def main() -> None:
    PICTURES.mkdir(parents=True, exist_ok=True)
    folder = read_office(demo_folder())
    (PICTURES / "test-sheet.png").write_bytes(test_sheet(folder, Reader()))
    take(PICTURES)


if __name__ == "__main__":
    main()
