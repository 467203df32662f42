"""Rules of belief, P1 to P14. Each returns messages; none of them changes a number.

The same rules serve one sample and arrays: a rule is a list of findings, each a comparison that
works on floats and arrays alike. P13 and P14 need a report beside the sample and stand apart.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from haywright.measure.analytes import quantity
from haywright.measure.errors import Refused
from haywright.measure.message import Amount, Message, message
from haywright.sheet.carbohydrate import ndf_to_adf
from haywright.sheet.families import TDN
from haywright.sheet.indices import rfv_rohweder
from haywright.sheet.mineral import ca_to_p, mineral_sum
from haywright.sheet.protein import cp_from_n
from haywright.sheet.tdn import tdn_at_90
from haywright.sheet.working import Working
from haywright.sources.tables import load_toml

Values = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class _Hay:
    """What a rule looks at: values by quantity, kind of forage, form of the hay."""

    v: Values
    kind: str
    form: str


@dataclass(frozen=True, slots=True)
class Finding:
    """One comparison of a rule: whether it is broken, and what to say when it is.

    Parameters
    ----------
    broken
        Boolean or array of booleans.
    key
        Message key.
    quantities
        Dictionary names it speaks of.
    least, most
        Limits it was held against [unit of the quantities].
    """

    broken: Any
    key: str
    quantities: tuple[str, ...]
    least: Any = None
    most: Any = None


@dataclass(frozen=True, slots=True)
class Flag:
    """What a rule found: its id; impossible, unusual or only a note; and what is said."""

    rule: str
    kind: str
    message: Message
    quantities: tuple[str, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return {"rule": self.rule, "kind": self.kind, "message": self.message.to_json()}


def limits() -> dict[str, Any]:
    """The table of the rules."""
    return load_toml("plausibility")


def _range(
    rule: str, name: str, hay: _Hay, kind: str = "", *, value: Any = None
) -> Iterator[Finding]:
    """A quantity against its range for a kind of forage, where the rule has one."""
    bands = limits()[rule][name]
    found = bands.get(kind or hay.kind, bands.get("any"))
    value = hay.v.get(name) if value is None else value
    if found is None or value is None:
        return
    least, most = found
    yield Finding((value < least) | (value > most), "sheet.flag.range", (name,), least, most)


def _order(v: Values, lower: str, upper: str, *, equal: bool = True) -> Iterator[Finding]:
    """One quantity that cannot exceed another."""
    if lower in v and upper in v:
        broken = v[lower] > v[upper] if equal else v[lower] >= v[upper]
        yield Finding(broken, "sheet.flag.order", (lower, upper))


def _p1(hay: _Hay) -> Iterator[Finding]:
    if "dm" in hay.v:
        impossible = (hay.v["dm"] <= 0) | (hay.v["dm"] > 100)
        yield Finding(impossible, "sheet.flag.range", ("dm",), 0, 100)
        yield from _range("P1", "dm", hay, hay.form)


def _p2(hay: _Hay) -> Iterator[Finding]:
    yield from _order(hay.v, "adf", "ndf", equal=False)


def _p3(hay: _Hay) -> Iterator[Finding]:
    parts = ("cp", "ndf", "fat", "ash")
    if not all(name in hay.v for name in parts):
        return
    table = limits()["P3"]
    bound = hay.v.get("ndicp")
    total = hay.v["cp"] + hay.v["ndf"] + hay.v["fat"] + hay.v["ash"]
    if bound is not None:
        total = total - bound
    most = table["most"] + (table["allowance"] if bound is None else 0.0)
    yield Finding(total > most, "sheet.flag.sum", parts, most=table["most"])


def _p4(hay: _Hay) -> Iterator[Finding]:
    yield from _order(hay.v, "adicp", "ndicp")
    yield from _order(hay.v, "ndicp", "cp")
    if "ndicp" not in hay.v:
        yield from _order(hay.v, "adicp", "cp")


def _p5(hay: _Hay) -> Iterator[Finding]:
    yield from _order(hay.v, "lignin", "adf", equal=False)
    yield from _range("P5", "lignin", hay)


def _p6(hay: _Hay) -> Iterator[Finding]:
    minerals = {name: hay.v[name] for name in ("ca", "p", "mg", "k", "na", "cl") if name in hay.v}
    if minerals and "ash" in hay.v:
        broken = mineral_sum(minerals) > hay.v["ash"]
        yield Finding(broken, "sheet.flag.minerals", (*minerals, "ash"))


def _p7(hay: _Hay) -> Iterator[Finding]:
    yield from _order(hay.v, "esc", "wsc")
    if all(name in hay.v for name in ("starch", "wsc", "nfc")):
        most = hay.v["nfc"] + limits()["P7"]["allowance"]
        broken = hay.v["starch"] + hay.v["wsc"] > most
        yield Finding(broken, "sheet.flag.sugar_starch", ("starch", "wsc", "nfc"))


def _p8(hay: _Hay) -> Iterator[Finding]:
    yield from _range("P8", "ca", hay)
    if "ca" in hay.v and "p" in hay.v and hay.kind in limits()["P8"]["ca_to_p"]:
        yield from _range("P8", "ca_to_p", hay, value=_divided(ca_to_p, hay.v["ca"], hay.v["p"]))


def _p9(hay: _Hay) -> Iterator[Finding]:
    if "ndf" in hay.v and "adf" in hay.v:
        ratio = _divided(ndf_to_adf, hay.v["ndf"], hay.v["adf"])
        yield from _range("P9", "ndf_to_adf", hay, value=ratio)


def _p10(hay: _Hay) -> Iterator[Finding]:
    yield from _range("P10", "cp", hay)
    if "cp" in hay.v and "n" in hay.v:
        apart = np.abs(hay.v["cp"] - cp_from_n(hay.v["n"])) > limits()["P10"]["within"]
        yield Finding(apart, "sheet.flag.nitrogen", ("cp", "n"))


def _p11(hay: _Hay) -> Iterator[Finding]:
    for name in ("p", "ca", "k", "mg", "s"):
        yield from _range("P11", name, hay)


def _p12(hay: _Hay) -> Iterator[Finding]:
    yield from _range("P12", "ash", hay)


RULES: dict[str, Callable[[_Hay], Iterator[Finding]]] = {
    "P1": _p1,
    "P2": _p2,
    "P3": _p3,
    "P4": _p4,
    "P5": _p5,
    "P6": _p6,
    "P7": _p7,
    "P8": _p8,
    "P9": _p9,
    "P10": _p10,
    "P11": _p11,
    "P12": _p12,
}
BITS = {rule: 1 << place for place, rule in enumerate(RULES)}


def _divided(fn: Callable[[Any, Any], Any], top: Any, bottom: Any) -> Any:
    """A ratio; missing where it would be divided by nothing."""
    with np.errstate(all="ignore"):
        ratio = fn(np.float64(top) if np.ndim(top) == 0 else top, bottom)
        return np.where(np.isfinite(ratio), ratio, np.nan)


def check(values: Values, *, forage_class: str, form: str = "cured_hay") -> tuple[Flag, ...]:
    """Hold one sample against the rules P1 to P12.

    Parameters
    ----------
    values
        Quantity -> number [canonical unit]; what was not measured is left out.
    forage_class
        legume, grass, mixed, small_grain, sorghum, corn, straw or brassica.
    form
        cured_hay, standing_crop, cornstalks or baleage.
    """
    return tuple(
        Flag(rule, limits()[rule]["kind"], _said(finding, values), finding.quantities)
        for rule, findings in RULES.items()
        for finding in findings(_Hay(values, forage_class, form))
        if bool(finding.broken)
    )


def bits(values: Values, *, forage_class: str, form: str = "cured_hay") -> Any:
    """The rules broken by each of many samples, one bit per rule (:data:`BITS`).

    Parameters
    ----------
    values
        Quantity -> array [canonical unit]; NaN where a sample has no value.
    forage_class, form
        As for :func:`check`, the same for all samples.

    Returns
    -------
    Unsigned 16-bit integers, shaped like the arrays.
    """
    shape = np.shape(next(iter(values.values())))
    out = np.zeros(shape, dtype=np.uint16)
    for rule, findings in RULES.items():
        for finding in findings(_Hay(values, forage_class, form)):
            out |= finding.broken.astype(np.uint16) * np.uint16(BITS[rule])
    return out


def _said(finding: Finding, values: Values) -> Message:
    amounts = tuple(_amount(name, values) for name in finding.quantities)
    names = tuple(message("measure.quantity", id=name) for name in finding.quantities)
    if finding.key == "sheet.flag.range":
        open_top = finding.most == np.inf
        key = "sheet.flag.at_least" if open_top else finding.key
        return message(
            key, quantity=names[0], value=amounts[0], least=finding.least, most=finding.most
        )
    if finding.key == "sheet.flag.order":
        return message(finding.key, lower=names[0], upper=names[1], low=amounts[0], high=amounts[1])
    if finding.key == "sheet.flag.sum":
        return message(finding.key, names=names, most=finding.most)
    return message(finding.key, names=names, amounts=amounts)


def _amount(name: str, values: Values) -> Amount:
    value = values.get(name)
    if value is None:
        fn, top, bottom = {
            "ndf_to_adf": (ndf_to_adf, "ndf", "adf"),
            "ca_to_p": (ca_to_p, "ca", "p"),
        }[name]
        value = _divided(fn, values[top], values[bottom])
    return Amount(float(value), quantity(name).unit, analyte=name)


# ---- P13: a reported TDN or RFV, and which equation it could have come from


@dataclass(frozen=True, slots=True)
class Fit:
    """An equation that fits a reported TDN.

    ``at_90`` when it fits as TDN-90; ``meant`` when it was made for this crop.
    """

    method: str
    code: str
    name: str
    gives: float
    at_90: bool
    meant: bool


def fitting(working: Working, reported_tdn: float, *, within: float | None = None) -> list[Fit]:
    """Every equation that gives a reported TDN from the rest of the report; several may.

    Parameters
    ----------
    working
        The sample.
    reported_tdn
        As the report prints it [% of dry matter, or of 90 % dry matter].
    within
        How near counts as a fit [points]; 0.6 when left out.
    """
    near = limits()["P13"]["tdn_within"] if within is None else within
    found = []
    for one in TDN.methods:
        try:
            gives = working.by(one).value
        except Refused:
            continue
        for value, at_90 in ((gives, False), (float(tdn_at_90(gives)), True)):
            if abs(value - reported_tdn) <= near:
                meant = one.made_for_crop(working.crop)
                found.append(Fit(one.name, one.code, one.equation.name, value, at_90, meant))
    return found


def check_reported(working: Working, reported: Mapping[str, float]) -> tuple[Flag, ...]:
    """P13: hold a report's own TDN and RFV against the equations.

    Parameters
    ----------
    working
        The rest of the report.
    reported
        "tdn" [% of dry matter] and "rfv" as the laboratory printed them.
    """
    return (*_reported_tdn(working, reported), *_reported_rfv(working, reported))


def _reported_tdn(working: Working, reported: Mapping[str, float]) -> Iterator[Flag]:
    if "tdn" not in reported:
        return
    value = Amount(reported["tdn"], "%", analyte="tdn")
    fits = fitting(working, reported["tdn"])
    said_by = working.results["tdn"].method if "tdn" in working.results else ""
    if said_by:
        if said_by not in {fit.method for fit in fits if not fit.at_90}:
            name = TDN.method(said_by).equation.name
            yield _tdn_flag("sheet.flag.tdn_not_as_said", value, (name,))
        return
    on_dry, at_90 = (_names([f for f in fits if f.at_90 is ninety]) for ninety in (False, True))
    if on_dry:
        yield _tdn_flag(f"sheet.flag.tdn_{'fits' if len(on_dry) == 1 else 'ask'}", value, on_dry)
    else:
        yield _tdn_flag(f"sheet.flag.tdn_{'at_90' if at_90 else 'unknown'}", value, at_90)


def _tdn_flag(key: str, value: Amount, names: tuple[str, ...]) -> Flag:
    kind = "note" if key == "sheet.flag.tdn_fits" else limits()["P13"]["kind"]
    return Flag("P13", kind, message(key, value=value, names=names), ("tdn",))


def _names(fits: list[Fit]) -> tuple[str, ...]:
    """Those made for this crop; where none fits, whichever do."""
    meant = [fit for fit in fits if fit.meant] or fits
    return tuple(dict.fromkeys(fit.name for fit in meant))


def _reported_rfv(working: Working, reported: Mapping[str, float]) -> Iterator[Flag]:
    if "rfv" not in reported or not working.results.have("adf", "ndf"):
        return
    ours = float(rfv_rohweder(working.results["adf"].value, working.results["ndf"].value))
    if abs(ours - reported["rfv"]) > limits()["P13"]["rfv_within"]:
        args = {
            "value": Amount(reported["rfv"], "", analyte="rfv"),
            "ours": Amount(ours, "", analyte="rfv"),
        }
        yield Flag("P13", "unusual", message("sheet.flag.rfv", **args), ("rfv",))


# ---- P14: the two columns of one report


def check_columns(
    name: str, as_received: tuple[float, int], dry: tuple[float, int], dm: tuple[float, int]
) -> tuple[Flag, ...]:
    """P14: the as-received and dry-matter columns of one report agree through dry matter.

    Parameters
    ----------
    name
        Quantity.
    as_received, dry, dm
        (number, decimals printed) [unit of the quantity; dry matter in %].
    """
    half = {
        column: 10.0**-decimals / 2 for column, (_, decimals) in enumerate((as_received, dry, dm))
    }
    wanted = dry[0] * dm[0] / 100
    slack = half[0] + half[1] * dm[0] / 100 + half[2] * dry[0] / 100
    if abs(wanted - as_received[0]) <= slack * (1 + 1e-9):
        return ()
    said = message(
        "sheet.flag.columns",
        quantity=message("measure.quantity", id=name),
        as_received=as_received[0],
        dry=dry[0],
        dm=dm[0],
    )
    return (Flag("P14", limits()["P14"]["kind"], said, (name,)),)
