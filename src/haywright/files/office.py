"""An office in small: one folder of forms that a person can read, edit and carry on a stick.

It holds ``office.toml``, ``lots/NAME.toml``, ``bags/CODE.toml``, ``ranches/NAME.toml``,
``columns/NAME.toml`` for what an instrument's columns mean,
``batches/DATE-determination/{batch.toml, readings.csv}``, and ``sheets/`` for what is written.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from importlib.resources import files
from pathlib import Path
from typing import Any, TypeVar

from haywright.bag.bag import Bag
from haywright.bag.codes import OFFICE_LETTERS
from haywright.bench.batch import Batch
from haywright.bunk.ranch import Ranch
from haywright.files.bags import read_bags
from haywright.files.batch_forms import batch_forms
from haywright.files.batches import read_batch
from haywright.files.lots import read_lot
from haywright.files.ranches import read_ranch_winters
from haywright.files.reading import Checked, missing_folder, read_toml, write_atomic
from haywright.gate.money import Price
from haywright.measure.errors import HaywrightError, Problems, Refused
from haywright.sources.guides import guides
from haywright.stack.lot import Lot
from haywright.way.office import Office
from haywright.way.winter_asked import WinterAsked
from haywright.words.numbers import SCALES

T = TypeVar("T")
DEMO = "valley"
_MONEY_MOST = 10_000


@dataclass(frozen=True)
class OfficeFolder:
    """Everything in an office's folder, read and checked.

    Parameters
    ----------
    office
        The office.
    lots, bags, ranches
        By id, code and name of the form.
    batches
        Bench batches.
    asking
        Lot id -> asking price.
    winters
        Ranch -> its winter as asked.
    """

    office: Office
    lots: Mapping[str, Lot]
    bags: Mapping[str, Bag]
    ranches: Mapping[str, Ranch]
    batches: tuple[Batch, ...]
    asking: Mapping[str, Price]
    winters: Mapping[str, WinterAsked]


def demo_folder() -> Path:
    """The demo's folder, shipped inside the package."""
    return Path(str(files("haywright.examples").joinpath(DEMO)))


def read_office(folder: Path) -> OfficeFolder:
    """Read and check a whole office folder.

    Raises
    ------
    Refused, Problems
        Everything that is wrong in any form, and every bag whose lot, lot whose ranch or position
        whose bag is not there.
    """
    if not folder.is_dir():
        raise missing_folder(folder)
    problems: list[HaywrightError] = []
    office, asking = _gathered(problems, lambda: _office(folder / "office.toml")) or (None, {})
    lots = {
        lot.id: lot
        for path in _forms(folder / "lots")
        if (lot := _gathered(problems, partial(read_lot, path))) is not None
    }
    bags = _gathered(problems, lambda: _if_there(folder / "bags", read_bags)) or {}
    said = _gathered(problems, lambda: _if_there(folder / "ranches", read_ranch_winters)) or {}
    ranches = {name: ranch for name, (ranch, _) in said.items()}
    winters = {name: winter for name, (_, winter) in said.items()}
    batches = [
        batch
        for path in sorted((folder / "batches").glob("*/batch.toml"))
        if (batch := _gathered(problems, partial(read_batch, path.parent))) is not None
    ]
    problems += _loose_ends(lots, bags, ranches, batches)
    if problems or office is None:
        raise problems[0] if len(problems) == 1 else Problems(problems)
    return OfficeFolder(office, lots, bags, ranches, tuple(batches), asking, winters)


def _gathered(problems: list[HaywrightError], read: Callable[[], T]) -> T | None:
    """What a reader gives; ``None`` after a refusal, which is kept with the others."""
    try:
        return read()
    except HaywrightError as error:
        problems += error.errors if isinstance(error, Problems) else [error]
        return None


def _forms(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.toml")) if folder.is_dir() else []


def _if_there(folder: Path, read: Callable[[Path], Mapping[str, Any]]) -> Mapping[str, Any]:
    return read(folder) if folder.is_dir() else {}


def read_office_form(path: Path) -> Office:
    """The office of one office.toml, without the rest of its folder."""
    return _office(path)[0]


def _office(path: Path) -> tuple[Office, dict[str, Price]]:
    form = read_toml(path)
    code = form.text("code")
    if code and (len(code) != 3 or set(code) - set(OFFICE_LETTERS)):
        form.refuse("code", code, OFFICE_LETTERS, key="bag.code.office")
    call = form.table("call", default={})
    currency = form.text("currency", default="USD")
    office = Office(
        name=form.text("name"),
        code=code,
        phone=form.text("phone", default=""),
        call_name=call.text("name", default=""),
        call_phone=call.text("phone", default=""),
        guide=form.choice("guide", guides(), default=""),
        units=form.choice("units", SCALES, default="us"),  # type: ignore[arg-type]
        paper=form.choice("paper", ("letter", "a4"), default="letter"),  # type: ignore[arg-type]
        currency=currency,
    )
    call.finish()
    asking = dict(_asking(form, currency))
    form.done()
    return office, asking


def _asking(form: Checked, currency: str) -> Iterator[tuple[str, Price]]:
    """Asking prices: [asking] with lot = dollars for a short ton."""
    table = form.table("asking_per_short_ton", default={})
    for lot in table.data:
        money = table.number(lot, least=0, most=_MONEY_MOST)
        if money:
            yield lot, Price(money, "short_ton", currency)  # type: ignore[arg-type]
    table.finish()


def _loose_ends(
    lots: Mapping[str, Lot],
    bags: Mapping[str, Bag],
    ranches: Mapping[str, Ranch],
    batches: list[Batch],
) -> Iterator[HaywrightError]:
    """What one form says of another that is not there."""
    for code, bag in bags.items():
        if bag.lot not in lots:
            yield Refused("lot", bag.lot, key="files.bag_without_lot", bag=code)
    for lot in lots.values():
        if lot.ranch and lot.ranch not in ranches:
            yield Refused("ranch", lot.ranch, key="files.lot_without_ranch", lot=lot.id)
    for batch in batches:
        for code in batch.bags:
            if code not in bags:
                yield Refused("sample", code, key="files.position_without_bag", batch=batch.id)


def _of_these_lots(form: str, lots: Sequence[str]) -> str:
    """A ranch's form without the paragraphs that speak of other lots."""
    named = re.compile(r'^lot = "([^"]+)"', re.MULTILINE)
    paragraphs = form.split("\n\n")
    return "\n\n".join(one for one in paragraphs if set(named.findall(one)) <= set(lots))


def new_office(folder: Path, today: date) -> list[Path]:
    """Lay out an office in small with commented forms, from the demo's own.

    Parameters
    ----------
    folder
        A folder that does not exist yet, or is empty.
    today
        Date of the example batch.

    Raises
    ------
    Refused
        The folder holds something already; nothing is touched.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise Refused("folder", folder, key="files.folder_not_empty")
    source = demo_folder()
    texts: dict[str, str] = {
        name: (source / name).read_text("utf-8")
        for name in ("office.toml", "lots/creek-oats.toml", "ranches/three-gates.toml")
    }
    ranch = "ranches/three-gates.toml"
    texts[ranch] = _of_these_lots(texts[ranch], ("creek-oats",))
    bag = next(path for path in sorted((source / "bags").glob("*.toml")))
    texts[f"bags/{bag.name}"] = bag.read_text("utf-8")
    batch = f"batches/{today.isoformat()}-dry-matter"
    forms = batch_forms("dry_matter", "two_stage", bags=[bag.stem], run_on=today)
    texts |= {f"{batch}/{name}": text for name, text in forms.items()}
    written = []
    for name, text in texts.items():
        write_atomic(folder / name, text)
        written.append(folder / name)
    (folder / "sheets").mkdir()
    return written
