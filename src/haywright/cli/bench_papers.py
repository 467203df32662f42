"""Commands of the bench's papers: the worksheet of a run, and the report of a batch as PDF."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from haywright.cli.common import Json, Units, answer, command_errors, reader

if TYPE_CHECKING:
    from haywright.bench.batch import Batch, PositionKind
    from haywright.bench.report import BatchReport
    from haywright.bench.worksheet import Asked

OFFICE_FORM = "office.toml"


def add_to(app: typer.Typer) -> None:
    """Hang these commands on the bench."""
    app.command("worksheet")(worksheet)


@command_errors
def worksheet(
    folder: Annotated[
        Path,
        typer.Argument(
            help="The batch: a new folder to lay out, or one laid out already to print."
        ),
    ],
    determination: Annotated[
        str, typer.Option("--of", help="New batch: what is determined, such as nitrate.")
    ] = "",
    method: Annotated[
        str, typer.Option("--by", help="New batch: its method; see: haywright bench methods.")
    ] = "",
    bag: Annotated[
        list[str] | None,
        typer.Option("--bag", help="New batch: code of a bag. May be given several times."),
    ] = None,
    day: Annotated[
        str, typer.Option("--day", help="New batch: day of the run; today if left out.")
    ] = "",
    order: Annotated[
        str,
        typer.Option(
            "--order",
            help="complete (bags at random over the run), within_trays (at random in each tray) "
            "or as_given.",
        ),
    ] = "",
    seed: Annotated[
        str,
        typer.Option(help="Text the places are drawn with; the folder's name when left out."),
    ] = "",
    portions: Annotated[
        int | None, typer.Option(help="Portions of every bag; one when left out.")
    ] = None,
    control: Annotated[
        list[str] | None,
        typer.Option(help="More of a control than the method asks for, such as spike=2."),
    ] = None,
    every: Annotated[
        int | None,
        typer.Option(help="Most samples between two continuing checks; ten when left out."),
    ] = None,
    tray: Annotated[
        int | None,
        typer.Option(help="Places in a tray, for within_trays; one round of the bags if not."),
    ] = None,
    pdf: Annotated[
        Path | None, typer.Option("--pdf", help="Print the worksheet into this file (PDF).")
    ] = None,
    paper: Annotated[
        str, typer.Option(help="letter or a4; the office's own, else letter, when left out.")
    ] = "",
    show: Units = "us",
    json: Json = False,
) -> None:
    """Put a run in order: bags at random by a seed, controls where they belong; print it.

    A new folder is laid out with its form and its table in that order, ready to fill in. A folder
    that is there already is printed as its table stands; nothing in it is changed.

    Example: haywright bench worksheet batches/2026-09-22-nitrate --of nitrate
    --by flow_injection --bag SVH-0031-28 --bag SVH-0032-25 --pdf worksheet.pdf
    """
    from haywright.files.batches import read_batch
    from haywright.files.reading import write_atomic
    from haywright.measure.errors import Refused
    from haywright.measure.message import message

    given = {
        "--of": determination, "--by": method, "--bag": bag, "--day": day, "--order": order,
        "--seed": seed, "--portions": portions, "--control": control, "--every": every,
        "--tray": tray,
    }  # fmt: skip
    new = not folder.exists()
    if new:
        asked = _asked(folder, order, seed, portions, control, every, tray)
        lay_out(folder, determination, method, bags=bag or [], day=day, asked=asked)
    elif laid_out := [name for name, value in given.items() if value not in ("", None)]:
        raise Refused(", ".join(laid_out), folder, key="bench_paper.worksheet.there")
    batch = read_batch(folder)
    lines = [
        message("bench_paper.line.place", place=p.order, kind=message(f"bench.kind.{p.kind.value}"),
                sample=p.sample, portion=p.replicate)
        for p in batch.positions
    ]  # fmt: skip
    written = [str(folder / name) for name in ("batch.toml", "readings.csv")] if new else []
    lines += [message("bench.form.written", path=path) for path in written]
    if pdf is not None:
        from haywright.paper.worksheet_paper import worksheet_pdf

        sheet, office = office_of(folder, paper)
        write_atomic(pdf, worksheet_pdf(batch, reader(show), paper=sheet, office=office))
        written.append(str(pdf))
        lines.append(message("bench_paper.line.printed", path=str(pdf)))
    answer(_payload(batch, written), lines, json=json, units=show)


def lay_out(
    folder: Path,
    determination: str,
    method: str,
    *,
    bags: list[str],
    day: str,
    asked: Asked | None = None,
) -> list[str]:
    """Write the form and the table of a new batch; gives their paths."""
    from datetime import date

    from haywright.files.batch_forms import batch_forms
    from haywright.files.reading import write_atomic
    from haywright.measure.errors import Refused

    if folder.exists():
        raise Refused("folder", folder, key="bench.file.folder_exists")
    try:
        run_on = date.fromisoformat(day) if day else date.today()  # noqa: DTZ011 - the bench's day
    except ValueError:
        raise Refused("--day", day, key="files.day") from None
    written = []
    forms = batch_forms(determination, method, bags=bags, run_on=run_on, asked=asked)
    for name, text in forms.items():
        write_atomic(folder / name, text)
        written.append(str(folder / name))
    return written


def _asked(
    folder: Path,
    order: str,
    seed: str,
    portions: int | None,
    control: list[str] | None,
    every: int | None,
    tray: int | None,
) -> Asked:
    from haywright.bench.worksheet import EVERY, Arrangement, Asked
    from haywright.measure.errors import UnknownName

    by = order or Arrangement.COMPLETE.value
    if by not in set(Arrangement):
        raise UnknownName("--order", by, [one.value for one in Arrangement])
    return Asked(
        by=Arrangement(by),
        seed=seed or folder.resolve().name,
        replicates=1 if portions is None else portions,
        counts=dict(_control(one) for one in control or ()),
        every=EVERY if every is None else every,
        tray=tray or 0,
    )


def _control(written: str) -> tuple[PositionKind, int]:
    """One --control: KIND=COUNT."""
    from haywright.bench.batch import PositionKind
    from haywright.measure.errors import Refused, UnknownName

    kind, _, count = (one.strip() for one in written.partition("="))
    if kind not in set(PositionKind):
        raise UnknownName("--control", kind, [one.value for one in PositionKind])
    if not (count.isascii() and count.isdigit()):
        raise Refused("--control", written, key="bench_paper.worksheet.control")
    return PositionKind(kind), int(count)


def print_report(report: BatchReport, folder: Path, pdf: Path, *, paper: str, units: str) -> None:
    """Write the report of a batch as PDF."""
    from haywright.files.reading import write_atomic
    from haywright.paper.batch_paper import batch_pdf

    sheet, office = office_of(folder, paper)
    write_atomic(pdf, batch_pdf(report, reader(units), paper=sheet, office=office))


def office_of(folder: Path, paper: str) -> tuple[str, str]:
    """Size of paper and name of the office whose batch this is; letter and "" without one."""
    from haywright.files.office import read_office_form
    from haywright.measure.errors import UnknownName
    from haywright.paper.worksheet_paper import PAPER_NAMES

    if paper and paper not in PAPER_NAMES:
        raise UnknownName("--paper", paper, PAPER_NAMES)
    form = folder.resolve().parent.parent / OFFICE_FORM
    if not form.is_file():
        return paper or "letter", ""
    office = read_office_form(form)
    return paper or office.paper, office.name


def _payload(batch: Batch, written: list[str]) -> dict[str, object]:
    return {
        "batch": batch.id,
        "determination": batch.determination,
        "method": batch.method,
        "run_on": batch.run_on.isoformat(),
        "ordered_by": batch.ordered_by,
        "seed": batch.seed,
        "positions": [
            {"position": p.order, "kind": p.kind.value, "sample": p.sample,
             "replicate": p.replicate}
            for p in batch.positions
        ],
        "written": written,
    }  # fmt: skip
