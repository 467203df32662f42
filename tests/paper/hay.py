"""An invented lot of oat hay, its bag and results, as the papers take them."""

from __future__ import annotations

import math
from datetime import date

from haywright.bag.bag import Bag
from haywright.bag.codes import BagCode
from haywright.measure.basis import AS_RECEIVED, DRY_MATTER
from haywright.measure.estimate import Estimate, Source
from haywright.measure.message import message
from haywright.measure.nitrate import NitrateForm
from haywright.measure.result import Evidence, Kind, Result, Results
from haywright.paper.drawings import BaleMark, Face, State
from haywright.paper.sheet_paper import About
from haywright.paper.yard import Core, Precision, YardSheet
from haywright.sheet.sheet import write_sheet
from haywright.sources.crops import crop
from haywright.way.office import Office

OFFICE = Office("Tamarack Fork hay office", "TFK", "555 0117", "Dr. Inés Calloway", "555 0142")
BAG = Bag(BagCode("TFK", 117), "31", date(2026, 9, 22), "probe", ("dm", "cp", "nitrate"),
          bales=tuple(range(1, 21)), sampler="R. Dahl", mass_sealed_g=210.0)  # fmt: skip
ABOUT = About(OFFICE, "31", "Lower bench oats", "Dahl ranch", 1, date(2026, 10, 1), BAG, 64,
              "Tamarack Fork bench")  # fmt: skip

# quantity: value, laboratory and sampling standard uncertainty, method
TESTED = {
    "dm": (88.4, 0.4, 0.3, "oven, two stages"),
    "cp": (9.6, 0.15, 0.25, "combustion"),
    "adf": (38.2, 0.4, 0.6, "fiber bags"),
    "ndf": (61.5, 0.6, 0.9, "fiber bags, amylase"),
    "ash": (9.8, 0.15, 0.0, "furnace"),
    "ca": (0.31, 0.01, 0.0, "plasma emission"),
    "k": (2.12, 0.05, 0.0, "plasma emission"),
    "nitrate_n": (1120.0, 60.0, 150.0, "flow injection"),
}


def result(name, value, laboratory, sampling, method) -> Result:
    parts = {Source(f"lab:{name}", df=8): laboratory}
    if sampling:
        parts[Source(f"sampling:{name}", df=8)] = sampling
    nitrate = name == "nitrate_n"
    readings = (
        Evidence("Ground hay weighed", 0.5013, "g", who="run 88", when="2026-09-29T09:12:00"),
        Evidence("Reading from the curve", 11.02, "mg/L"),
    )
    return Result(
        name,
        Estimate.of(value, parts),
        "mg/kg" if nitrate else "%",
        AS_RECEIVED if name == "dm" else DRY_MATTER,
        kind=Kind.MEASURED,
        form=NitrateForm.NO3_N if nitrate else None,
        method=method,
        evidence=Evidence(
            name, value, "mg/kg" if nitrate else "%", "dry matter", children=readings
        ),
    )


def results(*, without=(), pending=(), held=()) -> Results:
    found = [result(n, *row) for n, row in TESTED.items() if n not in (*without, *pending, *held)]
    found += [
        Result(n, Estimate.held(message("measure.held"), raw=TESTED[n][0]), "%") for n in held
    ]
    return Results(found, pending=pending)


def sheet(name="oats", **changes):
    return write_sheet(results(**changes), crop(name))


def yard(**changes) -> YardSheet:
    bales = [BaleMark(n + 1, n % 12, n // 12) for n in range(24)]
    picked = {2: 1, 6: 2, 11: 3, 19: 4, 22: 5}
    south = Face(
        "South face",
        tuple(
            BaleMark(b.number, b.column, b.tier, State.PICKED, picked[b.number])
            if b.number in picked
            else b
            for b in bales
        ),
    )
    north = Face("North face", (BaleMark(25, 0, 0, State.UNREACHED), BaleMark(26, 1, 0)))
    points = tuple((n, 2.0 / math.sqrt(n)) for n in (1, 2, 5, 10, 20))
    given = {
        "lot_name": "Lower bench oats",
        "made_on": date(2026, 9, 20),
        "precision": Precision("cp", points, target=1.0, floor=0.3, at=5),
        "unreached": (25,),
        **changes,
    }
    core = Core("round", 1.524, 0.4572, rind=0.0762, once=0.401, rind_factor=0.88)
    return YardSheet(OFFICE, "31", 26, (south, north), core, **given)
