"""What goes with a bag to the laboratory: its submission slip, and the list of a shipment.

No owner stands on either: the laboratory knows a bag by its code and a lot by its number.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from haywright.bag.bag import Bag
from haywright.bag.mass import judge_mass
from haywright.bag.tests import LabTest, lab_test
from haywright.measure.message import Amount
from haywright.paper import blocks
from haywright.paper.drawings import code_square
from haywright.paper.sheet_paper import PAPER_NAMES
from haywright.paper.speaker import Speaker
from haywright.paper.typeset import set_pdf
from haywright.sources.crops import event
from haywright.stack.lot import Lot
from haywright.way.office import Office
from haywright.words import Reader, reads

RECEIVED = ("on", "by", "mass", "state", "refused", "number")
HANDED = ("handed", "taken", "at")
LONG = 6  # tests, above which their table stands in two columns


@dataclass(frozen=True, slots=True)
class Slip:
    """One bag as its slip tells it.

    Parameters
    ----------
    bag, lot
        The sample and the hay it came from; of the lot no owner is told.
    laboratory
        Where it goes.
    sampler
        Who took it, as the laboratory may know.
    prices
        Test id -> price of one [office's currency]; tests without one are told apart.
    address
        Where it goes, and the telephone there, in one line.
    """

    bag: Bag
    lot: Lot
    laboratory: str = ""
    sampler: str = ""
    prices: Mapping[str, Decimal] = field(default_factory=dict)
    address: str = ""

    @property
    def total(self) -> Decimal:
        """What the tests cost that have a price [office's currency]."""
        return sum((self.prices[t] for t in self.bag.tests if t in self.prices), Decimal(0))

    @property
    def unpriced(self) -> tuple[str, ...]:
        """Ids of the tests ordered that have no price."""
        return tuple(t for t in self.bag.tests if t not in self.prices)


def slip_pdf(slip: Slip, office: Office, reader: Reader) -> bytes:
    """The submission slip of one bag as PDF."""
    return set_pdf("slip", slip_data(slip, office, reader))


def slip_data(slip: Slip, office: Office, reader: Reader) -> dict[str, Any]:
    """The submission slip as the template takes it; every text is ready."""
    words, bag = Speaker(reads("slip.title", reader)), slip.bag
    code = str(bag.code)
    sections = [
        blocks.section(
            words("slip.code_head"),
            blocks.beside([_square(code, words)], [_sample(slip, words)], widths=(1, 2.6)),
            heavy=True,
        ),
        blocks.section(words("slip.tests"), *_tests(slip, office, words)),
        _know_section(slip, words),
        _mind_section(slip, words),
        _journey_section(bag, words),
        blocks.section(
            words("slip.received.head"),
            blocks.blanks([words(f"slip.received.{one}") for one in RECEIVED]),
        ),
    ]
    return {
        **_frame(words("slip.title", code=code), office, words),
        "kicker": [words("slip.name"), *([slip.laboratory] if slip.laboratory else [])],
        "verdict": [words("slip.sentence", code=code, n=len(bag.tests))],
        "lede": words("slip.lede", lot=bag.lot, day=words.day(bag.cored_on)),
        "sections": [one for one in sections if one is not None],
    }


def shipment_pdf(
    slips: Sequence[Slip], office: Office, reader: Reader, *, made_on: date | None = None
) -> bytes:
    """The list of the bags that ship together as PDF."""
    return set_pdf("slip", shipment_data(slips, office, reader, made_on=made_on))


def shipment_data(
    slips: Sequence[Slip], office: Office, reader: Reader, *, made_on: date | None = None
) -> dict[str, Any]:
    """The list of the bags that ship together, with lines for those who hand it on.

    Parameters
    ----------
    slips
        The bags, in the order they are listed.
    office, reader
        Who ships them, and whose words it uses.
    made_on
        Day of the list.
    """
    words = Speaker(reads("slip.list.title", reader))
    head = [words(f"slip.list.{one}") for one in ("bag", "cored", "mass", "tests")]
    rows = [
        (str(one.bag.code), words.day(one.bag.cored_on), _grams(one.bag.mass_sealed_g, words),
         ", ".join(lab_test(t).name for t in one.bag.tests))
        for one in slips
    ]  # fmt: skip
    where = list(dict.fromkeys(one.laboratory for one in slips if one.laboratory))
    made = [words("slip.made", day=words.day(made_on))] if made_on else []
    sections = [
        blocks.section(
            words("slip.list.head"),
            blocks.table(head, rows, align="llrl", widths=(1.3, 1.4, 0.8, 3)),
            heavy=True,
            wide=True,
        ),
        blocks.section(
            words("slip.mind"),
            blocks.caution(words("paper.caution"), [words("slip.keep"), words("slip.fresh")]),
        ),
        blocks.section(
            words("slip.hand.head"),
            *(blocks.blanks([words(f"slip.hand.{one}") for one in HANDED]) for _ in range(3)),
            note=words("slip.hand.note"),
        ),
    ]
    return {
        **_frame(words("slip.list.title", n=len(slips)), office, words),
        "kicker": [words("slip.list.name"), *where, *made],
        "verdict": [words("slip.list.sentence", n=len(slips))],
        "lede": words("slip.list.lede"),
        "sections": sections,
    }


def _frame(title: str, office: Office, words: Speaker) -> dict[str, Any]:
    return {
        "language": words.reader.language,
        "paper": PAPER_NAMES[office.paper],
        "title": title,
        "head": {"name": words("paper.name"), "office": office.name, "call": office.phone},
        "mark": None,
        "standing": [],
        "foot": {
            "left": ", ".join(one for one in (title, office.name) if one),
            "emergency": "",
            "page": words("paper.page", page="{page}", pages="{pages}"),
        },
    }


def _square(code: str, words: Speaker) -> blocks.Block:
    said = words("paper.label.reads", code=code)
    head = (words("paper.about.bag"),)
    drawn = code_square(code, title=words("paper.label.code"), description=said, head=head)
    return blocks.picture(drawn, width=96)


def _sample(slip: Slip, words: Speaker) -> blocks.Block:
    bag, lot = slip.bag, slip.lot
    unknown = words("slip.unknown")
    items = [
        (words("paper.about.bag"), str(bag.code)),
        *([(words("slip.to"), slip.address)] if slip.address else []),
        (words("paper.about.lot"), bag.lot),
        (words("paper.about.crop"), ", ".join(one.name for one in lot.known_crops)),
        (words("paper.about.form"), words(f"slip.form.{lot.form}")),
        (words("paper.about.cored"), words.day(bag.cored_on)),
        (words("slip.taken"), words(f"slip.taken.{bag.taken}")),
        (words("paper.about.bales"), _cores(bag, words)),
        *([(words("slip.part"), bag.part)] if bag.part else []),
        (words("slip.mass"), _grams(bag.mass_sealed_g, words) or unknown),
        (words("paper.about.sampler"), slip.sampler or unknown),
    ]
    return blocks.data_list(items)


def _cores(bag: Bag, words: Speaker) -> str:
    if bag.bales_cored is None:
        return words("slip.unknown")
    return words("paper.label.cores", bales=bag.bales_cored, cores=bag.cores_per_bale)


def _grams(grams: float | None, words: Speaker) -> str:
    return "" if grams is None else words("paper.amount", amount=Amount(grams, "g", digits=0))


def _tests(slip: Slip, office: Office, words: Speaker) -> list[blocks.Block]:
    ordered = [lab_test(one) for one in slip.bag.tests]
    materials = list(dict.fromkeys(words(f"slip.needs.{one.needs}") for one in ordered))
    each = len(materials) > 1  # said once where all are taken from the same
    head = [words("slip.test"), words("slip.gives")]
    head += [words("slip.material")] if each else []
    head += [office.currency] if slip.prices else []
    rows = [_row(one, slip, words, material=each) for one in ordered]
    align = "ll" + ("l" if each else "") + ("r" if slip.prices else "")
    widths = (1.5, 2.0, *((1.2,) if each else ()), *((0.7,) if slip.prices else ()))

    def table(some: list[list[str]]) -> blocks.Block:
        return blocks.table(head, some, align=align, widths=widths)

    half = (len(rows) + 1) // 2
    long = len(rows) > LONG and not each  # so that a slip stays on one sheet of paper
    said = [blocks.beside([table(rows[:half])], [table(rows[half:])]) if long else table(rows)]
    if not each:
        said.append(blocks.text(words("slip.all_from", material=materials[0]), kind="small"))
    if slip.prices:
        total = words("slip.total", total=f"{slip.total:.2f}", currency=office.currency)
        said.append(blocks.text(total, kind="strong"))
    if slip.prices and slip.unpriced:
        said.append(blocks.text(words("slip.unpriced", n=len(slip.unpriced)), kind="small"))
    return said


def _row(one: LabTest, slip: Slip, words: Speaker, *, material: bool) -> list[str]:
    row = [one.name, _gives(one, words)]
    row += [words(f"slip.needs.{one.needs}")] if material else []
    if slip.prices:
        row.append(f"{slip.prices[one.id]:.2f}" if one.id in slip.prices else words("slip.ask"))
    return row


def _gives(one: LabTest, words: Speaker) -> str:
    return ", ".join(words.name(name) for name in one.gives)


def _know_section(slip: Slip, words: Speaker) -> blocks.Block | None:
    """What the laboratory should know of the hay before it opens the bag."""
    lot, bag = slip.lot, slip.bag
    suspects = lot.suspects_nitrate()
    said = [words("paper.plan.suspect", why=suspects)] if suspects else []
    told = tuple(event(one).name.lower() for one in dict.fromkeys((*lot.events, *bag.condition)))
    said += [words("slip.events", events=told)] if told else []
    said += [words("slip.preservative", name=lot.preservative)] if lot.preservative else []
    said += words.every(bag.notes())
    if bag.mass_sealed_g is not None and not bag.notes():
        said.append(words.said(judge_mass(bag.mass_sealed_g).reason))
    unique = list(dict.fromkeys(said))
    if not unique:
        return None
    return blocks.section(words("slip.know"), *(blocks.text(one) for one in unique))


def _mind_section(slip: Slip, words: Speaker) -> blocks.Block:
    needs = {lab_test(one).needs for one in slip.bag.tests}
    said = [words("slip.keep")]
    said += [words("slip.fresh")] if "fresh" in needs else []
    said += [words("slip.whole")] if needs & {"whole", "look"} else []
    said += [words("slip.whole_bag"), words("slip.dust")]
    said += [words("slip.nitrate_form")] if "nitrate" in slip.bag.tests else []
    return blocks.section(words("slip.mind"), blocks.caution(words("paper.caution"), said))


def _journey_section(bag: Bag, words: Speaker) -> blocks.Block | None:
    if not bag.journey:
        return None
    rows = [
        (words.day(one.when.date()), words(f"slip.stage.{one.stage}"), _grams(one.mass_g, words))
        for one in bag.journey
    ]
    head = [words("slip.when"), words("slip.what"), words("slip.mass")]
    return blocks.section(words("slip.journey"), blocks.table(head, rows, align="llr"))
