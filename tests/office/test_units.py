"""Each person reads in their own units and in days that cannot be misread, on every page."""

from __future__ import annotations

import re
from decimal import Decimal
from html.parser import HTMLParser
from http import HTTPStatus
from typing import Any

import pytest

from tests.office.test_rights import address_of, addresses, keys, read  # noqa: F401 - a fixture

NUMBER = r"(?<![\w.,])[\d.,]*\d[\s\u00a0]?"
US = re.compile(NUMBER + r"(lb|in|ft|feet|inches|°F|gal|mi|short tons?|cubic feet)\b")
SI = re.compile(NUMBER + r"(kg|cm|m|°C|km|L|litres|tonnes?|m³)\b")
MISREAD = re.compile(r"\b\d{1,2}[/.-]\d{1,2}[/.-](\d{4}|\d{2})\b")


class Visible(HTMLParser):
    """What a person reads of a page, but for what somebody typed into a field."""

    def __init__(self) -> None:
        super().__init__()
        self.said: list[str] = []
        self.inside = 0

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        self.inside += tag in ("script", "style", "template")
        held = dict(attrs)
        self.said += [held[one] for one in ("aria-label", "title", "alt") if held.get(one)]

    def handle_endtag(self, tag: str) -> None:
        self.inside -= tag in ("script", "style", "template")

    def handle_data(self, data: str) -> None:
        if not self.inside:
            self.said.append(data)


def visible(page: str) -> str:
    reading = Visible()
    reading.feed(page)
    return "\n".join(one for one in reading.said if one.strip())


def pages_of(cast: Any, who: str, keys: Any) -> dict[str, str]:  # noqa: F811
    """Every page and paper that opens to somebody, as read."""
    client = cast.client(who)
    out = {}
    for name, held in addresses().items():
        if name in ("sign-out", "account_logout"):
            continue
        answer = client.get(address_of(name, held, keys))
        kind = answer.headers.get("Content-Type", "")
        if answer.status_code == HTTPStatus.OK and kind.startswith("text/html"):
            out[name] = visible(answer.content.decode())
        elif answer.status_code == HTTPStatus.OK and kind == "application/pdf":
            out[name] = read(answer)
    return out


def with_units(cast: Any, who: str, units: str) -> None:
    person = cast.people[who]
    person.units = units
    person.save()


@pytest.mark.parametrize(("units", "own", "others"), [("si", SI, US), ("us", US, SI)])
def test_no_page_or_paper_says_a_number_in_the_other_units(cast, keys, units, own, others):  # noqa: F811
    with_units(cast, "educator", units)
    pages = pages_of(cast, "educator", keys)
    found = {
        name: sorted({one.group() for one in others.finditer(text)})
        for name, text in pages.items()
        if others.search(text)
    }
    assert not found, "\n".join(f"{k}: {v}" for k, v in found.items())
    for name in ("lot", "lot-plan", "lot-plan-pdf"):
        assert own.search(pages[name]), name


@pytest.mark.parametrize("units", ["us", "si"])
def test_no_page_writes_a_day_that_can_be_misread(cast, keys, units):  # noqa: F811
    with_units(cast, "educator", units)
    pages = pages_of(cast, "educator", keys)
    found = {name: MISREAD.findall(text) for name, text in pages.items() if MISREAD.search(text)}
    assert not found, found
    assert "8\u00a0September 2026" in pages["lot"]


def test_a_price_of_a_tonne_is_kept_as_the_price_of_a_ton(cast, lot):
    """A short ton is 2,000 lb of 0.45359237 kg: 200.00 a tonne is 181.44 a ton."""
    with_units(cast, "educator", "si")
    told = {"bales_sold": 2, "buyer": "A neighbour", "price_ton": "200.00"}
    cast.client("educator").post(f"/lots/{lot.pk}/sell", told)
    assert lot.went.get().price == Decimal("181.44")


def test_weights_and_lengths_on_a_page_are_the_pure_ones_converted(cast, lot, keys):  # noqa: F811
    """A pound is 0.45359237 kg exactly (international yard and pound, 1959)."""
    said = {}
    for units in ("us", "si"):
        with_units(cast, "educator", units)
        said[units] = cast.client("educator").get(f"/lots/{lot.pk}/").content.decode()
    pounds = set(re.findall(r"[\d,]+(?=\u00a0lb)", said["us"]))
    kilograms = {int(one.replace(",", "")) for one in re.findall(r"[\d,]+(?=\u00a0kg)", said["si"])}
    assert pounds
    for one in pounds:
        exact = int(one.replace(",", "")) * 0.45359237
        assert any(abs(exact - kg) <= 0.01 * exact for kg in kilograms), one


def test_what_was_typed_in_inches_is_read_in_centimetres(cast):
    """An inch is 2.54 cm exactly."""
    from datetime import date

    from haywright.office.stack.actions import describe_lot
    from tests.office.conftest import OATS

    told = {**OATS, "name": "Rotten rind", "weathered_outside": "3 in"}
    made = describe_lot(cast.actor("educator"), told, ranch=cast.ranch, today=date(2026, 8, 2))
    said = visible(cast.client("educator").get(f"/lots/{made.pk}/").content.decode())
    assert "3.0\u00a0in" in said
    with_units(cast, "educator", "si")
    said = visible(cast.client("educator").get(f"/lots/{made.pk}/").content.decode())
    assert "7.6\u00a0cm" in said
    assert not US.search(said), US.findall(said)


def test_hay_is_weighed_out_in_one_s_own_units(cast, lot, bag):
    """A pound is 0.45359237 kg exactly; the slider steps by half a pound or 0.2 kg."""
    from datetime import date

    from haywright.office.bench.actions import type_report
    from haywright.office.stack.actions import describe_lot
    from haywright.sheet.typed import Laboratory
    from tests.office.conftest import OATS, TYPED

    herd = {"name": "cows", "animals": "bred cows", "head": 46, "fed": "mixed"}
    herd |= {"intake": "25 lb", "water_nitrate": "5 mg/L NO3-N", "drinks": "11 gal"}
    cast.ranch.facts = {"group": [herd]}
    cast.ranch.save()
    actor, lab = cast.actor("educator"), Laboratory(name="Plain laboratory")
    told = {**OATS, "name": "Clean hay", "crop": "bromegrass"}
    clean = describe_lot(actor, told, ranch=cast.ranch, today=date(2026, 8, 2))
    type_report(actor, clean, ["dm=88 %", "nitrate=90 ppm NO3-N dry matter"], profile=lab)
    type_report(actor, lot, TYPED, profile=lab, bag=bag)
    address = f"/sheets/{lot.sheets.get().pk}/feeding"
    most = {}
    for units in ("us", "si"):
        with_units(cast, "educator", units)
        page = cast.client("educator").get(address).content.decode()
        allowed = re.search(r'name="amount"[^>]*\bmax="([\d.]+)"', page)
        assert allowed
        most[units] = float(allowed[1])
        assert not (US if units == "si" else SI).search(visible(page))
    assert most["us"] * 0.45359237 == pytest.approx(most["si"], abs=0.23)
