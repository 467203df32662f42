"""What an order of tests costs by the price list of the laboratory it goes to."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from haywright.bag.tests import all_tests
from haywright.office.bag.models import Bag
from haywright.office.bench.models import Laboratory


def price_list(prices: Mapping[str, Any]) -> dict[str, Decimal]:
    """Test id -> price [office's currency]; what is no price or no test of ours is left out."""
    found = {}
    for test, written in prices.items():
        try:
            price = Decimal(str(written))
        except InvalidOperation:
            continue
        if test in all_tests() and price.is_finite() and price >= 0:
            found[test] = price
    return found


def laboratory_of(bag: Bag) -> Laboratory | None:
    """The laboratory a bag goes to, where the office has written it down."""
    return Laboratory.objects.filter(office=bag.office_id, name=bag.laboratory).first()


def prices_of(bag: Bag) -> dict[str, Decimal]:
    """The price list of the laboratory a bag goes to; empty where it has none."""
    held = laboratory_of(bag)
    return price_list(held.prices) if held is not None else {}


def address_of(bag: Bag) -> str:
    """Where a bag goes: the laboratory's address and telephone in one line."""
    held = laboratory_of(bag)
    if held is None:
        return ""
    return ", ".join(one.strip() for one in (*held.address.splitlines(), held.phone) if one.strip())
