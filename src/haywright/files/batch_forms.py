"""A fresh batch to fill in: batch.toml with its choices, readings.csv with a row per position."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator
from datetime import date

from haywright.bag.codes import read_code
from haywright.bench.pattern import Choice, Method, determination
from haywright.bench.worksheet import Arrangement, Asked, RunOrder, run_order
from haywright.files.batches import FIXED
from haywright.measure.message import Message, message
from haywright.words import say

_HEAD = (*FIXED[:4], "read_at")


def batch_forms(
    name: str,
    method_name: str,
    *,
    bags: Iterable[str],
    run_on: date,
    asked: Asked | None = None,
) -> dict[str, str]:
    """The two files of a batch, ready to fill in.

    Parameters
    ----------
    name, method_name
        Determination and its method.
    bags
        Codes of the bags.
    run_on
        Day of the run.
    asked
        How the run is put in order; as given, and the first bag in duplicate, when ``None``.

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
    order = run_order(method, codes, asked or Asked(by=Arrangement.AS_GIVEN))
    cautions = [_comment(one) for one in of.said_cautions()]
    form = [
        *cautions,
        f'determination = "{of.id}"',
        f'method = "{method_name}"',
        f"run_on = {run_on.isoformat()}",
        'analyst = ""',
        f'ordered_by = "{order.asked.by}"',
        f"seed = {json.dumps(order.asked.seed, ensure_ascii=False)}",
        "",
        "[choices]",
        *(line for one in method.choices for line in _choice(one)),
        *(line for kind in method.equipment for line in _equipment(kind, run_on)),
        *_check_material(method),
        *map(_comment, _closing()),
    ]
    return {"batch.toml": "\n".join(form) + "\n", "readings.csv": _table(method, order)}


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


def _table(method: Method, order: RunOrder) -> str:
    columns = [one.name for one in method.columns]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*_HEAD, *columns])
    empty = [""] * (1 + len(columns))
    for one in order.positions:
        writer.writerow([one.order, one.kind.value, one.sample, one.replicate, *empty])
    return out.getvalue()
