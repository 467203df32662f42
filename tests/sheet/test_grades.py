"""Grades: a class per measure on each scale; numbers and arrays place hay alike."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.measure.errors import UnknownName
from haywright.measure.estimate import Estimate, Source
from haywright.sheet.grades import (
    GAPS,
    HEADLINES,
    NO_CLASS,
    TIES,
    code_of,
    codes,
    grade,
    hay_type,
    scale,
    scale_names,
)
from haywright.sources.crops import crop

USDA = scale("usda-2003", "alfalfa")
BANDS = [
    (found, bands)
    for name in scale_names()
    for hay in ("alfalfa", "legume", "mixed", "grass")
    if (found := scale(name, hay)) is not None
    for bands in found.bands.values()
]
any_bands = st.sampled_from([bands for _, bands in BANDS])
rules = {"tie": st.sampled_from(TIES), "gap": st.sampled_from(GAPS)}


@given(bands=any_bands, values=st.lists(st.floats(0, 250), min_size=1, max_size=20), **rules)
def test_an_array_is_placed_as_its_numbers_are(bands, values, tie, gap):
    together = codes(bands, np.array(values), tie=tie, gap=gap)
    assert together.dtype == np.int8
    assert together.tolist() == [code_of(bands, v, tie=tie, gap=gap) for v in values]


@given(bands=any_bands, value=st.floats(0, 250), more=st.floats(0, 50), **rules)
def test_better_hay_is_never_placed_lower(bands, value, more, tie, gap):
    better = value - more if bands.lower_is_better else value + more
    worse, best = (code_of(bands, v, tie=tie, gap=gap) for v in (value, better))
    assert best <= worse or NO_CLASS in (best, worse)


@given(any_bands)
def test_a_missing_value_has_no_class(bands):
    assert code_of(bands, np.nan) == NO_CLASS


@pytest.mark.parametrize(("found", "bands"), BANDS)
def test_every_class_of_a_scale_can_be_reached(found, bands):
    best, worst = min(bands.edges) - 20, max(bands.edges) + 20
    reached = set(codes(bands, np.linspace(best, worst, 20_001)).tolist()) - {NO_CLASS}
    assert reached == set(range(len(found.classes)))


@pytest.mark.parametrize(
    ("measure", "edge", "better", "lower"),
    # limits of the USDA guidelines 2003, as Montana State University prints them
    [("adf", 29, "Premium", "Good"), ("ndf", 40, "Good", "Fair"), ("rfv", 170, "Premium", "Good"),
     ("cp", 18, "Good", "Fair"), ("tdn", 58, "Good", "Fair")],
)  # fmt: skip
def test_a_value_on_a_limit_takes_the_class_the_rule_says(measure, edge, better, lower):
    bands = USDA.bands[measure]
    assert USDA.word(code_of(bands, edge)) == better
    assert USDA.word(code_of(bands, edge, tie="lower")) == lower


def test_the_usda_table_leaves_a_gap_in_tdn():
    bands = USDA.bands["tdn"]  # Premium from 60.5, Good to 60
    assert USDA.word(code_of(bands, 60.2)) == ""
    assert USDA.word(code_of(bands, 60.2, gap="better")) == "Premium"  # Montana's print: 60-62
    assert USDA.word(code_of(bands, 60.5)) == "Premium"
    assert USDA.word(code_of(bands, 60.0)) == "Good"


def test_bands_printed_in_whole_numbers_have_no_gap_between_them():
    prime = scale("afgc", "legume").bands
    assert code_of(prime["rfv"], 151.4) == 1  # Prime is above 151
    assert code_of(prime["rfv"], 151.6) == 0
    assert code_of(prime["cp"], 16.6) == 1  # 17-19 is standard 1, 14-16 standard 2
    assert code_of(prime["dmi_bw"], 2.57) == 1


def test_real_alfalfa_falls_into_three_classes_and_the_headline_follows_the_rule():
    # late-bud alfalfa, Alberta Agriculture FAQ 14096: CP 19.0, ADF 29.4, NDF 47.0
    values = {"cp": 19.0, "adf": 29.4, "ndf": 47.0, "rfv": 130.6}
    heads = {rule: grade(values, USDA, headline=rule).headline for rule in HEADLINES}
    assert heads == {"rfv": "Fair", "adf": "Good", "lowest": "Utility", "lowest-fiber": "Utility"}
    assert grade(values, USDA).agree is False


def test_grass_is_placed_by_protein_whatever_the_headline_rule():
    found = grade({"cp": 10.5, "rfv": 90.0}, scale("usda-2003", "grass"), headline="rfv")
    assert found.headline == "Good"
    assert found.agree is None


def test_a_doubtful_value_shows_the_classes_it_may_belong_to():
    adf = Estimate.of(29.2, {Source("adf"): 1.0})
    placed = grade({"adf": adf}, USDA).by_measure["adf"]
    assert (placed.word, placed.best, placed.worst) == ("Good", "Premium", "Good")


def test_what_the_scales_do_not_speak_of_has_no_grade():
    assert hay_type(crop("oats")) == ""
    assert scale("usda-2003", hay_type(crop("oats"))) is None
    assert scale("usda-2003", "mixed") is None
    assert scale("illinois", "mixed") is not None


def test_an_unknown_scale_or_rule_is_refused():
    with pytest.raises(UnknownName):
        scale("state fair", "alfalfa")
    with pytest.raises(UnknownName):
        grade({"adf": 30.0}, USDA, headline="looks")
