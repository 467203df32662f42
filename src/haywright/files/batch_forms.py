"""A fresh batch to fill in: batch.toml with its choices, readings.csv with a row per position."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from datetime import date

from haywright.bag.codes import read_code
from haywright.bench.batch import PositionKind
from haywright.bench.pattern import Choice, Method, determination
from haywright.files.batches import FIXED
from haywright.measure.message import Message, message
from haywright.words import say

_FIRST = (PositionKind.BLANK, PositionKind.STANDARD, PositionKind.VERIFICATION, PositionKind.CHECK)
_HEAD = FIXED[:4]


def batch_forms(
    name: str, method_name: str, *, bags: Iterable[str], run_on: date
) -> dict[str, str]:
    """The two files of a batch, ready to fill in.

    Parameters
    ----------
    name, method_name
        Determination and its method.
    bags
        Codes of the bags; the first is run in duplicate.
    run_on
        Day of the run.

    Returns
    -------
    dict
        File name -> text.

    Raises
    ------
    Refused
        An unknown determination or method, or a code that is misread.
    """
    of = determination(name)
    method = of.method(method_name)
    codes = [str(read_code(code)) for code in bags]
    cautions = [_comment(one) for one in of.said_cautions()]
    form = [
        *cautions,
        f'determination = "{of.id}"',
        f'method = "{method_name}"',
        f"run_on = {run_on.isoformat()}",
        'analyst = ""',
        "",
        "[choices]",
        *(line for one in method.choices for line in _choice(one)),
        *(line for kind in method.equipment for line in _equipment(kind, run_on)),
        *_check_material(method),
        *map(_comment, _closing()),
    ]
    return {"batch.toml": "\n".join(form) + "\n", "readings.csv": _table(method, codes)}


def _comment(said: Message) -> str:
    return f"# {say(said)}"


def _choice(one: Choice) -> Iterator[str]:
    if one.options:
        yield _comment(message("bench.form.one_of", options=one.options))
        yield f'{one.name} = "{one.usual or one.options[0]}"'
    elif one.usual:
        yield f"{one.name} = {one.usual}"
    else:
        yield f"# {one.name} ="


def _equipment(kind: str, run_on: date) -> Iterator[str]:
    yield ""
    yield _comment(message(f"bench.form.{'reagent' if kind == 'reagent' else 'checked'}"))
    yield "[[equipment]]"
    yield f'kind = "{kind}"'
    yield f'name = "{kind} 1"'
    if kind == "reagent":
        yield 'lot = ""'
        yield f"expires = {run_on.isoformat()}"
    else:
        yield f"checked_on = {run_on.isoformat()}"
        yield "checks = []"


def _check_material(method: Method) -> Iterator[str]:
    yield ""
    yield _comment(message("bench.form.check"))
    yield "[[check_material]]"
    yield 'name = "check 1"'
    yield "# lab_dm_pct ="
    yield f"assigned = {{ }}  # {', '.join(method.analytes())}"


def _closing() -> Iterator[Message]:
    yield message("bench.form.void")
    yield message("bench.form.rerun")


def _table(method: Method, codes: list[str]) -> str:
    columns = [one.name for one in method.columns]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*_HEAD, *columns])
    empty = [""] * len(columns)
    for place, (kind, sample, replicate) in enumerate(_places(method, codes), 1):
        writer.writerow([place, kind.value, sample, replicate, *empty])
    return out.getvalue()


def _places(method: Method, codes: list[str]) -> Iterator[tuple[PositionKind, str, int]]:
    """What a batch is made up of: controls, bags, the first bag again, a closing check."""
    for kind in _FIRST:
        count = method.make_up.get(kind, 0)
        opening = min(count, 1) if kind is PositionKind.VERIFICATION else count
        for n in range(1, opening + 1):
            yield kind, f"{kind.value} {n}", 1
    for code in codes:
        yield PositionKind.BAG, code, 1
    if codes and method.make_up.get(PositionKind.DUPLICATE):
        yield PositionKind.DUPLICATE, codes[0], 2
    for n in range(2, method.make_up.get(PositionKind.VERIFICATION, 0) + 1):
        yield PositionKind.VERIFICATION, f"{PositionKind.VERIFICATION.value} {n}", 1
