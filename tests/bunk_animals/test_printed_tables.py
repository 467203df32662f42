"""The printed requirement tables come out of the equations, row by row.

Sources: beef_requirements.csv (rows of NRC 1996/2000 and university tables) and
other_species_requirements.csv; each row there names its own.
"""

from __future__ import annotations

import math

import pytest

from haywright.bunk.requirements.condition import body_energy, condition_energy
from haywright.bunk.requirements.density import cow_diet, growing_diet
from haywright.bunk.requirements.gestation import birth_weight_tables, gravid_uterus, nem_pregnancy
from haywright.bunk.requirements.horses import (
    horse_de_average,
    horse_de_work,
    mare_ca,
    mare_cp,
    mare_de,
    mare_milk,
    mare_p,
)
from haywright.bunk.requirements.lactation import milk_yield, ne_milk
from haywright.bunk.requirements.maintenance import nem_maintenance
from haywright.bunk.requirements.sheep_goats import (
    goat_cp,
    goat_de,
    goat_me_growth,
    goat_me_maintenance,
    goat_tdn,
    sheep_de,
    sheep_me,
)
from haywright.measure.units import convert
from haywright.sources.requirements import beef_rows, other_rows

MONTH_DAYS = 30.4  # as the printed cow tables count
COWS = [r for r in beef_rows() if r.group == "mature cow" and r.kind == "computed"]
GROWING = [r for r in beef_rows() if r.kind == "computed" and r.has("gain_lb_d", "neg_mcal_per_lb")]


def kg(pounds):
    return convert(pounds, "lb", "kg")


def mcal_per_lb(per_kg):
    return convert(per_kg, "Mcal/kg", "Mcal/lb")


def named(row):
    return " ".join([row.group, row.stage, *(f"{k}={v[0]:g}" for k, v in row.values.items())][:5])


@pytest.mark.parametrize("row", COWS, ids=named)
def test_a_cows_row_comes_out_of_the_equations(row):
    weight = row.low("mature_or_finish_weight_lb")
    found = cow_diet(
        kg(weight),
        month=row.low("month_since_calving"),
        peak_milk=kg(row.low("peak_milk_lb_d")),
        calf_birth_weight=birth_weight_tables(kg(weight)),
    )
    assert convert(found.dmi, "kg", "lb") == pytest.approx(row.low("dmi_lb_d"), abs=0.06)
    assert mcal_per_lb(found.nem) == pytest.approx(row.low("nem_mcal_per_lb"), abs=0.0011)
    assert found.nem_need == pytest.approx(row.low("nem_mcal_d"), abs=0.011)
    assert found.mp == pytest.approx(row.low("mp_g_d"), abs=0.7)
    assert found.cp_share == pytest.approx(row.low("cp_pct_dm"), abs=0.011)
    assert found.ca == pytest.approx(row.low("ca_g_d"), abs=0.06)
    assert found.p == pytest.approx(row.low("p_g_d"), abs=0.06)


@pytest.mark.parametrize("row", GROWING, ids=named)
def test_a_growing_animals_row_comes_out_of_the_equations(row):
    month = int(row.stage[-1]) if "month" in row.stage else 0
    finished = row.low("mature_or_finish_weight_lb")
    found = growing_diet(
        kg(row.low("weight_lb")),
        finished_weight=kg(finished),
        gain=kg(row.low("gain_lb_d")),
        age="calf" if "calf" in row.note and not month else "grown" if month else "yearling",
        days_pregnant=280 - MONTH_DAYS * (9 - month) if month else 0,
        calf_birth_weight=birth_weight_tables(kg(finished)) if month else 0,
    )
    assert convert(found.dmi, "kg", "lb") == pytest.approx(row.low("dmi_lb_d"), abs=0.06)
    assert mcal_per_lb(found.nem) == pytest.approx(row.low("nem_mcal_per_lb"), abs=0.0011)
    assert mcal_per_lb(found.neg) == pytest.approx(row.low("neg_mcal_per_lb"), abs=0.0011)
    assert found.energy_retained == pytest.approx(row.low("ne_gain_mcal_d"), abs=0.006)
    assert found.mp == pytest.approx(row.low("mp_g_d"), abs=0.6)
    assert found.ca == pytest.approx(row.low("ca_g_d"), abs=0.06)
    assert found.p == pytest.approx(row.low("p_g_d"), abs=0.06)


def test_every_computed_row_of_cows_and_growing_cattle_was_rebuilt():
    bulls = [r for r in beef_rows() if r.group == "mature bull" and r.kind == "computed"]
    computed = [r for r in beef_rows() if r.kind == "computed"]
    assert len(COWS) + len(GROWING) + len(bulls) == len(computed) == 131


@pytest.mark.parametrize(
    "row", [r for r in beef_rows() if r.group == "mature bull" and r.kind == "computed"], ids=named
)
def test_a_bull_needs_fifteen_per_cent_more_to_stay_as_he_is(row):
    found = nem_maintenance(kg(row.low("weight_lb")), sex_factor=1.15)
    assert found == pytest.approx(row.low("nem_mcal_d"), abs=0.011)


# University of Nebraska-Lincoln, Using Body Condition Score to Manage the Nutritional Program,
# Table 2 (after NRC 1996): a cow calving 1 March, month, milk, pregnancy [Mcal a day].
NEBRASKA = [
    (1, 4.8, 0.0), (2, 5.7, 0.0), (4, 4.1, 0.03), (6, 2.2, 0.16), (8, 0.0, 0.64), (10, 0.0, 2.08),
    (12, 0.0, 5.37),
]  # fmt: skip


@pytest.mark.parametrize(("month", "milk", "pregnancy"), NEBRASKA)
def test_a_march_calving_cow_needs_what_nebraska_prints(month, milk, pregnancy):
    days = max(280 - MONTH_DAYS * (12 - month), 0) if month >= 3 else 0
    given = milk_yield(8.0, MONTH_DAYS * month / 7) if month <= 6 else 0.0
    assert ne_milk(given) == pytest.approx(milk, abs=0.06)
    assert nem_pregnancy(40, days) == pytest.approx(pregnancy, abs=0.06)
    assert nem_maintenance(533) == pytest.approx(8.5, abs=0.06)


def test_the_womb_at_term_weighs_about_one_and_a_half_calves():
    # The same page: about 1.7 x the calf; the equation gives 1.61.
    assert 1.5 < gravid_uterus(40, 280) / 40 < 1.75


# NRC 2000 energy reserves as reprinted by Melroe, Limousin Today 2018, p. 53: score reached, Mcal.
RESERVES = {
    1200: {3: 172, 4: 196, 5: 226, 6: 264, 7: 311},
    1400: {3: 200, 4: 229, 5: 264, 6: 308, 7: 363},
    1100: {5: 207},
}


@pytest.mark.parametrize("weight", RESERVES)
def test_a_condition_score_costs_what_the_reserve_table_prints(weight):
    for reached, printed in RESERVES[weight].items():
        found = condition_energy(kg(weight), reached - 1, reached)
        assert found == pytest.approx(printed, rel=0.005)


def test_a_body_holds_more_energy_the_fatter_it_is():
    held = [body_energy(500, score) for score in range(1, 10)]
    assert held == sorted(held)


@pytest.mark.parametrize(
    "row", [r for r in other_rows() if r.species == "sheep" and r.has("de_mcal_d")], ids=named
)
def test_sheep_energy_agrees_within_the_printed_rounding(row):
    de = sheep_de(row.low("tdn_kg_d"))
    assert de == pytest.approx(row.low("de_mcal_d"), abs=0.12)
    assert sheep_me(de) == pytest.approx(row.low("me_mcal_d"), abs=0.12)


@pytest.mark.parametrize("row", [r for r in other_rows() if r.group == "doe or wether"], ids=named)
def test_a_goats_row_of_anr_812_comes_out_of_the_equation(row):
    # Rows were printed in lb to two figures (ANR-812 after NRC 1981) and weights rounded to 5 lb.
    de = goat_de(goat_me_maintenance(row.low("body_weight_kg")))
    assert goat_tdn(de) == pytest.approx(row.low("tdn_kg_d"), rel=0.02, abs=0.006)
    assert goat_cp(de) == pytest.approx(row.low("cp_g_d"), rel=0.04, abs=4.6)


def test_a_kids_growth_row_comes_out_of_the_equation():
    for row in [r for r in other_rows() if r.group == "kid"]:
        de = goat_de(goat_me_growth(row.low("gain_g_d") / 1000))
        assert goat_tdn(de) == pytest.approx(row.low("tdn_kg_d"), abs=0.006)


MARES = [r for r in other_rows() if r.stage.startswith("lactating, month")]


@pytest.mark.parametrize("row", MARES, ids=named)
def test_a_mares_row_comes_out_of_the_equations(row):
    month, milk = int(row.stage[-1]), row.low("milk_kg_d")
    day = (month - 0.5) * 30
    assert mare_de(500, milk) == pytest.approx(row.low("de_mcal_d"), abs=0.1)
    assert mare_cp(500, milk) == pytest.approx(row.low("cp_g_d"), abs=6)
    assert mare_ca(500, milk, day) == pytest.approx(row.low("ca_g_d"), rel=0.01)
    assert mare_p(500, milk, day) == pytest.approx(row.low("p_g_d"), rel=0.01)
    assert mare_milk(500, day) == pytest.approx(milk, rel=0.03)


@pytest.mark.parametrize(
    ("stage", "factor"),
    [("light exercise", 1.2), ("moderate exercise", 1.4), ("heavy exercise", 1.6)],
)
def test_a_working_horse_needs_a_fifth_to_three_fifths_more(stage, factor):
    row = next(r for r in other_rows() if r.stage == stage)
    assert horse_de_work(500, factor) == pytest.approx(row.low("de_mcal_d"), abs=0.06)
    assert math.isclose(horse_de_work(500, 1.0), horse_de_average(500))
