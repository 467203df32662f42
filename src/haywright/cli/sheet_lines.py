"""A test sheet as lines of the terminal; a table keeps two spaces between its columns."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from haywright.measure.analytes import dictionary, quantity
from haywright.measure.estimate import Estimate, State
from haywright.measure.message import Amount, Message, message
from haywright.measure.nitrate import NitrateForm, convert_form
from haywright.measure.register import get
from haywright.measure.result import Kind, Result
from haywright.sheet.energy_rows import EnergyRow
from haywright.sheet.grades import Grade
from haywright.sheet.normal import scales_with_moisture
from haywright.sheet.sheet import Large, NotDerived, Sheet
from haywright.sources.bibliography import cite
from haywright.words import Reader, say
from haywright.words.numbers import figure

Line = str | Message
_FOLLOWS = ("tdn", "tdn_90", "horse_de", "me", "nem", "neg", "nel", "rfv", "rfq", "nfc", "nsc",
            "cp_less_nitrate", "cp_adjusted", "dcp", "external_ash", "ca_to_p", "dcad",
            "tetany_ratio")  # fmt: skip
_WORTH_SAYING = {
    "horse": ("horse_de", "nsc", "ca_to_p"),
    "cattle": ("tdn", "rfv", "rfq", "cp_adjusted", "ca_to_p"),
}
_COMPARED = {"tdn": "TDN", "tdn_90": "TDN-90", "me": "ME", "nem": "NEm", "neg": "NEg"}
_MARK = " †"


def sheet_lines(
    sheet: Sheet, reader: Reader, *, laboratory: str = "", typed: bool = False
) -> list[Line]:
    """The sheet as a person reads it at the terminal.

    Parameters
    ----------
    sheet
        The sheet.
    reader
        Language and units.
    laboratory
        Whose report it is.
    typed
        Whether the numbers were typed from a report that gives no uncertainty.
    """
    lines: list[Line] = [_head(sheet)]
    if laboratory:
        lines.append(message("sheet.said.laboratory", name=laboratory))
    if sheet.pending:
        lines.append(message("sheet.said.interim", names=_names(sheet.pending)))
    if sheet.held:
        lines.append(message("sheet.said.held", names=_names(sheet.held)))
    lines.append(_short(sheet, reader))
    derived = [sheet.derived[name] for name in _FOLLOWS if name in sheet.derived]
    order = list(dictionary())
    measured = sorted(sheet.measured.values(), key=lambda one: order.index(one.analyte))
    lines += ["", *_table("sheet.said.tested", measured, sheet, reader)]
    lines += _nitrate(sheet, reader)
    lines += ["", *_table("sheet.said.follows", derived, sheet, reader)]
    lines += ["", *how] if (how := list(_how(sheet))) else []
    lines += _grades(sheet, reader)
    lines += _mind(sheet, typed=typed)
    lines += _missing(sheet)
    lines += ["", *_feeding(sheet)]
    return lines


def compare_lines(sheet: Sheet, reader: Reader, *, every: bool = False) -> list[Line]:
    """One hay under each TDN equation, as a table; ``every`` shows those of other crops too."""
    rows = [row for row in sheet.energy if row.meant or every]
    worked = [row for row in rows if row.energy]
    if not worked:
        beyond = [r for r in rows if r.refused is not None and "missing" not in r.refused.args]
        return [message("sheet.compare.none"), *(_why(row) for row in beyond)]
    width = max(len(_equation(row)) for row in worked)
    titles = [say(message("sheet.compare.equation"), reader).ljust(width)]
    titles += [title.rjust(7) for title in _COMPARED.values()]
    energy_unit = _figure(1.0, "nem", reader)[1]
    lines: list[Line] = [
        message("sheet.compare.head", crop=sheet.crop.name),
        message("sheet.compare.units", unit=energy_unit),
        "",
        "  ".join(titles),
    ]
    for row in worked:
        cells = [_number(row.energy[n].estimate, n, reader)[0].rjust(7) if n in row.energy
                 else "".rjust(7) for n in _COMPARED]  # fmt: skip
        lines.append("  ".join([_equation(row).ljust(width), *cells]).rstrip())
    lines += ["", *_spread(worked)]
    chosen = sheet.get("tdn")
    if chosen is not None and chosen.equation:
        lines.append(message("sheet.compare.chosen", name=get(chosen.equation).name))
    if any(row.method.equation.recalled for row in rows):
        lines.append(message("sheet.said.dagger"))
    if len(worked) < len(rows):
        lines += ["", message("sheet.compare.needs")]
        lines += [_why(row) for row in rows if not row.energy]
    others = tuple(row.method.name for row in sheet.energy if not row.meant)
    if others and not every:
        lines += ["", message("sheet.compare.others", names=others)]
    return lines


def _spread(worked: list[EnergyRow]) -> Iterator[Message]:
    found = [row.energy["tdn"].value for row in worked if row.meant]
    if len(found) > 1:
        apart = Amount(max(found) - min(found), "", digits=1)
        yield message("sheet.compare.spread", points=apart)


def _head(sheet: Sheet) -> Message:
    return message(
        "sheet.said.head", crop=sheet.crop.name, form=message(f"sheet.form.{sheet.form}")
    )


def _short(sheet: Sheet, reader: Reader) -> Message:
    """The five numbers in one line."""
    return message("sheet.said.short", list=tuple(_brief(one, reader) for one in sheet.large))


def _brief(one: Large, reader: Reader) -> Message:
    """One of the five: its number; beyond a limit the limit; held; or that there is none."""
    name, result = one.quantity, one.result
    if result is None:
        if one.why is not None and one.why.key == "sheet.still_to_come":
            return message("sheet.short.to_come", quantity=message("measure.quantity", id=name))
        recalled = one.why is not None and one.why.key == "sheet.only_recalled"
        return message(f"sheet.short.{'recalled' if recalled else 'no'}.{name}")
    value = " ".join(_number(result.estimate, name, reader)).strip()
    if name != "nitrate_n":
        return message(f"sheet.short.{name}", value=value)
    if not result.settled:
        return message("sheet.short.nitrate_beyond", value=value)
    no3 = convert_form(result.value, NitrateForm.NO3_N, NitrateForm.NO3)
    return message("sheet.short.nitrate_n", value=value, no3=Amount(no3, "", analyte="no3"))


def _names(names: Iterable[str]) -> tuple[Message, ...]:
    return tuple(message("measure.quantity", id=name) for name in names)


def _table(key: str, results: Iterable[Result], sheet: Sheet, reader: Reader) -> Iterator[str]:
    """Name, number on dry matter, as it stands, likely range, usual range."""
    fed = sheet.form == "baleage"
    share = round(100 * sheet.choices.confidence)
    titles = (
        message(key),
        message("sheet.said.column_dry"),
        message("sheet.said.column_fed" if fed else "sheet.said.column_received"),
        message("sheet.said.column_likely", share=share),
        message("sheet.said.column_usual"),
    )
    rows = [[say(title, reader) for title in titles]]
    rows += [_row(one, sheet, reader) for one in results]
    widths = [max(len(row[column]) for row in rows) for column in range(5)]
    for row in rows:
        cells = [row[0].ljust(widths[0])]
        cells += [cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True)]
        yield "  ".join(cells).rstrip()


def _row(one: Result, sheet: Sheet, reader: Reader) -> list[str]:
    name = one.analyte
    text, unit = _number(one.estimate, name, reader)
    wet = ""
    if scales_with_moisture(name) and name in sheet.as_received:
        number, wet_unit = _number(sheet.as_received[name], name, reader)
        wet = f"{number} {wet_unit}".strip()
    number = f"{text} {unit}".strip()
    recalled = bool(one.equation) and get(one.equation).recalled
    dry, received = ("", number) if quantity(name).basis == "as received" else (number, wet)
    label = "  " + quantity(name).name + (_MARK if recalled else "")
    return [label, dry, received, _likely(one, sheet, reader), _usual(name, sheet, reader)]


def _number(estimate: Estimate, name: str, reader: Reader) -> tuple[str, str]:
    """Number and unit of a quantity as the reader has them; energy per pound on US units."""
    entry = quantity(name)
    if estimate.state is State.HELD:
        return say(message("sheet.said.held_number"), reader), ""
    if estimate.state is State.MEASURED:
        return _figure(estimate.value, name, reader)
    low, unit = _figure(estimate.low, name, reader) if estimate.low > 0 else ("", entry.unit)
    if estimate.high == float("inf"):
        return say(message("sheet.said.above", value=low), reader), unit
    high, unit = _figure(estimate.high, name, reader)
    if not low:
        return say(message("sheet.said.below", value=high), reader), unit
    return say(message("sheet.said.range", low=low, high=high), reader), unit


def _figure(value: float, name: str, reader: Reader) -> tuple[str, str]:
    entry = quantity(name)
    if entry.unit == "Mcal/kg":  # without a name, so that the reader's own unit is taken
        return figure(Amount(value, entry.unit, digits=entry.digits), reader)
    return figure(Amount(value, entry.unit, analyte=name), reader)


def _likely(one: Result, sheet: Sheet, reader: Reader) -> str:
    if not one.settled or one.estimate.u == 0:
        return ""
    ends = one.estimate.interval(sheet.choices.confidence)
    low, high = (_figure(max(0.0, end), one.analyte, reader)[0] for end in ends)
    return say(message("sheet.said.range", low=low, high=high), reader)


def _usual(name: str, sheet: Sheet, reader: Reader) -> str:
    usual = sheet.usual.get(name)
    if usual is None:
        return ""
    low, high = (_figure(end, name, reader)[0] for end in (usual.low, usual.high))
    text = say(message("sheet.said.range", low=low, high=high), reader)
    return text + (_MARK if usual.recalled else "")


def _nitrate(sheet: Sheet, reader: Reader) -> Iterator[Line]:
    nitrate = sheet.get("nitrate_n")
    if nitrate is not None and nitrate.settled:
        as_no3 = convert_form(nitrate.value, NitrateForm.NO3_N, NitrateForm.NO3)
        value = Amount(as_no3, "mg/kg", "dry matter", analyte="no3")
        yield "    " + say(message("sheet.said.as_no3", value=value), reader)


def _how(sheet: Sheet) -> Iterator[Line]:
    """Which equation gave the energy, and what the others would say."""
    for name in ("tdn", "horse_de"):
        one = sheet.get(name)
        if one is None:
            continue
        label = message("measure.quantity", id=name)
        if one.kind is Kind.CALCULATED:
            equation = get(one.equation)
            line = cite(equation.source).line
            yield message("sheet.said.by", quantity=label, name=equation.name, source=line)
        else:
            yield message("sheet.said.by_laboratory", quantity=label)
    used = sheet.get("tdn")
    others = tuple(
        message(
            "sheet.said.one_tdn",
            value=Amount(row.energy["tdn"].value, "", digits=1),
            name=_equation(row),
        )
        for row in sheet.energy
        if row.meant and row.energy and (used is None or row.method.name != used.method)
    )
    if others:
        yield message("sheet.said.other_tdn", list=others)
    if sheet.choices.species == "horse":
        yield message("sheet.said.horse")
    less = sheet.cp_less_nitrate
    if less is not None and less.settled:
        value = Amount(less.value, "%", analyte="cp_less_nitrate")
        cp = Amount(sheet.measured["cp"].value, "%", analyte="cp")
        yield message("sheet.said.counted", value=value, cp=cp)
    elif less is not None:
        yield message("sheet.said.counted_unknown")


def _grades(sheet: Sheet, reader: Reader) -> Iterator[Line]:
    if not sheet.grades:
        return
    yield ""
    yield message("sheet.said.grade")
    for one in sheet.grades:
        yield "  " + _grade_head(one, reader)
        measures = tuple(_placed(one, measure) for measure in one.by_measure)
        if len(one.scale.bands) > 1:
            key = {True: "agree", False: "disagree", None: "only"}[one.agree]
            key = f"sheet.said.grade_{key}"
            yield "    " + say(message(key, list=measures), reader).strip()
    tie = message(f"sheet.tie.{sheet.choices.tie}")
    yield "  " + say(message("sheet.said.grade_rules", tie=tie), reader)


def _grade_head(one: Grade, reader: Reader) -> str:
    alone = len(one.scale.bands) == 1
    rule = message(f"sheet.rule.{next(iter(one.scale.bands)) if alone else one.rule}")
    key = "sheet.said.grade_by" if one.headline else "sheet.said.grade_none"
    word = message(key, word=one.headline, rule=rule)
    year = f", {one.scale.year}" if one.scale.year else ""
    name = one.scale.name + year + (_MARK if one.scale.recalled else "")
    return say(message("sheet.said.grade_line", scale=name, word=word), reader)


def _placed(one: Grade, measure: str) -> Message:
    found = one.by_measure[measure]
    label = message(f"sheet.measure.{measure}")
    word: str | Message = found.word or message("sheet.said.grade_gap")
    if found.best == found.worst:
        return message("sheet.said.grade_one", measure=label, word=word)
    return message(
        "sheet.said.grade_one_unsure",
        measure=label,
        word=word,
        best=found.best,
        worst=found.worst,
    )


def _mind(sheet: Sheet, *, typed: bool) -> Iterator[Line]:
    said: list[Message] = [flag.message for flag in sheet.flags]
    said += sheet.remarks
    said += [note for one in sheet.derived.values() for note in one.notes
             if note.key != "sheet.recalled"]  # fmt: skip
    said += [u.message() for u in sheet.usual.values() if u.message() is not None]  # type: ignore[misc]
    if any(one.estimate.u > 0 for one in sheet.derived.values()):
        said.append(message("sheet.said.ranges"))
    if typed:
        said.append(message("sheet.said.spread"))
    yield ""
    yield message("sheet.said.mind")
    yield from dict.fromkeys(said)
    if _recalled(sheet):
        yield message("sheet.said.dagger")


def _recalled(sheet: Sheet) -> bool:
    shown = {*sheet.measured, *sheet.derived}
    return (
        any(one.equation and get(one.equation).recalled for one in sheet.derived.values())
        or any(one.scale.recalled for one in sheet.grades)
        or any(u.recalled for name, u in sheet.usual.items() if name in shown)
        or any(row.meant and row.energy and row.method.equation.recalled for row in sheet.energy)
    )


def _missing(sheet: Sheet) -> Iterator[Line]:
    worth = _WORTH_SAYING.get(sheet.choices.species, _WORTH_SAYING["cattle"])
    found = [one for one in sheet.not_derived if one.quantity in worth and _tellable(one)]
    if not found:
        return
    yield ""
    yield message("sheet.said.missing_head")
    for one in found:
        name = message("measure.quantity", id=one.quantity)
        if one.missing:
            yield message("sheet.said.missing", quantity=name, missing=_names(one.missing))
        else:
            yield message("sheet.said.refused", quantity=name, why=one.why)


def _tellable(one: NotDerived) -> bool:
    """Not an index that is not made for this crop: only what a test or a range keeps away."""
    return one.missing != (one.quantity,)


def _feeding(sheet: Sheet) -> Iterator[Line]:
    if "nitrate_n" in sheet.pending:
        yield message("sheet.said.nitrate_to_come")
    elif sheet.get("nitrate_n") is None:
        low = "_low" if sheet.crop.nitrate == "low" else ""
        yield message(f"sheet.said.nitrate_untested{low}", crop=sheet.crop.name)
    else:
        yield message("sheet.said.nitrate_next")


def _equation(row: EnergyRow) -> str:
    return row.method.equation.name + (_MARK if row.method.equation.recalled else "")


def _why(row: EnergyRow) -> Message:
    refused = row.refused
    if refused is not None and "missing" in refused.args:
        missing = refused.args["missing"]
        return message("sheet.compare.cannot", name=_equation(row), missing=missing)
    return message("sheet.compare.refused", name=_equation(row), why=refused)
