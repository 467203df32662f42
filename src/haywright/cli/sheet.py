"""Commands of the sheet: a report typed in, and one hay under each TDN equation."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from haywright.cli.common import Json, Units, answer, command_errors, reader

if TYPE_CHECKING:
    from haywright.sheet.choices import Choices
    from haywright.sheet.sheet import Form
    from haywright.sheet.typed import TypedReport

app = typer.Typer(
    no_args_is_help=True,
    help="Results: the laboratory's numbers become energy, indices, grades and cautions.",
)

Numbers = Annotated[
    list[str],
    typer.Argument(
        metavar="NAME=NUMBER...",
        help=(
            'The report\'s numbers, such as cp=18.2 adf=32 ndf=41 dm=88.5 "nitrate=4200 ppm NO3". '
            'Energy needs its unit: "nem=0.62 Mcal/lb". Write < before a number below a limit: '
            '"mo=<0.5". A number on another basis says so: "cp=16.1 as received".'
        ),
    ),
]
Crop = Annotated[str, typer.Option("--crop", help="What the hay is: alfalfa, oats, brome ...")]
Basis = Annotated[
    str,
    typer.Option(
        "--basis",
        help="What the percentages are a share of: dry, as received, as fed, or 90 % dm.",
    ),
]
FormOption = Annotated[
    str, typer.Option("--form", help="cured-hay, baleage, standing-crop or cornstalks.")
]
Lab = Annotated[str, typer.Option("--lab", help="Name of the laboratory, printed on the sheet.")]
LabNitrate = Annotated[
    str, typer.Option("--nitrate-unit", help='Its nitrate unit and form, such as "ppm NO3".')
]
LabEnergy = Annotated[
    str, typer.Option("--energy-unit", help="Its energy unit: Mcal/lb or Mcal/kg.")
]
Animals = Annotated[str, typer.Option("--animals", help="For whom: cattle, sheep, goat or horse.")]
Methods = Annotated[
    list[str] | None,
    typer.Option("--by", help="Choose an equation: tdn=western, me=hales2019, nfc=whole-ndf ..."),
]
Constants = Annotated[
    list[str] | None,
    typer.Option("--with", help="Choose a number of an equation: adicp_threshold=12."),
]
Scale = Annotated[
    str, typer.Option("--scale", help="Grade scale to name first: usda-2003, illinois or afgc.")
]
Headline = Annotated[
    str,
    typer.Option("--grade-by", help="What names the class: rfv, adf, lowest, lowest-fiber."),
]
Tie = Annotated[
    str, typer.Option("--on-a-limit", help="Which class a value on a limit takes: better or lower.")
]
Pending = Annotated[
    list[str] | None, typer.Option("--pending", help="A test still to come, such as nitrate.")
]


@app.command("type")
@command_errors
def type_report(
    numbers: Numbers,
    crop: Crop,
    basis: Basis = "",
    form: FormOption = "cured-hay",
    lab: Lab = "",
    nitrate_unit: LabNitrate = "",
    energy_unit: LabEnergy = "",
    animals: Animals = "cattle",
    by: Methods = None,
    with_: Constants = None,
    scale: Scale = "usda-2003",
    grade_by: Headline = "rfv",
    on_a_limit: Tie = "better",
    pending: Pending = None,
    show: Units = "us",
    json: Json = False,
) -> None:
    """Type in the numbers of any laboratory's report and read the test sheet."""
    from haywright.cli.sheet_lines import sheet_lines
    from haywright.sheet.sheet import write_sheet
    from haywright.sheet.typed import quantity_called
    from haywright.sources.crops import crop as crop_called

    hay = crop_called(crop)
    choices = _choices(animals, by, with_, scale=scale, headline=grade_by, tie=on_a_limit)
    report = _read(
        numbers, basis, lab, nitrate_unit, energy_unit, [quantity_called(p) for p in pending or ()]
    )
    sheet = write_sheet(report.results, hay, choices, form=_form(form), flags=report.flags)
    lines = [] if json else sheet_lines(sheet, reader(show), laboratory=lab, typed=True)
    answer({"laboratory": lab, **sheet.to_json()}, lines, json=json, units=show)


@app.command("compare")
@command_errors
def compare(
    numbers: Numbers,
    crop: Crop,
    basis: Basis = "",
    by: Methods = None,
    every: Annotated[
        bool, typer.Option("--all", help="Show equations made for other crops too.")
    ] = False,
    energy_unit: LabEnergy = "",
    show: Units = "us",
    json: Json = False,
) -> None:
    """Show one hay under each published TDN equation, side by side."""
    from haywright.cli.sheet_lines import compare_lines
    from haywright.sheet.sheet import write_sheet
    from haywright.sources.crops import crop as crop_called

    hay = crop_called(crop)
    report = _read(numbers, basis, "", "", energy_unit, [])
    sheet = write_sheet(report.results, hay, _choices("cattle", by, None), flags=report.flags)
    lines = [] if json else compare_lines(sheet, reader(show), every=every)
    payload = {"crop": hay.id, "equations": [row.to_json() for row in sheet.energy]}
    answer(payload, lines, json=json, units=show)


def _read(
    numbers: list[str], basis: str, lab: str, nitrate: str, energy: str, pending: list[str]
) -> TypedReport:
    from haywright.measure.basis import parse_basis
    from haywright.sheet.typed import Laboratory, read_typed

    profile = Laboratory(
        name=lab, basis=parse_basis(basis) if basis else None, nitrate=nitrate, energy=energy
    )
    return read_typed(numbers, laboratory=profile, pending=pending)


def _choices(
    species: str, by: list[str] | None, constants: list[str] | None, **rules: str
) -> Choices:
    from haywright.measure.parse import parse_number
    from haywright.sheet.choices import Choices

    methods = dict(_pair(text, "--by", "sheet.choice") for text in by or ())
    numbers = dict(_pair(text, "--with", "sheet.choice_number") for text in constants or ())
    return Choices(
        species=species,
        methods=methods,
        constants={name: parse_number(text) for name, text in numbers.items()},
        **rules,  # type: ignore[arg-type]
    )


def _pair(text: str, field: str, key: str) -> tuple[str, str]:
    from haywright.measure.errors import Refused

    name, equals, value = text.partition("=")
    if not equals or not name.strip() or not value.strip():
        raise Refused(field, text, key=key)
    return name.strip(), value.strip()


def _form(text: str) -> Form:
    from haywright.measure.errors import UnknownName

    forms: tuple[Form, ...] = ("cured_hay", "standing_crop", "cornstalks", "baleage")
    plain = text.strip().lower().replace("-", "_").replace(" ", "_")
    for form in forms:
        if plain == form:
            return form
    raise UnknownName("--form", text, [form.replace("_", "-") for form in forms])


@app.command("write")
@command_errors
def write(
    office: Annotated[Path, typer.Argument(help="An office in small, as laid out by: new.")],
    lot: Annotated[str, typer.Argument(help="The lot: the name of its form.")],
    out: Annotated[
        Path | None, typer.Option("--to", help="Where to; the office's sheets folder if left out.")
    ] = None,
    show: Units = "us",
    json: Json = False,
) -> None:
    """Write the test sheets of one lot from the bench's readings: PDF, JSON and in words here."""
    from haywright.cli.sheet_lines import sheet_lines
    from haywright.cli.tour import lot_samples, write_sheets
    from haywright.files.office import read_office
    from haywright.measure.message import message

    folder = read_office(office)
    who = reader(show)
    samples, every = lot_samples(folder, lot)
    where = (out or office / "sheets") / lot
    written = write_sheets(samples, every, folder, where, reader=who)
    lines: list[Any] = []
    for sample in samples:
        lines += [*sheet_lines(sample.sheet, who), ""]
    lines += [message("cli.sheet.wrote", path=str(path)) for path in written]
    payload = {
        "sheets": [{"part": one.part, **one.sheet.to_json()} for one in samples],
        "files": [str(path) for path in written],
    }
    answer(payload, [] if json else lines, json=json, units=show)
