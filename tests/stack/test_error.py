"""The variance model: formulas of the textbooks, what no number of cores can mend, and pooling."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import ndtr
from scipy.stats import hypergeom, norm, t

from haywright.measure.errors import Refused
from haywright.sources.tables import load_toml
from haywright.stack import compare, error, hot
from haywright.stack.error import Cores, Scheme, Spread
from haywright.stack.spread import (
    Origin,
    Repeat,
    choose_spread,
    library_row,
    nested_components,
    pooled_sd,
    range_in_sds,
    repeat_from_bags,
)

SDS = st.floats(0.01, 5)
COUNTS = st.integers(1, 60)
SPREADS = st.builds(Spread, SDS, SDS, powder=SDS, repeat=SDS, laboratory=SDS)


# ---------------------------------------------------------------- the model


def test_the_published_schemes_of_composites():
    # Berthouex and Brown 2002, Table 25.6, schemes 1, 2 and 4: 17.3, 4.5, 2.3
    for increments, variance in ((1, 17.3), (5, 4.5), (16, 2.3)):
        doubt = Spread.of_variances(16.0, repeat=1.3)
        assert error.variance(doubt, Scheme(increments)) == pytest.approx(variance)


@given(SPREADS, COUNTS)
def test_coring_every_bale_leaves_nothing_between_bales(spread, bales):
    every = error.variance(spread, Scheme(bales, lot_bales=bales))
    none = error.variance(replace(spread, between=0.0), Scheme(bales, lot_bales=bales))
    assert every == pytest.approx(none)


@given(SPREADS, COUNTS, st.integers(1, 5), st.integers(1, 5))
def test_no_number_of_cores_or_readings_gets_under_the_laboratorys_bias(spread, bales, m, k):
    scheme = Scheme(bales, m, analyses=k, portions=k)
    half = error.half_width(spread, scheme, 0.95)
    # ISO 5725-2: what laboratories differ by stays; 1.959964 from any table of the normal curve
    assert half > norm.ppf(0.975) * spread.laboratory


@given(SPREADS, st.integers(1, 40))
def test_one_more_core_never_hurts(spread, bales):
    one = error.half_width(spread, Scheme(bales, lot_bales=60), 0.9)
    more = error.half_width(spread, Scheme(bales + 1, lot_bales=60), 0.9)
    assert more <= one * (1 + 1e-12)


@given(SPREADS, COUNTS, st.integers(2, 5))
def test_bags_on_different_bales_share_all_but_the_bias(spread, bales, bags):
    one = error.variance(spread, Scheme(bales))
    several = error.variance(spread, Scheme(bales, composites=bags))
    bias = spread.laboratory**2
    assert several - bias == pytest.approx((one - bias) / bags)


@given(SDS, SDS, COUNTS)
def test_cores_read_one_by_one_share_the_repeat_among_them(core_sd, repeat, bales):
    apart = error.variance(Spread(core_sd, repeat=repeat), Scheme(bales, cores_apart=True))
    assert apart == pytest.approx((core_sd**2 + repeat**2) / bales)


@given(SDS, SDS, COUNTS, st.integers(1, 6), st.integers(60, 200))
def test_a_spread_not_known_apart_is_never_better_than_any_way_of_parting_it(
    between, within, bales, m, lot
):
    unknown = Spread(math.hypot(between, within), split=False)
    scheme = Scheme(bales, m, lot)
    assert error.variance(unknown, scheme) >= error.variance(Spread(between, within), scheme) * (
        1 - 1e-9
    )


@given(SDS, st.floats(2, 30), st.floats(0.5, 0.99))
def test_an_estimated_spread_takes_students_t_and_a_known_one_the_normal_curve(sd, df, confidence):
    estimated = error.half_width(Spread(sd, df=df), Scheme(9), confidence)
    assert estimated == pytest.approx(t.ppf((1 + confidence) / 2, df) * sd / 3)
    known = error.half_width(Spread(sd), Scheme(9), confidence)
    assert known == pytest.approx(norm.ppf((1 + confidence) / 2) * sd / 3)


# ---------------------------------------------------------------- how many cores


def formula(spread, half, confidence, lot, m):
    """sampling.md 2.3, as it stands there."""
    z = norm.ppf((1 + confidence) / 2)
    room = (half / z) ** 2 - spread.repeat**2 - spread.laboratory**2 + spread.between**2 / lot
    return (spread.between**2 + spread.within**2 / m) / room


@given(SDS, SDS, st.floats(0, 0.5), st.floats(0.05, 3), st.integers(20, 500), st.integers(1, 4))
def test_the_number_of_bales_is_the_formula_rounded_up(between, within, repeat, half, lot, m):
    spread = Spread(between, within, repeat=repeat)
    exact = formula(spread, half, 0.95, lot, m)
    assume(0 < exact < lot and abs(exact - round(exact)) > 1e-6)
    found = error.cores_needed(spread, half, confidence=0.95, lot_bales=lot, cores_per_bale=m)
    assert found.bales == math.ceil(exact)


@given(SPREADS, st.floats(0.1, 5), st.integers(5, 200))
def test_the_bales_found_meet_the_target_and_one_fewer_does_not(spread, half, lot):
    found = error.cores_needed(spread, half, confidence=0.9, lot_bales=lot)
    assume(found.attainable and found.cores_per_bale < 10_000)
    scheme = Scheme(found.bales, found.cores_per_bale, lot)
    assert error.half_width(spread, scheme, 0.9) <= half * (1 + 1e-6)
    if found.bales > 1 and found.cores_per_bale == 1:
        fewer = replace(scheme, bales=found.bales - 1)
        assert error.half_width(spread, fewer, 0.9) > half * (1 - 1e-6)


@given(SPREADS, st.floats(0.01, 5))
def test_not_attainable_is_said_when_and_only_when_the_laboratory_alone_exceeds_the_target(
    spread, half
):
    found = error.cores_needed(spread, half, confidence=0.95)
    floor = error.floor_half_width(spread, Scheme(1), 0.95)
    assume(abs(half - floor) > 1e-6 * floor)
    assert found.attainable == (half > floor)
    assert found.floor == pytest.approx(floor)


def test_readings_mend_a_repeat_and_never_a_bias():
    repeat = error.cores_needed(Spread(1.14, repeat=0.3), 0.5, confidence=0.95)
    assert (repeat.attainable, repeat.analyses) == (False, 2)
    bias = error.cores_needed(Spread(1.14, laboratory=0.3), 0.5, confidence=0.95)
    assert (bias.attainable, bias.analyses) == (False, None)


def test_when_every_bale_is_cored_more_cores_from_each_do_the_rest():
    found = error.cores_needed(Spread(0.0, 2.0), 0.5, confidence=0.95, lot_bales=10)
    # 2.0^2 x 1.96^2 / 0.5^2 = 61.5 cores over 10 bales: 7 from each
    assert found == Cores(attainable=True, bales=10, cores_per_bale=7, floor=0.0, analyses=1)


@given(st.floats(1, 12))
def test_cores_per_bale_are_rounded_to_the_cheaper_whole_number(best):
    m = error.whole_cores_per_bale(best)
    # cost x variance as a function of m is (1 + best^2/m)(1 + m) up to constants
    assert min((1 + best**2 / n) * (1 + n) for n in (m - 1, m, m + 1) if n > 0) == pytest.approx(
        (1 + best**2 / m) * (1 + m)
    )


@pytest.mark.parametrize(
    "make",
    [
        lambda: Spread(-1.0),
        lambda: Spread(math.nan),
        lambda: Spread(1.0, df=0),
        lambda: Scheme(0),
        lambda: Scheme(5, lot_bales=4),
        lambda: Scheme(3, composites=2, lot_bales=5),
        lambda: error.multiplier(1.0),
        lambda: error.cores_needed(Spread(1.0), 0.0, confidence=0.95),
        lambda: Repeat(1.0, 0),
        lambda: repeat_from_bags([12.0], 10),
        lambda: nested_components(np.ones((1, 2, 2))),
        lambda: range_in_sds(1),
        lambda: compare.pool_sublots([1.0], [1.0, 2.0], [0.1]),
        lambda: compare.cores_from_pilot(1.0, 1, 0.5, 0.95),
        lambda: compare.bootstrap_half_widths([1.0], np.random.default_rng(1)),
        lambda: hot.chance_missed(10, 11, 2),
        lambda: hot.chance_missed(10, 1, 11),
        lambda: hot.bales_to_hit(10, 0, 0.9),
        lambda: hot.bales_to_hit(10, 1, 1.0),
    ],
)
def test_impossible_plans_are_refused(make):
    with pytest.raises(Refused):
        make()


# ---------------------------------------------------------------- whose spread


def test_the_library_is_the_published_error_with_twenty_cores_turned_round():
    # Putnam and Shewmaker: least errors with 20 cores 0.5 CP, 1.0 ADF, 1.5 NDF
    for name, half in (("cp", 0.5), ("adf", 1.0), ("ndf", 1.5)):
        row = library_row(name).spread
        assert norm.ppf(0.975) * row.between / math.sqrt(20) == pytest.approx(half)


def test_no_spread_is_guessed_for_what_nobody_has_measured():
    # sampling.md 2.8: dry matter, ash and minerals have no source; a spread must be given
    for name in ("dm", "ash", "ca", "k"):
        assert library_row(name) is None
        with pytest.raises(Refused, match=r"stack\.spread\.nobody"):
            choose_spread(name)
    assert choose_spread("dm", given=Spread(0.8)).origin is Origin.GIVEN


def test_this_lot_comes_before_the_office_before_the_person_before_the_library():
    lot, office, given = [Repeat(1.0, 6)], [Repeat(2.0, 6)], Spread(3.0, df=5)
    assert choose_spread("cp", lot=lot, office=office, given=given).origin is Origin.LOT
    assert choose_spread("cp", office=office, given=given).origin is Origin.OFFICE
    assert choose_spread("cp", given=given).origin is Origin.GIVEN
    assert choose_spread("cp").origin is Origin.LIBRARY
    assert choose_spread("cp").provisional
    assert not choose_spread("cp", given=given).provisional


@given(SDS, st.floats(1, 20), st.lists(st.tuples(SDS, st.floats(1, 50)), min_size=1, max_size=5))
def test_pooled_variances_are_weighted_by_their_degrees_of_freedom(sd, df, repeats):
    found = pooled_sd(Repeat(sd, df), [Repeat(*one) for one in repeats])
    every = [(sd, df), *repeats]
    assert found.df == pytest.approx(sum(d for _, d in every))
    assert found.sd**2 * found.df == pytest.approx(sum(d * s * s for s, d in every))


def test_two_repeats_move_the_library_a_little_and_fifty_a_lot():
    library = library_row("cp").spread
    few = choose_spread("cp", office=[Repeat(0.5, 2)]).spread
    many = choose_spread("cp", office=[Repeat(0.5, 50)]).spread
    assert 0.5 < many.between < few.between < library.between
    assert (few.df, many.df) == (library.df + 2, library.df + 50)


@given(st.floats(5, 20), st.floats(5, 20), st.integers(1, 30), st.floats(0, 0.3))
def test_two_bags_of_one_lot_give_one_degree_of_freedom(one, other, cores, repeat):
    found = repeat_from_bags([one, other], cores, repeat)
    # sampling.md 2.8: n d^2/2 - n s_r^2, one degree of freedom
    assert found.df == 1
    assert found.sd**2 == pytest.approx(
        max(cores * (one - other) ** 2 / 2 - cores * repeat**2, 0), abs=1e-9
    )


@pytest.mark.parametrize("n", [int(key) for key in load_toml("range_d2")["d2"]])
def test_the_table_of_ranges_is_the_integral_behind_it(n):
    # Mean range of n normal values: integral of 1 - (1 - F)^n - F^n
    exact, _ = quad(lambda x: 1 - ndtr(x) ** n - (1 - ndtr(x)) ** n, -9, 9)
    assert range_in_sds(n) == pytest.approx(exact, abs=6e-4)


def test_components_of_a_nested_trial_add_up_to_what_was_built_in():
    rng = np.random.default_rng(20)
    a, b, c = 4000, 6, 3
    x = (
        rng.normal(0, 1.2, (a, 1, 1))
        + rng.normal(0, 0.8, (a, b, 1))
        + rng.normal(0, 0.3, (a, b, c))
    )
    found = nested_components(x + 12)
    assert found.variance == pytest.approx((1.44, 0.64, 0.09), rel=0.1)
    assert found.df == (3999, 20_000, 48_000)


def test_a_negative_component_is_nothing():
    flat = np.array([[[1.0, 2.0], [2.0, 1.0]], [[2.0, 1.0], [1.0, 2.0]]])
    assert nested_components(flat).variance[:2] == (0.0, 0.0)


# ---------------------------------------------------------------- comparing, missing, drawing again


def test_two_results_of_one_laboratory_are_compared_without_its_bias():
    spread, scheme = Spread(1.0, 0.5, repeat=0.2, laboratory=0.9), Scheme(20, lot_bales=40)
    found = compare.difference_that_counts(spread, scheme, 0.95)
    # sampling.md 2.6: Var d = 2 s_b^2/n exactly, without (1 - n/N)
    by_hand = norm.ppf(0.975) * math.sqrt(2 * (1.0 / 20 + 0.25 / 20 + 0.04))
    assert found == pytest.approx(by_hand)


def test_two_bags_alone_say_next_to_nothing():
    # t(1) at 95 % is 12.7: sampling.md 2.6
    pair = compare.two_bags(10.4, 11.2, 0.32, 0.95)
    assert pair.from_pair / pair.se_from_pair == pytest.approx(t.ppf(0.975, 1))
    assert not pair.differ
    assert compare.two_bags(10.4, 11.6, 0.32, 0.95).differ


def test_a_result_too_wide_is_narrowed_by_whatever_is_cheaper():
    sampling, laboratory = Spread(1.5, repeat=0.05), Spread(0.2, repeat=0.5)
    scheme, costs = Scheme(10, lot_bales=80), {"cost_of_core": 1.0, "cost_of_test": 20.0}
    # V = 2.25/10 x 7/8 + 0.0025: only more bales help; twenty of eighty give 1.96 x 0.41
    first = compare.what_next(sampling, scheme, 0.6, confidence=0.95, **costs)[0]
    assert (first.what, first.count, first.enough) == ("bags", 10, True)
    assert first.half == pytest.approx(norm.ppf(0.975) * math.sqrt(2.25 / 20 * 0.75 + 0.00125))
    # V = 0.0035 + 0.25: a second reading nearly halves it for 20, a second bag for 30
    first = compare.what_next(laboratory, scheme, 0.8, confidence=0.95, **costs)[0]
    assert (first.what, first.cost, first.enough) == ("readings", 20.0, True)
    assert compare.what_next(laboratory, scheme, 1.5, confidence=0.95, **costs) == ()


def test_a_lot_that_is_cored_whole_gets_no_second_bag():
    steps = compare.what_next(
        Spread(0.0, 2.0), Scheme(10, lot_bales=10), 0.1,
        confidence=0.9, cost_of_core=1.0, cost_of_test=20.0,
    )  # fmt: skip
    assert {one.what for one in steps} == {"readings", "split"}
    assert not any(one.enough for one in steps)


@given(st.lists(st.tuples(st.floats(1, 300), st.floats(5, 20)), min_size=1, max_size=6))
def test_sublots_weigh_by_their_dry_matter(lots):
    masses, values = zip(*lots, strict=True)
    found = compare.pool_sublots(masses, values, [0.0] * len(lots), laboratory_sd=0.4)
    assert found.mean == pytest.approx(np.average(values, weights=masses))
    assert found.se == pytest.approx(0.4)


@given(st.integers(1, 80), st.data())
def test_the_chance_to_miss_is_the_hypergeometric_one(lot, data):
    high = data.draw(st.integers(0, lot))
    cored = data.draw(st.integers(0, lot))
    assert hot.chance_missed(lot, high, cored) == pytest.approx(
        hypergeom.pmf(0, lot, high, cored), abs=1e-9
    )


@given(st.integers(1, 80), st.data(), st.floats(0.05, 0.99))
def test_the_bales_to_hit_a_high_one_are_the_fewest_that_do(lot, data, chance):
    high = data.draw(st.integers(1, lot))
    n = hot.bales_to_hit(lot, high, chance)
    assert 1 - hot.chance_missed(lot, high, n) >= chance - 1e-12
    assert n == 1 or 1 - hot.chance_missed(lot, high, n - 1) < chance


def test_half_widths_from_drawing_again_come_near_the_normal_ones():
    values = np.random.default_rng(7).normal(12, 1.1, 54)
    found = compare.bootstrap_half_widths(values, np.random.default_rng(8), most=25, draws=4000)
    for n in (5, 12, 25):
        normal = norm.ppf(0.975) * values.std() / math.sqrt(n)
        assert found[n - 1] == pytest.approx(normal, rel=0.08)
    enough = compare.bootstrap_cores(found, found[11])
    assert enough is not None
    assert enough <= 12
    assert compare.bootstrap_cores(found, 0.0) is None


def test_the_share_of_bales_over_a_line_is_the_lognormal_tail():
    mean, cv, line = 2764.0, 0.378, 5000.0
    s = math.sqrt(math.log(1 + cv**2))
    tail = 1 - norm.cdf((math.log(line) - math.log(mean) + s * s / 2) / s)
    assert hot.share_of_bales_over(mean, cv, line) == pytest.approx(tail)
