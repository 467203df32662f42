"""How long one test sheet takes from objects to PDF, against setting the finished document."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date
from itertools import count
from typing import Any

from benchmarks.row import Row
from haywright.bag.bag import Bag
from haywright.bag.codes import BagCode
from haywright.bunk.hazards.nitrate.doubt import Sampling
from haywright.bunk.hazards.nitrate.question import NitrateQuestion, Rest
from haywright.bunk.hazards.nitrate.verdict import NitrateVerdict, decide
from haywright.measure.basis import AS_RECEIVED, DRY_MATTER
from haywright.measure.estimate import Estimate, Source
from haywright.measure.nitrate import NitrateForm
from haywright.measure.result import Evidence, Result
from haywright.paper.sheet_paper import About, sheet_data, sheet_pdf
from haywright.paper.typeset import FONTS, TEMPLATES, printable
from haywright.paper.verdict_matter import opening_of
from haywright.sheet.sheet import Sheet, write_sheet
from haywright.sources.crops import crop
from haywright.sources.guides import guides
from haywright.way.office import Office
from haywright.words import Reader

# An invented bag of oat hay: quantity, value, standard uncertainty, method.
BAG = (("dm", 88.4, 0.4, "oven"), ("cp", 9.6, 0.15, "combustion"), ("adf", 38.2, 0.4, "bags"),
       ("ndf", 61.5, 0.6, "bags"), ("ash", 9.8, 0.15, "furnace"), ("ca", 0.31, 0.01, "plasma"),
       ("p", 0.24, 0.008, "plasma"), ("k", 2.12, 0.05, "plasma"), ("mg", 0.18, 0.006, "plasma"),
       ("nitrate_n", 1120, 60, "flow injection"))  # fmt: skip
OFFICE = Office("Tamarack Fork hay office", "TFK", "555 0117", "Dr. Calloway", "555 0142")
ISSUED = date(2026, 10, 1)


def a_sheet() -> Sheet:
    return write_sheet([_result(*one) for one in BAG], crop("oats"))


def a_verdict(sheet: Sheet) -> NitrateVerdict:
    guide = next(one for one in guides().values() if one.fully_read)
    return decide(
        NitrateQuestion(sheet.measured["nitrate_n"].estimate, ("pregnant",), guide,
                        sampling=Sampling(20, 64), rest=Rest(140, 26), animals="Bred cows")
    )  # fmt: skip


def _result(name: str, value: float, u: float, method: str) -> Result:
    nitrate = name == "nitrate_n"
    reading = Evidence("Reading", value, "mg/L")
    return Result(
        name,
        Estimate.of(value, {Source(f"lab:{name}", df=8): u}),
        "mg/kg" if nitrate else "%",
        AS_RECEIVED if name == "dm" else DRY_MATTER,
        form=NitrateForm.NO3_N if nitrate else None,
        method=method,
        evidence=Evidence(name, value, "%", "dry matter", children=(reading,)),
    )


def about(number: int) -> About:
    bag = Bag(BagCode("TFK", 117), "31", date(2026, 9, 22), "probe", ("dm", "cp", "nitrate"),
              bale_count=20)  # fmt: skip
    return About(OFFICE, "31", "Lower bench oats", "Dahl ranch", number, ISSUED, bag, 64, "Bench")


def set_finished(data: str) -> bytes:
    """Typst alone, as its best friend would call it: fonts read once, data as JSON."""
    import typst

    compiler = typst.Compiler(
        TEMPLATES / "test_sheet.typ",
        root=TEMPLATES,
        font_paths=_FONTS[0],
        ignore_system_fonts=True,
        sys_inputs={"data": data},
    )
    made: Any = compiler.compile(format="pdf", pdf_standards=["ua-1"])
    return made


_FONTS: list[Any] = []


def ROWS() -> Iterator[Row]:  # noqa: N802 - the name every benchmark uses
    import typst

    _FONTS.append(typst.Fonts(False, False, [FONTS]))  # noqa: FBT003 - system, embedded
    sheet, reader = a_sheet(), Reader()
    verdict = a_verdict(sheet)
    whole = sheet_data(sheet, about(1), opening_of(verdict, reader), reader)
    finished = json.dumps(printable(whole), sort_keys=True)
    # every run sets a sheet of another number, so that nothing is found ready made
    ours, theirs = count(1000), count(2000)

    def from_objects() -> bytes:
        return sheet_pdf(sheet, about(next(ours)), opening_of(verdict, reader), reader)

    def finished_document() -> bytes:
        number = f"Test sheet {next(theirs)}"
        return set_finished(finished.replace("Test sheet 1", number))

    def same() -> bool:
        mine = sheet_pdf(sheet, about(1), opening_of(verdict, reader), reader)
        return mine == set_finished(finished)

    yield Row(
        name="one test sheet as PDF",
        issue=2,
        baseline="typst setting the same finished document",
        limit=1.5,
        ours=from_objects,
        theirs=finished_document,
        equal=same,
        note="from a written Sheet and its verdict to bytes: words, drawings, JSON are ours",
    )
