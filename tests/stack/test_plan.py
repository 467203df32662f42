"""The sampling plan: which bales, how many, in how many bags, and what it must say."""

from __future__ import annotations

import json
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haywright.measure.errors import HaywrightError, Refused, UnknownName
from haywright.sources.crops import crops
from haywright.stack.error import Spread
from haywright.stack.lot import Face, FieldPart, Lot, Packages, storages
from haywright.stack.packages import bale_size, bale_sizes
from haywright.stack.picking import bag_groups
from haywright.stack.plan import Choices, make_plan
from haywright.stack.protocol import after_standing_test, protocol
from haywright.stack.rules import bales_by_rule, default_rule, rules, rules_for
from haywright.stack.spread import Repeat
from haywright.stack.timing import earliest, lot_doubts, when_to_sample

ROUND = bale_size("5x5").package
PARTS = (FieldPart("low end", tuple(range(1, 31))), FieldPart("hill", tuple(range(31, 81))))


def lot(bales=80, crop="bromegrass", **more):
    more.setdefault("packages", Packages(bales, ROUND))
    return Lot("31", "cured_hay", (crop,), **more)


def keys(messages):
    return {one.key for one in messages}


# ---------------------------------------------------------------- how many bales, how many bags


@pytest.mark.parametrize(("bales", "cored"), [(8, 8), (20, 20), (80, 20), (400, 20)])
def test_twenty_bales_are_cored_for_nutrients_or_every_bale_of_a_smaller_lot(bales, cored):
    assert len(make_plan(lot(bales)).picks) == cored


@pytest.mark.parametrize(("bales", "cored"), [(8, 8), (50, 20), (100, 20), (101, 21), (400, 80)])
def test_a_fifth_and_at_least_twenty_are_cored_for_nitrate(bales, cored):
    # sampling.md 1.2: min(N, max(20, ceil(0.2 N)))
    assert len(make_plan(lot(bales, crop="oats")).picks) == cored


def test_a_small_lot_spreads_the_cores_over_its_bales():
    plan = make_plan(lot(8))
    assert plan.cores_per_bale == 3
    assert "stack.rule.every_bale" in keys(plan.notes)


def test_a_lot_that_may_hold_nitrate_is_bagged_by_field_part():
    plan = make_plan(lot(crop="oats", field_parts=PARTS))
    assert [bag.part for bag in plan.bags] == ["low end", "hill"]
    for bag, part in zip(plan.bags, PARTS, strict=True):
        assert set(bag.bales) <= set(part.bales)
    assert plan.precision[0].spread.source == "nitrate-planning-cv"


def test_up_to_twenty_bales_go_into_one_bag_that_says_nothing_of_the_worst():
    plan = make_plan(lot(20, crop="oats"))
    assert len(plan.bags) == 1
    assert "stack.plan.one_bag_hides" in keys(plan.notes)


def test_unknown_field_parts_give_two_bags_and_a_question():
    plan = make_plan(lot(crop="oats"))
    assert [bag.of_bales for bag in plan.bags] == [40, 40]
    assert "stack.plan.bags_by_halves" in keys(plan.notes)


def test_never_more_than_four_bags_and_no_bale_left_out():
    parts = tuple(FieldPart(f"part {n}", tuple(range(10 * n + 1, 10 * n + 11))) for n in range(7))
    groups = bag_groups(lot(crop="oats", field_parts=parts), apart=True)
    assert len(groups) == 4
    assert sorted(b for one in groups for b in one.bales) == list(range(1, 81))


def test_feed_without_suspicion_is_one_bag():
    assert len(make_plan(lot(field_parts=PARTS)).bags) == 1


def test_a_rule_of_several_bags_fills_several():
    # Texas A&M: one composite for each 25 to 30 rounds
    plan = make_plan(lot(110), Choices(rule="texas-rounds"))
    assert len(plan.bags) == 4
    assert len(plan.picks) >= 16


def test_every_bag_holds_the_laboratorys_least_where_the_rule_sets_the_number():
    parts = tuple(FieldPart(f"part {n}", tuple(range(20 * n + 1, 20 * n + 21))) for n in range(4))
    plan = make_plan(lot(crop="oats", field_parts=parts))
    assert all(bag.grams >= 100 for bag in plan.bags)
    assert "stack.plan.more_for_mass" in keys(plan.notes)


# ---------------------------------------------------------------- precision


def test_a_target_that_can_be_met_sets_the_number():
    known = Spread(1.14, repeat=1e-6)  # a laboratory as good as none
    choices = Choices(target=("cp", 0.5), confidence=0.95, spreads={"cp": known})
    plan = make_plan(lot(400), choices)
    # sampling.md 2.3: (1.96 x 1.14/0.5)^2 = 19.97 in a large lot, 19.02 of 400
    assert len(plan.picks) == 20


def test_a_target_under_the_laboratorys_bias_is_not_attainable_and_the_rule_stands():
    plan = make_plan(lot(), Choices(target=("cp", 0.3)))
    assert "stack.plan.not_attainable" in keys(plan.notes)
    assert len(plan.picks) == 20
    needed = next(p.needed for p in plan.precision if p.quantity == "cp")
    assert not needed.attainable


def test_a_target_that_more_readings_would_meet_says_how_many():
    # sampling.md, case infeasible-lab-floor: SD 0.30, target 0.5: two readings
    plan = make_plan(lot(), Choices(target=("cp", 0.5), confidence=0.95,
                                    spreads={"cp": Spread(1.14, repeat=0.3)}))  # fmt: skip
    note = next(n for n in plan.notes if n.key == "stack.plan.attainable_with")
    assert note.args["n"] == 2


def test_a_quantity_without_a_spread_is_named_and_not_guessed():
    plan = make_plan(lot(), Choices(spreads={"dm": Spread(0.7)}))
    assert "dm" in {p.quantity for p in plan.precision}
    with pytest.raises(Refused, match=r"stack\.spread\.nobody"):
        make_plan(lot(), Choices(target=("ash", 0.5)))


def test_the_curve_falls_and_holds_the_plans_own_point():
    plan = make_plan(lot(crop="oats"))
    for one in plan.precision:
        halves = [point.half for point in one.points]
        assert halves == sorted(halves, reverse=True)
        assert one.at in one.points
        assert all(point.one_laboratory <= point.half for point in one.points)
        assert one.at.half > one.floor


def test_what_the_office_has_repeated_within_lots_replaces_the_provisional_figures():
    plan = make_plan(lot(), Choices(office={"cp": [Repeat(0.6, 40)]}))
    cp = next(p for p in plan.precision if p.quantity == "cp")
    assert not cp.spread.provisional
    assert cp.at.one_laboratory < make_plan(lot()).precision[0].at.one_laboratory


# ---------------------------------------------------------------- the stack


SOUTH = Face("south side", (10, 10, 10), reach=2)
NORTH = Face("north side", (10, 9, 8))


def test_bales_too_high_or_inside_are_never_picked_and_their_share_is_given():
    hay = lot(faces=(SOUTH, NORTH), unreached=(1, 2))
    plan = make_plan(hay)
    hidden = set(range(58, 81)) | set(range(21, 31)) | {1, 2}
    assert set(plan.unreached) == hidden
    assert not hidden & set(plan.walk)
    assert plan.unreached_share == pytest.approx(len(hidden) / 80)


def test_the_walk_goes_face_by_face_along_each():
    plan = make_plan(lot(faces=(SOUTH, NORTH)))
    faces = [one.face for one in plan.picks]
    assert faces == sorted(faces, key=["south side", "north side"].index)
    for face in set(faces):
        steps = [(one.left, one.tier) for one in plan.picks if one.face == face]
        assert steps == sorted(steps)
    assert [one.walk for one in plan.picks] == list(range(1, len(plan.picks) + 1))


def test_a_pyramid_steps_in_by_half_a_bale():
    places = list(Face("end", (3, 2, 1)).places(1))
    assert [p.left for p in places] == [0, 1, 2, 0.5, 1.5, 1.0]


def test_round_bales_outside_are_cored_at_clock_positions_and_those_inside_are_not():
    assert all(one.clock in (1, 2, 3, 4, 5) for one in make_plan(lot(storage="outside")).picks)
    assert all(one.clock is None for one in make_plan(lot(storage="barn")).picks)


def test_nothing_to_reach_is_refused():
    with pytest.raises(Refused, match="none_reached"):
        make_plan(lot(3, unreached=(1, 2, 3)))


def test_a_part_that_cannot_be_reached_is_named():
    hay = lot(crop="oats", field_parts=PARTS, unreached=tuple(range(1, 31)))
    plan = make_plan(hay)
    assert [bag.part for bag in plan.bags] == ["hill"]
    assert "stack.plan.part_hidden" in keys(plan.notes)


@settings(max_examples=60, deadline=None)
@given(
    st.integers(1, 300),
    st.sampled_from(sorted(crops())),
    st.sampled_from(sorted(bale_sizes())),
    st.sampled_from(["", *storages()]),
    st.sampled_from(["random", "every-nth"]),
    st.sampled_from(["face", "tier", "none"]),
    st.data(),
)
def test_any_lot_gets_a_plan_that_adds_up(bales, crop, size, kept, method, by, data):
    unreached = data.draw(st.sets(st.integers(1, bales), max_size=bales - 1))
    wide = data.draw(st.integers(1, bales))
    hay = lot(
        bales, crop, packages=Packages(bales, bale_size(size).package), storage=kept,
        faces=(Face("a", (wide,)),), unreached=tuple(unreached),
    )  # fmt: skip
    try:
        plan = make_plan(hay, Choices(method=method, by=by))
    except Refused as error:
        assert error.message.key == "stack.plan.none_reached"
        return
    assert len(set(plan.walk)) == len(plan.walk)
    assert not set(plan.walk) & set(plan.unreached)
    assert sorted(b for bag in plan.bags for b in bag.bales) == sorted(plan.walk)
    assert plan.cores == len(plan.walk) * plan.cores_per_bale
    json.dumps(plan.to_json(), allow_nan=False)


def test_the_same_lot_gets_the_same_bales_and_another_seed_others():
    assert make_plan(lot()).walk == make_plan(lot()).walk
    assert make_plan(lot()).walk != make_plan(lot(), Choices(seed="again")).walk


# ---------------------------------------------------------------- the forms


def test_a_standing_crop_decides_and_never_clears_bales():
    hay = Lot("s", "standing_crop", ("oats",), events=("drought",))
    plan = make_plan(hay)
    assert plan.picks == ()
    assert plan.probe is None
    assert not plan.protocol.clears_bales
    assert plan.protocol.decides == ("cut", "wait", "raise_the_bar", "ensile")
    assert "stack.standing.never_clears" in keys(plan.notes)
    # Montana State University: 15 plants over the whole field
    assert [bag.units for bag in plan.bags] == [15]


def test_poor_and_good_parts_of_a_field_get_bags_of_their_own():
    hay = Lot("s", "standing_crop", ("corn",), field_parts=(FieldPart("poor"), FieldPart("good")))
    assert [bag.part for bag in make_plan(hay).bags] == ["poor", "good"]


def test_only_a_low_result_says_cut():
    assert [one.choice for one in after_standing_test("under")] == ["cut"]
    for outcome in ("close", "over", "not_tested"):
        assert "cut" not in {one.choice for one in after_standing_test(outcome)}
    assert "ensile" in {one.choice for one in after_standing_test("over")}


def test_baleage_prints_as_fed_and_dry_side_by_side_and_closes_its_holes():
    hay = Lot(
        "b", "baleage", ("ryegrass",), packages=Packages(40, ROUND), baled_on=date(2026, 6, 1)
    )
    assert protocol(hay).bases == ("as fed", "dry matter")
    assert "stack.step.tape" in keys(protocol(hay).steps)
    # University of Georgia: six weeks or more after wrapping
    assert earliest(hay) == date(2026, 6, 1) + timedelta(weeks=6)


def test_stalks_in_the_field_are_cut_and_baled_stalks_are_cored():
    grazed = Lot("c", "cornstalks", ("cornstalks",))
    baled = Lot("c", "cornstalks", ("cornstalks",), packages=Packages(60, ROUND))
    assert protocol(grazed).takes == "plants"
    assert protocol(baled).takes == "cores"
    assert "stack.suspect.stalks" in keys(grazed.suspects_nitrate())


# ---------------------------------------------------------------- suspicion, cautions, when


@pytest.mark.parametrize(
    ("more", "key"),
    [
        ({"crop": "oats"}, "stack.suspect.crop"),
        ({"events": ("drought",)}, "stack.suspect.event"),
        ({"weeds": {"kochia": None}}, "stack.suspect.weed"),
    ],
)
def test_what_can_store_or_raise_nitrate_is_tested_for_it_and_fed_to_nobody(more, key):
    plan = make_plan(lot(**more))
    assert plan.purpose == "nitrate"
    assert key in keys(plan.suspects)
    assert "stack.caution.nitrate_unknown" in keys(plan.cautions)


def test_every_plan_of_bales_warns_of_drill_dust_climbing_and_heat_and_defers():
    said = keys(make_plan(lot()).always)
    for name in ("drill", "dust", "climb", "hot_probe", "hot_stack", "defer"):
        assert f"stack.caution.{name}" in said


def test_hay_baled_over_a_ceiling_or_within_six_weeks_is_measured_before_it_is_climbed():
    wet = lot(moisture=22.0)
    assert {"stack.caution.baled_over", "stack.caution.heating_first"} <= keys(
        make_plan(wet).cautions
    )
    fresh = lot(baled_on=date(2026, 8, 1))
    assert "stack.caution.heating_first" in keys(make_plan(fresh, today=date(2026, 8, 20)).cautions)
    assert make_plan(fresh, today=date(2026, 12, 1)).cautions == ()


def test_dry_hay_under_a_roof_waits_for_the_sweat():
    hay = lot(storage="barn", baled_on=date(2026, 7, 1))
    # University of Kentucky: three to four weeks after baling under cover
    assert any(w.source == "kentucky-sampling-101" for w in when_to_sample(hay))
    assert earliest(hay) >= date(2026, 7, 22)


def test_too_much_hay_or_too_many_hours_are_more_than_one_lot():
    heavy = lot(1000, packages=Packages(1000, ROUND, weight=500.0))
    assert "stack.lot.too_heavy" in keys(lot_doubts(heavy))
    # tonnes of dry matter are counted only by the rule that counts them
    assert lot_doubts(heavy, "kentucky") == ()
    assert keys(lot_doubts(lot(baling_hours=60))) == {"stack.lot.too_long"}
    assert lot_doubts(lot(baling_hours=48)) == ()


# ---------------------------------------------------------------- rules


def test_every_rule_answers_or_says_why_not():
    for one in rules().values():
        try:
            found = bales_by_rule(one.id, bales=120, tonnes=60.0)
        except Refused as error:
            raise AssertionError(one.id) from error
        assert 1 <= found.least <= 120
        assert found.most is None or found.most >= found.least


@given(st.integers(1, 2000), st.sampled_from(sorted(rules())))
def test_no_rule_asks_for_more_bales_than_there_are(bales, name):
    try:
        found = bales_by_rule(name, bales=bales, tonnes=1.0)
    except Refused as error:
        assert error.message.key == "stack.rule.too_small"
        return
    if rules()[name].how != "root":
        assert found.least <= bales


def test_what_nobody_chose_is_never_recalled():
    for kind in ("round", "small_square", "large_square", "standing"):
        for purpose in ("nutrients", "nitrate"):
            assert default_rule(kind, purpose).mark != "recalled"
            assert rules_for(kind, purpose)


@pytest.mark.parametrize(
    ("name", "given_", "key"),
    [
        ("kansas-nitrate", {}, "stack.rule.needs_bales"),
        ("german-other", {"bales": 10}, "stack.rule.needs_tonnes"),
        ("german-packed", {"bales": 16}, "stack.rule.too_small"),
        ("kansas-nitrate", {"bales": 0}, "stack.positive"),
    ],
)
def test_a_rule_says_what_it_lacks(name, given_, key):
    with pytest.raises(Refused) as error:
        bales_by_rule(name, **given_)
    assert error.value.message.key == key


def test_small_official_lots_take_seven_increments_and_large_ones_forty():
    # German table: 7 up to 2.5 t, else sqrt(20 t), at most 40
    assert bales_by_rule("german-other", tonnes=2.5).least == 7
    assert bales_by_rule("german-other", tonnes=80).least == 40
    assert bales_by_rule("german-other", tonnes=500).least == 40
    assert bales_by_rule("german-packed", bales=100).least == 10
    assert bales_by_rule("german-packed", bales=1000).least == 20


# ---------------------------------------------------------------- refusals


@pytest.mark.parametrize(
    "make",
    [
        lambda: Lot("", "cured_hay", ("oats",), packages=Packages(4)),
        lambda: Lot("a", "haylage", ("oats",), packages=Packages(4)),
        lambda: Lot("a", "cured_hay", (), packages=Packages(4)),
        lambda: Lot("a", "cured_hay", ("oats",)),
        lambda: Lot("a", "standing_crop", ("oats",), packages=Packages(4)),
        lambda: Lot("a", "standing_crop", ("oats",), faces=(SOUTH,)),
        lambda: lot(purpose="gift"),
        lambda: lot(moisture=120),
        lambda: lot(weeds={"kochia": 140}),
        lambda: lot(rind=-0.1),
        lambda: lot(baling_hours=-3),
        lambda: lot(20, faces=(SOUTH,)),
        lambda: lot(faces=(SOUTH, Face("south side", (5,)))),
        lambda: lot(20, field_parts=(FieldPart("a", (1, 2)), FieldPart("b", (2, 3)))),
        lambda: lot(20, field_parts=(FieldPart("a", (21,)),)),
        lambda: lot(20, unreached=(0,)),
        lambda: Packages(0),
        lambda: Packages(5, weight=-1),
        lambda: Face("a", ()),
        lambda: Face("a", (3, 0)),
        lambda: Choices(bales=0),
        lambda: Choices(method="nearest"),
        lambda: Choices(by="colour"),
        lambda: make_plan(lot(), Choices(bales=81)),
        lambda: after_standing_test("fine"),
    ],
)
def test_what_cannot_be_is_refused(make):
    with pytest.raises(Refused):
        make()


@pytest.mark.parametrize(
    "make",
    [
        lambda: lot(crop="alfalfer"),
        lambda: lot(events=("meteor",)),
        lambda: lot(weeds={"triffid": 3}),
        lambda: lot(storage="in the sea"),
        lambda: make_plan(lot(), Choices(rule="by-eye")),
        lambda: bale_size("7x9"),
    ],
)
def test_an_unknown_name_is_refused_with_the_names_that_are_known(make):
    with pytest.raises(UnknownName) as error:
        make()
    assert error.value.names
    assert isinstance(error.value, HaywrightError)
