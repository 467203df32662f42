"""The register: one declaration, known everywhere."""

from __future__ import annotations

import pytest

from haywright.measure.errors import CannotDerive, UnknownName
from haywright.measure.estimate import Estimate, Source
from haywright.measure.register import all_equations, apply, get, resolved
from haywright.measure.rounding import round_decimal, round_significant
from haywright.sources.bibliography import cite
from haywright.way.equations import equation_book, worked


def test_every_equation_names_a_source_and_its_terms() -> None:
    book = equation_book()
    assert book
    for one in book:
        assert cite(one.source).title, one.id
        assert all(term.name for term in resolved(one)), one.id
        assert one.name, one.id


def test_an_equation_works_on_an_estimate_and_keeps_its_source() -> None:
    dm = Source("oven")
    out = apply(
        get("measure.basis.from_dry_matter"), {"x_dm": 42.1, "dm": Estimate.of(85.15, {dm: 0.2})}
    )
    assert out.value == pytest.approx(35.85, abs=0.01)  # Van Emon and others, MT201609AG, 2016
    assert out.parts[dm] == pytest.approx(0.0842, abs=1e-4)


def test_a_missing_input_is_named() -> None:
    with pytest.raises(CannotDerive) as caught:
        worked("measure.basis.to_dry_matter", ["x=30"])
    assert caught.value.missing == ("dm",)


def test_an_unknown_equation_is_answered_with_near_ones() -> None:
    with pytest.raises(UnknownName) as caught:
        get("measure.basis.to_dry_mater")
    assert "measure.basis.to_dry_matter" in caught.value.names


def test_ids_are_in_order_and_once() -> None:
    ids = [one.id for one in all_equations()]
    assert ids == sorted(set(ids))


def test_an_exact_half_rounds_by_the_rule_that_is_named() -> None:
    """ASTM E29 / ISO 80000-1: 0.125 to two decimals is 0.12 half to even, 0.13 half up."""
    assert str(round_decimal(0.125, 2)) == "0.12"
    assert str(round_decimal(0.125, 2, "half_up")) == "0.13"
    assert str(round_significant(1235.0, 3)) == "1240"
    assert str(round_significant(0.05678, 3)) == "0.0568"
