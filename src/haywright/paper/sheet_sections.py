"""Page 2 of a test sheet: every result, what follows, grades, flags, evidence, whose hay."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from typing import TYPE_CHECKING

from haywright.measure.analytes import dictionary
from haywright.measure.estimate import Estimate
from haywright.measure.result import Evidence, Kind, Result
from haywright.paper import blocks
from haywright.paper.large import SAMPLING, Ranges
from haywright.paper.speaker import DAGGER, Speaker
from haywright.sheet.energy_rows import EnergyRow
from haywright.sheet.grades import Grade
from haywright.sheet.sheet import Sheet

if TYPE_CHECKING:
    from haywright.paper.sheet_paper import About


# What the dagger beside the equation says already.
_SAID_BY_MARK = ("sheet.recalled",)


def found_sections(sheet: Sheet, ranges: Ranges, words: Speaker) -> list[blocks.Block]:
    """What was found: every result, grades, and what is worth a look."""
    results = results_section(sheet, ranges, words)
    results["heavy"] = True
    more = (grades_section(sheet.grades, words), looked_at_section(sheet, words))
    return [results, *(one for one in more if one is not None)]


def behind_sections(sheet: Sheet, words: Speaker) -> list[blocks.Block]:
    """How the number behind the verdict came about; nothing without one."""
    made = evidence_section(sheet.get("nitrate_n"), words)
    return [] if made is None else [made]


def working_sections(sheet: Sheet, words: Speaker) -> list[blocks.Block]:
    """What follows from what was found; empty sections are left out."""
    made = (
        derived_section(sheet, words),
        energy_section(sheet, words),
        missing_section(sheet, words),
    )
    return [one for one in made if one is not None]


def results_section(sheet: Sheet, ranges: Ranges, words: Speaker) -> blocks.Block:
    """Every determination with both likely ranges and its method.

    What is a share of dry matter stands as received and on dry matter; what is not, such as the
    dry matter itself, stands in a table of its own with what it is a share of.
    """
    received = "as_fed" if sheet.form == "baleage" else "as_received"
    apart: list[list[blocks.Cell]] = []
    rows: list[list[blocks.Cell]] = []
    for one in sheet.measured.values():
        made = _result_row(sheet, one, ranges, words)
        if basis := _other_basis(one):
            apart.append([made[0], made[2], words.reader.name(basis), *made[3:]])
        else:
            rows.append(made)
    said = []
    for lines, columns, align in (
        (apart, ("found", "basis"), "lrlrrl"),
        (rows, (received, "dry_matter"), "lrrrrl"),
    ):
        head = [words(f"paper.results.{column}")
                for column in ("tested", *columns, "laboratory", "sampling", "method")]  # fmt: skip
        if lines:
            said.append(
                blocks.table(
                    head, lines, align=align, widths=(1.8, 0.85, 0.9, 0.95, 1.9, 1.6), tight=True
                )
            )
    if any(row[4] == words("paper.results.not_counted") for row in (*apart, *rows)):
        said.append(blocks.text(words("paper.results.sampling_note"), kind="small"))
    in_full = dict.fromkeys(
        how for one in sheet.measured.values() if _short(how := _how(one, words)) != how
    )
    said += [
        blocks.text(words("paper.results.in_full", method=one), kind="small") for one in in_full
    ]
    note = words("paper.results.note", chances=words.count(sheet.choices.confidence * 100))
    return blocks.section(words("paper.results.head"), *said, note=note, wide=True)


def _result_row(sheet: Sheet, one: Result, ranges: Ranges, words: Speaker) -> list[blocks.Cell]:
    name, confidence = one.analyte, sheet.choices.confidence
    received = sheet.as_received.get(name)
    as_received = "" if received is None else words.value(received, name)
    counted = ranges.get(name)
    whole = words.likely(one.estimate, name, confidence)
    with_sampling = words.between(*counted, name) if counted else ""
    counted_too: blocks.Cell = ""
    if one.estimate.part_of(SAMPLING) > 0:
        with_sampling = with_sampling or whole
        whole = words.likely(laboratory_alone(one.estimate), name, confidence)
        alone = words.likely(sampling_alone(one.estimate), name, confidence)
        counted_too = blocks.cell(
            with_sampling, small=words("paper.results.sampling_alone", range=alone)
        )
    return [
        words.name(name),
        as_received,
        words.value(one.estimate, name),
        whole,
        counted_too or with_sampling or (words("paper.results.not_counted") if whole else ""),
        _short(_how(one, words)),
    ]


def _other_basis(one: Result) -> str:
    """What a number is a share of, where that is not dry matter; else ""."""
    if one.analyte == "dm_cored":
        return "as cored"
    basis = dictionary()[one.analyte].basis
    return "" if basis.endswith("dry matter") else basis


def _short(method: str) -> str:
    """A method's name without its settings, which stand once in full under the table."""
    return method.partition(";")[0]


def _of(one: Result, words: Speaker) -> str:
    """The number with its unit, and with its basis where that is not dry matter."""
    basis = dictionary()[one.analyte].basis
    said = words.value(one.estimate, one.analyte)
    if basis in ("", "as received") or basis.endswith("dry matter"):
        return said  # a stated dry matter stands in the name
    return words("paper.results.of_basis", value=said, basis=basis)


def laboratory_alone(estimate: Estimate) -> Estimate:
    """A number with the doubt of the laboratory, without that of sampling."""
    parts = {s: u for s, u in estimate.parts.items() if not s.id.startswith(SAMPLING)}
    return Estimate.of(estimate.value, parts)


def sampling_alone(estimate: Estimate) -> Estimate:
    """A number with the doubt of sampling, without that of the laboratory."""
    parts = {s: u for s, u in estimate.parts.items() if s.id.startswith(SAMPLING)}
    return Estimate.of(estimate.value, parts)


def _how(one: Result, words: Speaker) -> str:
    kind = words(f"paper.kind.{one.kind.name.lower()}")
    if one.kind is Kind.OTHER_LABORATORY:
        named = (one.laboratory, report_named(one, words))
        kind = ", ".join(part for part in named if part) or kind
    method = words.method(one.method)
    if one.kind is Kind.MEASURED and one.method:
        return method
    if one.kind is Kind.PREDICTED:
        return kind
    return ", ".join(part for part in (kind, method) if part)


def report_named(one: Result, words: Speaker) -> str:
    """The report a result is from: its number and its day, as far as they are known."""
    if not one.dated:
        return one.report
    day = words.day(date.fromisoformat(one.dated))
    if not one.report:
        return words("paper.report_day", day=day)
    return words("paper.report_of", report=one.report, day=day)


def derived_section(sheet: Sheet, words: Speaker) -> blocks.Block | None:
    """What follows from the results, each with its equation by name."""
    if not sheet.derived:
        return None
    rows = [
        (
            words.name(one.analyte),
            _of(one, words),
            words.likely(one.estimate, one.analyte, sheet.choices.confidence),
            blocks.cell(
                words.equation(one.equation),
                small=" ".join(words.every(n for n in one.notes if n.key not in _SAID_BY_MARK)),
            ),
        )
        for one in sheet.derived.values()
    ]
    head = [words(f"paper.derived.{column}") for column in ("what", "value", "likely", "equation")]
    made = [blocks.table(head, rows, align="lrrl", widths=(2.1, 1.2, 0.9, 2.4), tight=True)]
    if any(DAGGER in str(row[3]) for row in rows):
        made.append(blocks.text(words("paper.recalled", mark=DAGGER), kind="small"))
    return blocks.section(words("paper.derived.head"), *made, note=words("paper.derived.note"),
                          wide=True)  # fmt: skip


def energy_section(sheet: Sheet, words: Speaker) -> blocks.Block | None:
    """The same hay under each TDN equation that can be worked, those made for it first."""
    worked = sorted((one for one in sheet.energy if one.energy), key=lambda one: not one.meant)
    if len(worked) < 2:
        return None
    head = [words(f"paper.energy.{n}") for n in ("equation", "made_for", *_ENERGY)]
    table = blocks.table(
        head,
        [_energy_row(one, words) for one in worked],
        align="llrrrr",
        widths=(3.4, 0.9, 0.5, 0.5, 0.5, 0.5),
        tight=True,
    )
    return blocks.section(
        words("paper.energy.head"),
        table,
        blocks.text(words("paper.energy.units", unit=words.unit("nem")), kind="small"),
        note=words("paper.energy.note"),
    )


_ENERGY = ("tdn", "me", "nem", "neg")


def _energy_row(one: EnergyRow, words: Speaker) -> list[blocks.Cell]:
    made_for = words("paper.energy.this_crop" if one.meant else "paper.energy.other_crop")
    numbers = [
        words.value(one.energy[n].estimate, n, unit=False) if n in one.energy else ""
        for n in _ENERGY
    ]
    return [words.equation(one.method.equation.id), made_for, *numbers]


def grades_section(grades: Iterable[Grade], words: Speaker) -> blocks.Block | None:
    """The hay on each published scale; where the measures disagree, it says so."""
    rows = [_grade_row(one, words) for one in grades]
    if not rows:
        return None
    head = [words(f"paper.grades.{column}") for column in ("scale", "class", "measures")]
    return blocks.section(
        words("paper.grades.head"), blocks.table(head, rows, align="lll", widths=(1.4, 0.8, 2.2))
    )


def _grade_row(one: Grade, words: Speaker) -> list[blocks.Cell]:
    year = f" ({one.scale.year})" if one.scale.year else ""
    mark = f" {DAGGER}" if one.scale.recalled else ""
    measures = [
        words("paper.grades.measure", measure=words(f"paper.short.{name}"),
              grade=g.word or words("paper.grades.none"))
        for name, g in one.by_measure.items()
    ]  # fmt: skip
    agree = {True: "paper.grades.agree", False: "paper.grades.disagree", None: ""}[one.agree]
    headline = one.headline or words("paper.grades.none")
    return [
        f"{one.scale.name}{year}{mark}",
        headline,
        blocks.cell(
            "; ".join(measures),
            small=words(agree, rule=words(f"paper.rule.{one.rule}")) if agree else "",
        ),
    ]


def looked_at_section(sheet: Sheet, words: Speaker) -> blocks.Block | None:
    """Flags, remarks, and what is unusual beside usual hay."""
    rows: list[list[blocks.Cell]] = [
        [words(f"paper.flag.{flag.kind}"), words.said(flag.message)] for flag in sheet.flags
    ]
    rows += [[words("paper.flag.mind"), words.said(one)] for one in sheet.remarks]
    noted = dict.fromkeys(
        said for one in sheet.measured.values() for said in words.every(one.notes)
    )
    rows += [[words("paper.flag.mind"), said] for said in noted]
    unusual = (one.message() for one in sheet.usual.values())
    rows += [[words("paper.flag.unusual"), words.said(one)] for one in unusual if one is not None]
    if not rows:
        return None
    head = [words("paper.flag.what"), words("paper.flag.why")]
    return blocks.section(
        words("paper.flag.head"), blocks.table(head, rows, align="ll", widths=(0.7, 4))
    )


def missing_section(sheet: Sheet, words: Speaker) -> blocks.Block | None:
    """What could not be worked out, with the tests that would give it."""
    by_missing: dict[tuple[str, ...], list[str]] = {}
    unmade = [words.name(one.quantity) for one in sheet.not_derived
              if one.missing == (one.quantity,)]  # fmt: skip
    for one in sheet.not_derived:
        if one.missing and one.missing != (one.quantity,):
            by_missing.setdefault(one.missing, []).append(words.name(one.quantity))
    lines = [
        words("paper.missing.line", quantities=tuple(names),
              tests=tuple(words.name(n) for n in missing))
        for missing, names in by_missing.items()
    ]  # fmt: skip
    if unmade:
        lines.append(words("paper.missing.unmade", quantities=tuple(unmade)))
    if not lines:
        return None
    return blocks.section(words("paper.missing.head"), blocks.text(" ".join(lines), kind="small"))


# Steps of the evidence that are printed; the rest stands in the sheet's data.
_DEEP = 2


def evidence_section(
    result: Result | None, words: Speaker, *, deep: int = _DEEP
) -> blocks.Block | None:
    """How one number came about: some steps down, the readings of a step in one line.

    Parameters
    ----------
    result
        The number; ``None`` gives no section.
    words
        Who says it.
    deep
        Steps down to show each on a line of its own [count].
    """
    if result is None or result.evidence is None:
        return None
    value = words.value(result.estimate, result.analyte, unit=False)
    return blocks.section(
        words("paper.evidence.head", value=value),
        blocks.tree([_branch(result.evidence, words, deep=deep)]),
        note=words.name(result.analyte),
    )


def _branch(one: Evidence, words: Speaker, *, deep: int) -> blocks.Block:
    number = "" if one.value is None else _number(one, words)
    small = [words.equation(one.equation)] if one.equation else []
    if one.source:
        small.append(words.source(one.source))
    small += _by_whom([one], words)
    flat = all(len(_leaves(child)) == 1 for child in one.children)
    if one.children and (deep <= 0 or (flat and deep <= _DEEP)):
        small.append(_in_line(one.children, words))
        deep = 0
    return blocks.branch(
        words.said(one.label),
        text=number,
        small=". ".join(small),
        children=[_branch(child, words, deep=deep - 1) for child in one.children] if deep else (),
    )


def _leaves(one: Evidence) -> list[Evidence]:
    return [leaf for child in one.children for leaf in _leaves(child)] or [one]


def _in_line(readings: Iterable[Evidence], words: Speaker) -> str:
    """What a step was worked from, beside each other, then who read it and when, once."""
    said = [f"{words.said(one.label)} {_number(one, words)}".strip() for one in readings]
    return ". ".join([", ".join(said), *_by_whom(readings, words)])


def _by_whom(readings: Iterable[Evidence], words: Speaker) -> list[str]:
    said = (
        part for one in readings for part in (words.reader.name(one.who), words.instant(one.when))
    )
    return [one for one in dict.fromkeys(said) if one]


def _number(one: Evidence, words: Speaker) -> str:
    basis = {"": "", "dry matter": words("paper.of_dry_matter")}.get(
        one.basis, words.reader.name(one.basis)
    )
    value = "" if one.value is None else words.plain(one.value)
    return " ".join(part for part in (value, one.unit, basis) if part)


def about_section(sheet: Sheet, about: About, words: Speaker) -> blocks.Block:
    """Office, ranch, lot, bag, laboratory, and the choices the sheet was written with."""
    return blocks.section(
        words("paper.about.head"), blocks.data_list(list(_about(sheet, about, words)), columns=2)
    )


def _about(sheet: Sheet, about: About, words: Speaker) -> Iterator[tuple[str, str]]:
    bag = about.bag
    given = {
        "office": about.office.name,
        "ranch": about.ranch,
        "lot": ", ".join(part for part in (about.lot, about.lot_name) if part),
        "crop": words.reader.name(sheet.crop.name),
        "form": words(f"paper.form.{sheet.form}"),
        "bales": "" if about.bales is None else words.count(about.bales),
        "bag": "" if bag is None else str(bag.code),
        "cored": "" if bag is None else words.day(bag.cored_on),
        "sampler": "" if bag is None else words.reader.name(bag.sampler),
        "laboratory": about.laboratory,
        "released": "" if about.released is None else words.day(about.released),
        "animals": words(f"paper.species.{sheet.choices.species}"),
    }
    for name, value in given.items():
        if value:
            yield words(f"paper.about.{name}"), value
