"""What must hold of every nitrate decision, whatever the hay, the guide and the animals."""

from __future__ import annotations

import dataclasses
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.bunk.hazards.nitrate.doubt import Laboratory, Sampling, Spread, bag_says
from haywright.bunk.hazards.nitrate.lookup import says
from haywright.bunk.hazards.nitrate.question import Fed, NitrateQuestion, Rest
from haywright.bunk.hazards.nitrate.verdict import Answer, decide
from haywright.measure.estimate import Estimate, exact
from haywright.sources.animals import kinds
from haywright.sources.guides import guide, guides

LEVELS = (1, 300, 500, 700, 900, 1000, 1129, 1200, 1500, 1800, 2000, 2500, 3389, 3800, 4000, 5000,
          8000, 20_000)  # fmt: skip
STOCK = sorted(kinds())
RUMINANTS = [one for one in STOCK if kinds()[one].ruminant]
nitrates = st.floats(1, 12_000)
rests = st.floats(0, 900)
waters = st.floats(0, 300)
chosen = st.sampled_from(sorted(guides()))
stock = st.sampled_from(STOCK)
fed = st.sampled_from(list(Fed))
bags = st.builds(
    lambda n, more, m: Sampling(n, n + more, m),
    st.integers(1, 40), st.integers(0, 200), st.integers(1, 3),
)  # fmt: skip
spreads = st.builds(
    Spread,
    st.floats(0.25, 0.9), st.sampled_from([1.0, 3.0, 8.0, 30.0, math.inf]), st.floats(0.1, 0.5),
)  # fmt: skip


def question(nitrate, *, animals="bred-cows", which="clemson", rest=140.0, water=26.0, **more):
    return NitrateQuestion(
        result=exact(nitrate),
        classes=kinds()[animals].classes,
        guide=guide(which),
        sampling=more.pop("sampling", Sampling(20, 80)),
        rest=Rest(rest, water),
        **more,
    )


def allowed(verdict):
    """The share that may be fed; none where no share is given."""
    return verdict.share or 0.0


@given(nitrates, nitrates, chosen, stock, bags, spreads, rests, waters, fed)
def test_more_nitrate_never_allows_more(
    one, other, which, animals, sampling, spread, rest, water, way
):
    low, high = sorted((one, other))
    asked = {"animals": animals, "which": which, "sampling": sampling, "spread": spread,
             "rest": rest, "water": water, "fed": way}  # fmt: skip
    assert allowed(decide(question(low, **asked))) >= allowed(decide(question(high, **asked)))


@given(nitrates, chosen, stock, bags, spreads, rests, waters)
def test_mixing_allows_at_least_what_a_limited_amount_does_and_that_what_free_choice_does(
    nitrate, which, animals, sampling, spread, rest, water
):
    mixed, limited, free = (
        allowed(decide(question(nitrate, animals=animals, which=which, sampling=sampling,
                                spread=spread, rest=rest, water=water, fed=way)))
        for way in (Fed.MIXED, Fed.LIMITED, Fed.FREE)
    )  # fmt: skip
    assert mixed >= limited >= free
    assert free in (0.0, 1.0)


@given(nitrates, chosen, stock, bags, spreads, rests, waters, fed)
def test_no_verdict_allows_more_than_the_guides_own_share(
    nitrate, which, animals, sampling, spread, rest, water, way
):
    v = decide(question(nitrate, animals=animals, which=which, sampling=sampling, spread=spread,
                        rest=rest, water=water, fed=way))  # fmt: skip
    here = says(guide(which), v.high, kinds()[animals].classes)
    if here.silent:
        assert v.share is None
    elif here.share is not None:
        assert allowed(v) <= here.share


@given(nitrates, chosen, stock, rests, waters, st.floats(0, 500), st.floats(0, 100))
def test_more_nitrate_in_water_or_other_feed_never_allows_more(
    nitrate, which, animals, rest, water, more, wetter
):
    first = allowed(decide(question(nitrate, animals=animals, which=which, rest=rest, water=water)))
    second = decide(
        question(nitrate, animals=animals, which=which, rest=rest + more, water=water + wetter)
    )
    assert allowed(second) <= first + 1e-12


@given(st.integers(1, 60), st.integers(1, 60), st.integers(0, 200), st.integers(1, 4), spreads)
def test_more_cores_never_widen_the_range_of_the_mean_nor_raise_the_bad_bale(
    one, other, more, cores, spread
):
    few, many = sorted((one, other))
    lot = many + more
    laboratory = Laboratory(0.06, 0.08)
    less, better = (
        bag_says(1000.0, spread=spread, sampling=s, laboratory=laboratory)
        for s in (Sampling(few, lot, cores), Sampling(many, lot, cores))
    )
    assert better.mean_at(0.95) <= less.mean_at(0.95) * (1 + 1e-9)
    assert better.mean_at(0.05) >= less.mean_at(0.05) * (1 - 1e-9)
    assert better.bale_at(0.99) <= less.bale_at(0.99) * (1 + 1e-9)


@given(nitrates, stock, st.floats(1, 5000))
def test_where_each_row_of_a_guide_is_stricter_it_never_allows_more(nitrate, animals, drop):
    mild = guide("clemson")
    strict = dataclasses.replace(
        mild,
        rows=tuple(
            dataclasses.replace(
                row,
                low=max(row.low - drop, 0.0) if row.low else 0.0,
                high=None if row.high is None else max(row.high - drop, 0.0),
            )
            for row in mild.rows
            if row.high is None or row.high > drop
        ),
    )
    asked = {"sampling": Sampling(20, 80), "rest": Rest(140.0, 26.0)}
    classes = kinds()[animals].classes
    of_strict, of_mild = (
        decide(NitrateQuestion(result=exact(nitrate), classes=classes, guide=one, **asked))
        for one in (strict, mild)
    )
    assert allowed(of_strict) <= allowed(of_mild)


@pytest.mark.parametrize("animals", STOCK)
@pytest.mark.parametrize("which", sorted(guides()))
def test_every_guide_answers_for_every_kind_of_stock_at_every_level(which, animals):
    before = 1.0
    for level in LEVELS:
        for result in (exact(float(level)), Estimate.below(float(level), "LOQ", raw=level / 2)):
            v = decide(dataclasses.replace(question(1.0, animals=animals, which=which),
                                           result=result))  # fmt: skip
            assert v.answer in Answer
            assert v.to_json()["guide"] == which
            assert len(v.strip) == len(guides())
        assert allowed(v) <= before
        before = allowed(v)


def test_do_not_feed_is_never_raised_by_dilution():
    v = decide(question(2500.0, rest=0.0, water=0.0))
    assert v.answer is Answer.DO_NOT_FEED
    assert v.share == 0.0


@pytest.mark.parametrize("which", ["virginia_hall_2002", "nebraska_hay", "georgia_hancock"])
def test_a_row_without_a_number_gives_no_share_above_the_line_for_all(which):
    assert allowed(decide(question(4500.0, which=which, rest=0.0, water=0.0))) == 0.0


@pytest.mark.parametrize("which", ["manitoba", "wyoming", "south_dakota", "merck_recalled"])
def test_a_row_without_a_number_gives_no_share_in_the_highest_of_three_bands(which):
    top = guide(which).to_no3n(guide(which).bands[-1])
    assert allowed(decide(question(top * 1.05, which=which, rest=0.0, water=0.0))) == 0.0
