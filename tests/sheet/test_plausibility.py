"""Rules of belief: each can speak, none changes a number, and arrays are judged as numbers are."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.sheet.plausibility import (
    BITS,
    RULES,
    bits,
    check,
    check_columns,
    check_reported,
    fitting,
)
from haywright.sheet.working import Working
from haywright.sources.crops import crop
from tests.sheet.hay import many, result, results

GOOD = {"dm": 89.0, "cp": 19.0, "n": 3.04, "adf": 31.0, "ndf": 40.0, "lignin": 6.5, "fat": 2.4,
        "ash": 9.5, "adicp": 1.2, "ndicp": 2.8, "starch": 1.5, "wsc": 8.0, "esc": 6.0, "nfc": 29.0,
        "ca": 1.4, "p": 0.25, "mg": 0.3, "k": 2.2, "s": 0.25}  # fmt: skip
BROKEN = [
    ("P1", {"dm": 72.0}),
    ("P1", {"dm": 0.0}),
    ("P2", {"adf": 42.0}),
    ("P3", {"ash": 45.0}),
    ("P4", {"adicp": 3.0}),
    ("P4", {"ndicp": 20.0}),
    ("P5", {"lignin": 33.0}),
    ("P5", {"lignin": 3.0}),
    ("P6", {"k": 8.0}),
    ("P7", {"starch": 40.0}),
    ("P7", {"esc": 9.0}),
    ("P8", {"ca": 0.5}),
    ("P8", {"p": 0.9}),
    ("P9", {"ndf": 52.0}),
    ("P10", {"cp": 30.0, "n": 4.8}),
    ("P10", {"n": 2.5}),
    ("P11", {"mg": 0.9}),
    ("P12", {"ash": 15.0}),
]


def raised(values, forage_class="legume", form="cured_hay"):
    return [flag.rule for flag in check(values, forage_class=forage_class, form=form)]


def test_believable_alfalfa_raises_nothing():
    assert raised(GOOD) == []


@pytest.mark.parametrize(("rule", "wrong"), BROKEN)
def test_each_rule_speaks_when_it_is_broken(rule, wrong):
    assert rule in raised(GOOD | wrong)


def test_every_rule_is_shown_broken_above():
    assert {rule for rule, _ in BROKEN} == set(RULES)


def test_the_same_hay_is_judged_by_its_kind():
    timothy = {"ca": 0.4, "p": 0.25, "adf": 38.0, "ndf": 64.0, "cp": 9.0, "lignin": 4.0}
    assert raised(timothy, "grass") == []
    assert {"P5", "P8", "P9"} <= set(raised(timothy, "legume"))
    assert "P1" in raised({"dm": 55.0})
    assert raised({"dm": 55.0}, form="baleage") == []


@given(st.dictionaries(st.sampled_from(sorted(GOOD)), st.floats(0, 100)))
def test_any_numbers_are_judged_without_breaking_and_none_is_changed(values):
    kept = dict(values)
    raised(values)
    assert values == kept


@pytest.mark.parametrize("forage_class", ["legume", "grass", "mixed", "straw", "brassica"])
def test_many_samples_are_judged_as_each_alone(forage_class):
    columns = many(400)
    together = bits(columns, forage_class=forage_class)
    for n in range(400):
        alone = raised({name: column[n] for name, column in columns.items()}, forage_class)
        assert together[n] == sum({BITS[rule] for rule in alone})


def test_a_sample_without_a_value_is_not_judged_by_it():
    columns = {"adf": np.array([np.nan, 42.0]), "ndf": np.array([40.0, 40.0])}
    found = bits(columns, forage_class="legume")
    assert found[0] & BITS["P2"] == 0
    assert found[1] & BITS["P2"] != 0


# ---- P13


def working(**values):
    return Working(results(**values), crop("alfalfa"))


def test_every_equation_that_fits_a_reported_tdn_is_listed():
    fits = fitting(working(adf=35.0), 56.1, within=0.1)  # the western and Nebraska lines cross here
    assert {fit.method for fit in fits if not fit.at_90} == {"western", "nebraska"}


def test_a_tdn_that_fits_only_at_90_percent_is_asked_about():
    (flag,) = check_reported(working(adf=28.0), {"tdn": 55.2})  # TDN-90 of western alfalfa
    assert flag.message.key == "sheet.flag.tdn_at_90"
    assert any("82.38" in name for name in flag.message.args["names"])


def test_a_tdn_no_equation_gives_is_said_to_be_unknown():
    (flag,) = check_reported(working(adf=31.0), {"tdn": 75.0})
    assert flag.message.key == "sheet.flag.tdn_unknown"


def test_one_fitting_equation_is_named_as_a_note():
    (flag,) = check_reported(working(adf=28.0), {"tdn": 61.3})  # alfalfa ADF 28 by the western line
    assert (flag.kind, flag.message.key) == ("note", "sheet.flag.tdn_fits")


def test_a_laboratory_that_names_its_equation_is_held_to_it():
    given = result("tdn", 58.3)
    kept = working(adf=32.0)
    for method, flags in (("western", 0), ("oklahoma", 1)):
        kept.results = kept.results.with_results(replace(given, method=method))
        assert len(check_reported(kept, {"tdn": 58.3})) == flags


def test_a_reported_rfv_far_from_its_fiber_is_flagged():
    assert check_reported(working(adf=32.0, ndf=41.0), {"rfv": 146.0}) == ()
    (flag,) = check_reported(working(adf=32.0, ndf=41.0), {"rfv": 150.0})
    assert flag.message.key == "sheet.flag.rfv"


# ---- P14


@pytest.mark.parametrize(
    ("wet", "dry", "dm"),
    # MontGuide MT201609AG prints ADF 35.8 as received and 42.1 on dry matter at 85.15 %
    [((35.8, 1), (42.1, 1), (85.15, 2)), ((16.1, 1), (18.2, 1), (88.5, 1))],
)
def test_two_columns_that_agree_to_rounding_pass(wet, dry, dm):
    assert check_columns("adf", wet, dry, dm) == ()


def test_two_columns_that_disagree_are_flagged():
    (flag,) = check_columns("cp", (17.0, 1), (18.2, 1), (88.5, 1))
    assert flag.rule == "P14"
