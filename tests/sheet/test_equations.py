"""The equations as functions: numbers and arrays alike, and what must hold for all hay."""

from __future__ import annotations

import inspect

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.measure.basis import AS_RECEIVED, DRY_MATTER, DryMatters, rebase
from haywright.measure.register import Mark, resolved
from haywright.sheet import carbohydrate, energy, horse, indices, mineral, protein, tdn, tdn_sums
from haywright.sheet.families import FAMILIES
from haywright.sheet.normal import scales_with_moisture
from haywright.sources.bibliography import Status, cite
from haywright.sources.feeds import feeds

MODULES = (carbohydrate, energy, horse, indices, mineral, protein, tdn, tdn_sums)
EQUATIONS = [
    fn.equation
    for module in MODULES
    for _, fn in inspect.getmembers(module, inspect.isfunction)
    if fn.__module__ == module.__name__ and hasattr(fn, "equation")
]
by_id = pytest.mark.parametrize("one", EQUATIONS, ids=lambda one: one.id)
USUAL = {"ndf": 60.0, "ndfn": 55.0, "adf": 35.0, "tdn": 58.0, "cp": 12.0, "ndfd48": 50.0}
adf_values = st.floats(15, 60)
ndf_values = st.floats(25, 85)


@by_id
def test_an_equation_gives_the_same_for_a_number_and_an_array(one):
    middles = [t.default or USUAL.get(t.name, 2.0 + n) for n, t in enumerate(one.inputs)]
    single = one.fn(*middles)
    column = one.fn(*(np.full(3, value) for value in middles))
    assert np.shape(single) == ()
    assert np.asarray(column) == pytest.approx(np.full(3, single), rel=1e-14)


@by_id
def test_a_missing_number_stays_missing(one):
    inputs = [np.array([np.nan])] * len(one.inputs)
    assert np.isnan(one.fn(*inputs)).all()


@by_id
def test_every_equation_has_units_a_source_and_a_mark(one):
    assert all(term.unit != "?" for term in resolved(one))
    source = cite(one.source)
    if one.mark is Mark.READ:
        assert source.status is not Status.RECALLED
    if one.mark is Mark.RECALLED:
        assert source.status is Status.RECALLED


def test_a_recalled_equation_never_serves_unasked():
    assert [
        one.name
        for family in FAMILIES.values()
        for one in family.preferred(None, "cattle")
        if one.equation.mark is Mark.RECALLED
    ] == []


@given(adf_values, st.floats(0.01, 5))
def test_more_fiber_never_means_more_energy(adf, more):
    for fn in (tdn.tdn_oklahoma, tdn.tdn_manitoba, tdn.tdn_western, indices.ddm_rohweder):
        assert fn(adf + more) < fn(adf)


@given(adf_values, ndf_values, st.floats(0.01, 5))
def test_more_fiber_never_means_a_better_index(adf, ndf, more):
    rfv = indices.rfv_rohweder
    assert rfv(adf + more, ndf) < rfv(adf, ndf)
    assert rfv(adf, ndf + more) < rfv(adf, ndf)


@given(st.floats(38, 90), st.floats(0.01, 5))
def test_more_tdn_never_means_less_net_energy(value, more):
    def chain(x):
        me = energy.me_082(energy.de_from_tdn(x))
        return energy.nem_garrett(me), energy.neg_garrett(me), energy.nel_nfta(x)

    assert all(a < b for a, b in zip(chain(value), chain(value + more), strict=True))


@given(st.floats(20, 37))
def test_energy_for_gain_is_never_below_nothing(value):
    assert energy.neg_garrett(energy.me_082(energy.de_from_tdn(value))) >= 0


@given(st.floats(4, 20), st.floats(30, 60), st.floats(4, 12), st.floats(0.1, 4))
def test_a_point_of_ash_costs_a_point_of_carbohydrate_and_nothing_by_adf(cp, ndf, ash, more):
    for fn in (tdn_sums.tdn_legume_ndfd, tdn_sums.tdn_grass_ndfd):
        lost = fn(cp, ndf, 45, 2.5, ash) - fn(cp, ndf, 45, 2.5, ash + more)
        assert lost == pytest.approx(0.98 * more)  # D. Undersander, Ash in Forage


@given(st.floats(10, 80), st.floats(30, 99))
def test_amounts_thin_out_with_water_and_come_back(value, dm):
    dry = DryMatters(total=dm)
    wet = rebase(value, DRY_MATTER, AS_RECEIVED, dry=dry)
    assert wet < value
    assert rebase(wet, AS_RECEIVED, DRY_MATTER, dry=dry) == pytest.approx(value)


def test_indices_ratios_and_digestibilities_are_never_restated_with_moisture():
    for name in ("rfv", "rfq", "ndfd48", "ivtd48", "adicp_share", "ca_to_p", "tetany_ratio"):
        assert not scales_with_moisture(name)
    for name in ("cp", "tdn", "nem", "nitrate_n", "ca"):
        assert scales_with_moisture(name)


# The table's energies are the tables' own method: NRC beef 1984 and 1996, dairy 1989.
WITH_TDN = [one for one in feeds().values() if "nem" in one.values and one.values["tdn"] > 30]


@pytest.mark.parametrize("feed", WITH_TDN, ids=lambda feed: feed.id)
def test_the_feed_table_s_net_energies_follow_from_its_tdn(feed):
    de = energy.de_from_tdn(feed.values["tdn"])
    me = energy.me_082(de)
    near = 0.006 + 0.05 * 0.04  # printed to two decimals, TDN of a few rows to one
    assert energy.nem_garrett(me) == pytest.approx(feed.values["nem"], abs=near)
    assert energy.neg_garrett(me) == pytest.approx(feed.values["neg"], abs=near)
    assert energy.nel_1989(feed.values["tdn"]) == pytest.approx(feed.values["nel"], abs=near)


def test_the_two_forms_of_net_energy_for_milk_are_one():
    # Mcal/lb read at the forage testing association, metric form recalled
    for value in (45, 55, 65):
        assert energy.nel_nfta(value) * 2.20462 == pytest.approx(energy.nel_1989(value), abs=0.01)


def test_horse_energy_of_a_forage_turns_up_again_so_it_is_not_used_there():
    low, high = horse.horse_de_nrc1989.equation.valid["adf"]
    adf = np.linspace(low, high, 50)
    assert (np.diff(horse.horse_de_nrc1989(adf, 10.0)) < 0).all()


def test_the_two_cation_anion_forms_agree_to_rounding():
    minerals = {"na": 0.037, "k": 0.71, "cl": 0.14, "s": 0.11}
    ours = mineral.dcad_four_ions(**minerals)
    assert mineral.dcad_oetzel(**minerals) == pytest.approx(ours, rel=0.01)


def test_adjusted_protein_by_steps_is_what_its_steps_say():
    # Goering and Van Soest type, from memory: u = 12 to 20 % takes (u - 12) %, from 20 all of u
    cp = 20.0
    for share, kept in ((8, 1.0), (15, 0.97), (25, 0.75)):
        assert protein.cp_adjusted_steps(cp, cp * share / 100) == pytest.approx(cp * kept)


def test_sources_differ_about_when_heat_counts():
    # the Nebraska page says above 10 % of protein, Manitoba's above 12 %
    assert protein.heat_adjusts(1.65, 15) == {"nebraska": True, "manitoba": False}
