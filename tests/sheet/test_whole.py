"""Whole sheets over arrays: what each sample alone would say, in memory that stays small."""

from __future__ import annotations

import tracemalloc

import numpy as np
import pytest

from haywright.measure.errors import Refused
from haywright.sheet.choices import Choices
from haywright.sheet.plausibility import BITS
from haywright.sheet.sheet import write_sheet
from haywright.sheet.whole import whole_sheet
from haywright.sources.crops import crop
from tests.sheet.hay import many, results

CASES = [
    ("alfalfa", Choices(), ()),
    ("alfalfa", Choices(methods={"tdn": "western", "me": "hales2019"}, tie="lower"), ()),
    ("alfalfa", Choices(scale="afgc", headline="lowest"), ("ndfd48",)),
    ("alfalfa-grass", Choices(scale="illinois", headline="adf", gap="better"), ("ndicp",)),
    ("bromegrass", Choices(headline="lowest-fiber"), ()),
    ("sorghum-sudan", Choices(), ("ndfd48", "ash")),
]


@pytest.mark.parametrize(("name", "choices", "without"), CASES)
def test_many_samples_say_what_each_alone_says(name, choices, without):
    columns = {k: v for k, v in many(150).items() if k not in without}
    whole = whole_sheet(columns, crop(name), choices)
    for n in range(150):
        one = write_sheet(results(**{k: float(v[n]) for k, v in columns.items()}), crop(name),
                          choices)  # fmt: skip
        for quantity, column in whole.columns.items():
            alone = one.derived.get(quantity)
            if alone is None or alone.method != whole.methods[quantity]:
                assert np.isnan(column[n]), quantity
            else:
                assert column[n] == pytest.approx(alone.value, rel=1e-12), quantity
        _same_grades(whole, one, n, choices)
        alone = {flag.rule for flag in one.flags if flag.rule in BITS}
        assert whole.flags[n] == sum(BITS[rule] for rule in alone)


def _same_grades(whole, one, n, choices):
    found = next((g for g in one.grades if g.scale.id == choices.scale), None)
    if whole.scale is None:
        assert whole.grades == {}
        return
    for measure, codes in whole.grades.items():
        if measure in ("headline", "agree"):
            continue
        alone = None if found is None else found.by_measure.get(measure)
        if alone is not None:
            assert codes[n] == alone.code
        else:
            assert codes[n] == -1
    assert whole.scale.word(whole.grades["headline"][n]) == (
        "" if found is None else found.headline
    )


def test_the_size_of_a_block_changes_nothing():
    columns = many(1000)
    one, other = (whole_sheet(columns, crop("alfalfa"), block=block) for block in (1000, 64))
    for name in one.columns:
        assert np.array_equal(one.columns[name], other.columns[name], equal_nan=True)
    assert np.array_equal(one.flags, other.flags)
    assert all(np.array_equal(one.grades[m], other.grades[m]) for m in one.grades)


def test_memory_stays_at_inputs_outputs_and_eight_columns():
    n = 200_000
    columns = many(n)
    tracemalloc.start()
    try:
        whole = whole_sheet(columns, crop("alfalfa"))
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    out = sum(c.nbytes for c in (*whole.columns.values(), *whole.grades.values(), whole.flags))
    assert peak <= out + 8 * 8 * n


def test_a_sample_without_a_value_has_none_where_it_is_needed():
    columns = many(10)
    columns["adf"][3] = np.nan
    whole = whole_sheet(columns, crop("alfalfa"))
    assert np.isnan(whole.columns["rfv"][3])
    assert whole.grades["adf"][3] == -1
    assert np.isfinite(whole.columns["rfv"][4])


def test_a_laboratory_s_own_column_stands():
    columns = {**many(20), "tdn": np.full(20, 60.0)}
    whole = whole_sheet(columns, crop("alfalfa"))
    assert "tdn" not in whole.columns
    assert whole.columns["nem"] == pytest.approx(np.full(20, 1.31), abs=0.01)  # NRC: TDN 60


def test_columns_of_different_length_are_refused():
    with pytest.raises(Refused):
        whole_sheet({"adf": np.ones(3), "ndf": np.ones(4)}, crop("alfalfa"))
    with pytest.raises(Refused):
        whole_sheet({}, crop("alfalfa"))
