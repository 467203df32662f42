"""Minerals of a winter's diet: bought where offered, said where not, never a reason to refuse."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from haywright.bunk.requirements.minerals import ca_need, mineral_needs, p_need
from haywright.bunk.winter import says
from haywright.bunk.winter.model import Short
from haywright.bunk.winter.plan import short_prices, solve_plan
from haywright.bunk.winter.question import WEEK
from haywright.sheet.mineral import tetany_ratio
from haywright.words import say
from tests.bunk_animals.ranch import calves, cows, hay, ranch
from tests.bunk_winter.stock import (
    GRASS,
    HELD,
    LIMESTONE,
    MAGNESIA,
    PHOSPHATE,
    STRAW,
    cows_of_1996,
    mineral_ranch,
    with_minerals,
)


def brought(plan, herd, name):
    """What the feed brings one head by week [kg a day]."""
    content = np.array([one.holds(name) or 0.0 for one in plan.feeds])
    return plan.per_head(herd) @ content


def needed(plan, herd, name):
    """What one head needs by week [kg a day], from the requirement itself."""
    whose = next(one for one in plan.question.herds if one.name == herd)
    eaten = plan.per_head(herd).sum(axis=1)
    return np.array(
        [
            need.amounts.get(name, 0.0) / 1000 + need.shares.get(name, 0.0) / 100 * dm
            for need, dm in zip(whose.needs, eaten, strict=True)
        ]
    )


@pytest.mark.parametrize("name", ["ca", "p", "mg", "k"])
def test_what_a_diet_lacks_of_a_mineral_is_what_is_said_to_be_given_beside_it(name):
    plan = solve_plan(mineral_ranch())
    aside = plan.aside("cows")[name]
    short = needed(plan, "cows", name) - brought(plan, "cows", name)
    assert (aside >= np.maximum(short, 0) - 1e-6).all()


def test_straw_is_short_of_phosphorus_by_what_a_hand_calculation_says():
    # 1996 by hand: p_need / 1000 less 0.06 % of what is eaten; nothing else is there.
    straw = hay("straw", 400.0, 50.0, 9.0, 60.0)
    q = with_minerals(ranch(hays=(straw,), feeds=(), herds=(cows_of_1996(),)), {"straw": STRAW})
    plan = solve_plan(q, short=short_prices(q))
    week, group = 2, q.herds[0].group
    eaten = plan.per_head("cows")[week].sum()
    weight = 0.96 * q.herds[0].needs[week].weight
    late = float(q.herds[0].needs[week].stage.days_to_birth <= 90)
    need = p_need(weight, calf_birth_weight=group.calf, calf_share=late)
    by_hand = need / 1000 - 0.0006 * eaten
    assert by_hand > 0
    assert plan.aside("cows")["p"][week] == pytest.approx(by_hand, abs=3e-4)
    told = "\n".join(say(one) for one in says.mineral_lines(plan))
    assert "Give it in a mineral" in told
    assert "$" in told


def test_a_mineral_that_is_offered_mends_what_the_hay_lacks():
    bare = solve_plan(mineral_ranch())
    assert bare.aside("cows")["p"].max() > 1e-4
    mended = solve_plan(mineral_ranch(feeds=(LIMESTONE, PHOSPHATE, MAGNESIA)))
    for name in ("ca", "p", "mg"):
        assert mended.aside("cows")[name].max() < 1e-7
        enough = brought(mended, "cows", name) - needed(mended, "cows", name)
        assert enough.min() > -1e-6
    assert mended.eaten("cows")[:, -2].sum() > 0  # phosphate was bought
    assert mended.cost < bare.cost


def test_a_mineral_with_little_to_be_had_mends_in_part_and_the_rest_is_said():
    little = replace(PHOSPHATE, most=0.005)
    plan = solve_plan(mineral_ranch(feeds=(little,)))
    phosphate = plan.per_head("cows")[:, -1]
    assert phosphate.max() <= 0.005 + 1e-9
    assert 0 < plan.aside("cows")["p"].max() < solve_plan(mineral_ranch()).aside("cows")["p"].max()


def test_minerals_turn_no_plan_away_and_no_more_hay_over_than_they_cost():
    plain, told = solve_plan(ranch(herds=(cows_of_1996(),))), solve_plan(mineral_ranch())
    parts = told.costs()
    assert parts["minerals_aside"] > 0
    assert (
        plain.cost
        <= told.cost + 1e-6
        <= plain.cost + parts["minerals_aside"] + 0.05 * abs(plain.cost) + 100
    )


def test_calcium_stands_to_phosphorus_between_one_and_seven():
    grain = {**HELD, "meadow": {**GRASS, "ca": 0.10, "p": 0.30}}
    q = with_minerals(ranch(herds=(cows_of_1996(),)), grain)
    plan = solve_plan(q.with_hays([h for h in q.hays if h.name != "alfalfa"]))
    aside = plan.aside("cows")
    ca = brought(plan, "cows", "ca") + aside["ca"]
    p = brought(plan, "cows", "p") + aside["p"]
    assert (ca >= p - 1e-6).all()
    assert aside["ca"].max() > 1e-3
    rich = {**HELD, "meadow": {**GRASS, "ca": 2.0, "p": 0.15}}
    q = with_minerals(ranch(herds=(cows_of_1996(),)), rich)
    plan = solve_plan(q.with_hays([h for h in q.hays if h.name == "meadow"]), short=short_prices(q))
    ca, p = (brought(plan, "cows", n) + plan.aside("cows")[n] for n in ("ca", "p"))
    assert (ca <= 7.0 * p + 1e-6).all()


def test_the_tetany_ratio_of_cows_near_calving_is_kept_under_its_line_by_magnesium():
    # Oat hay of high potassium: K / (Ca + Mg) of 2.5 in equivalents by the equation of the sheet.
    oats = {**GRASS, "ca": 0.30, "mg": 0.15, "k": 2.6}
    assert tetany_ratio(oats["k"], oats["ca"], oats["mg"]) > 2.2
    q = with_minerals(ranch(herds=(cows(weeks=12),), weeks=12), {**HELD, "meadow": oats})
    q = q.with_hays([h for h in q.hays if h.name == "meadow"])
    plan = solve_plan(replace(q, feeds=(*q.feeds, MAGNESIA)), short=short_prices(q))
    diet = {n: 100 * brought(plan, "cows", n) for n in ("k", "ca", "mg")}
    diet = {n: diet[n] + 100 * plan.aside("cows")[n] for n in diet}
    near = [n for n in range(q.weeks) if q.herds[0].needs[n].stage.days_to_birth <= 60]
    assert near
    ratio = tetany_ratio(diet["k"], diet["ca"], diet["mg"])
    assert ratio[near].max() <= 2.2 + 1e-6
    far = [n for n in range(q.weeks) if n not in near]
    assert ratio[far].max() > 2.2  # weeks before that are not held to it
    assert plan.eaten("cows")[near, -1].sum() > 0


def test_calves_are_not_held_to_the_tetany_ratio():
    q = with_minerals(ranch(herds=(calves(),)))
    assert not solve_plan(q).model.herds[0].minerals.at_risk.any()


def test_a_hay_without_a_result_is_said_and_not_taken_for_empty():
    held = {**HELD, "meadow": {"ca": 0.4, "p": 0.2, "k": 1.6}}
    plan = solve_plan(with_minerals(ranch(herds=(cows_of_1996(),)), held))
    assert "mg" not in plan.aside("cows")
    assert plan.unknown_minerals("cows")["mg"] == ("meadow",)
    text = "\n".join(say(one) for one in says.mineral_lines(plan))
    assert "not known" in text
    assert "meadow" in text


def test_the_price_of_what_is_missing_may_be_said_and_nothing_leaves_minerals_out():
    q = mineral_ranch()
    prices = short_prices(q)
    assert solve_plan(q, short=replace(prices, mineral=0.0)).aside("cows") == {}
    dear = solve_plan(q, short=replace(prices, mineral=1000.0))
    cheap = solve_plan(q, short=replace(prices, mineral=0.01))
    total = [sum(WEEK * one.sum() for one in p.aside("cows").values()) for p in (dear, cheap)]
    assert total[0] <= total[1] + 1e-9
    assert isinstance(prices, Short)


@pytest.mark.parametrize("stage", ["growing", "gestating", "milking"])
def test_magnesium_and_potassium_are_asked_for_as_merck_prints_them(stage):
    # Merck Veterinary Manual after NASEM 2016: Mg 0.10, 0.12, 0.20 %; K 0.60, 0.60, 0.70 %.
    printed = {"growing": (0.10, 0.60), "gestating": (0.12, 0.60), "milking": (0.20, 0.70)}
    needs = mineral_needs(stage)
    assert (needs["mg"], needs["k"]) == printed[stage]
    herd = cows_of_1996()
    assert herd.needs[0].amounts["ca"] == pytest.approx(
        ca_need(0.96 * herd.needs[0].weight, calf_birth_weight=herd.group.calf,
                calf_share=float(herd.needs[0].stage.days_to_birth <= 90)), rel=0.2,
    )  # fmt: skip
