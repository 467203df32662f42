"""May it be fed: what a verdict may and may never say."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haywright.bunk.hazards.nitrate import told
from haywright.bunk.hazards.nitrate.ask import asked
from haywright.bunk.hazards.nitrate.doubt import Sampling
from haywright.bunk.hazards.nitrate.lookup import says
from haywright.bunk.hazards.nitrate.question import Fed, How, NitrateQuestion, Rest, planning_spread
from haywright.bunk.hazards.nitrate.rules import rules
from haywright.bunk.hazards.nitrate.settle import ways_to_settle
from haywright.bunk.hazards.nitrate.shares import Limit
from haywright.bunk.hazards.nitrate.verdict import Answer, decide, must_test
from haywright.measure.errors import HaywrightError, Refused
from haywright.measure.estimate import Estimate, exact
from haywright.measure.message import message
from haywright.sources.animals import kinds
from haywright.sources.guides import default_guide, guide, guides
from haywright.words import say

CLASSES = [("pregnant",), ("non_pregnant",), ("young",), ("stressed", "non_pregnant"),
           ("lactating",), ("sheep",), ("goat", "non_pregnant"), ("horse",), ()]  # fmt: skip


def ask(x: float, **changes: object) -> NitrateQuestion:
    base = NitrateQuestion(
        result=exact(x),
        classes=("pregnant",),
        guide=guide("clemson"),
        sampling=Sampling(20, 64),
        rest=Rest(140, 26),
        animals="Bred cows",
    )
    return replace(base, **changes)  # type: ignore[arg-type]


def test_the_default_guide_was_fully_read_and_has_rows_by_class() -> None:
    for species in ("cattle", "sheep", "goat", "horse"):
        chosen = default_guide(species)
        assert chosen.fully_read
        assert len({row.animal_class for row in chosen.rows}) >= (1 if species == "horse" else 3)


def test_a_bag_on_either_side_of_an_edge_is_too_close_to_call_and_the_stricter_row_holds() -> None:
    verdict = decide(ask(1120))
    assert verdict.too_close
    assert verdict.answer is Answer.LIMITED
    assert verdict.share == 0.5
    assert verdict.governing is not None
    assert verdict.governing.limit is Limit.GUIDE
    assert verdict.guide_share is not None
    assert verdict.guide_share.edge == 1000


def test_the_smallest_of_the_three_shares_wins_and_is_named() -> None:
    """With much nitrate in the rest of the feed, the average day binds and not the guide."""
    verdict = decide(ask(1120, rest=Rest(800, 26)))
    assert verdict.governing is not None
    assert verdict.governing.limit is Limit.AVERAGE_DAY
    known = [one.share for one in verdict.shares if one.share is not None]
    assert verdict.share == min(known)


def test_an_unknown_water_or_feed_is_never_counted_as_nothing() -> None:
    verdict = decide(ask(1120, rest=Rest()))
    assert [one.share for one in verdict.shares][1:] == [None, None]
    assert verdict.answer is Answer.WITHHELD
    assert verdict.share is None
    assert verdict.at_most == 0.5
    assert "no share yet" in " ".join(say(one) for one in told.sentence(verdict))


def test_unknown_pregnancy_counts_as_pregnant_and_is_said() -> None:
    unknown, bred = decide(ask(1500, classes=())), decide(ask(1500))
    assert unknown.share == bred.share
    assert "not known whether bred" in " ".join(say(m) for m in told.standing(unknown))


def test_young_and_stressed_stock_take_the_pregnant_row_where_they_have_none() -> None:
    young = says(guide("clemson"), 1200, ("young", "non_pregnant"))
    assert young.share == 0.5
    assert young.borrowed


def test_a_cattle_guide_never_answers_for_a_horse() -> None:
    verdict = decide(ask(1120, classes=("horse",)))
    assert verdict.answer is Answer.SILENT
    assert verdict.share is None


def test_a_guides_do_not_feed_is_never_raised_by_dilution() -> None:
    verdict = decide(ask(2600, rest=Rest(0.0, 0.0)))
    assert verdict.answer is Answer.DO_NOT_FEED
    assert verdict.share == 0.0


def test_a_row_without_a_number_in_the_highest_band_gives_no_share_on_our_word() -> None:
    verdict = decide(ask(2400, guide=guide("manitoba")))
    assert verdict.share == 0.0
    middle = decide(ask(1400, guide=guide("manitoba"), sampling=Sampling(40, 64)))
    assert middle.answer is Answer.LIMITED
    assert middle.governing is not None
    assert middle.governing.limit is not Limit.GUIDE


def test_advice_without_a_number_needs_water_and_feed_before_a_share_is_given() -> None:
    verdict = decide(ask(1400, guide=guide("manitoba"), rest=Rest()))
    assert verdict.answer is Answer.WITHHELD
    assert verdict.share is None


def test_an_accumulator_without_a_result_is_not_tested() -> None:
    need = must_test(accumulator=True, stressed=False, cp=11.0, cp_line=25.0)
    verdict = decide(ask(1.0, result=None, must_test=need))
    assert verdict.answer is Answer.NOT_TESTED
    assert say(told.sentence(verdict)[0]).startswith("NOT TESTED")
    assert verdict.restricted


def test_much_protein_asks_for_a_nitrate_test() -> None:
    """CP above about 25 % in a forage: test nitrate (Shewmaker, University of Idaho)."""
    assert must_test(accumulator=False, stressed=False, cp=26.0, cp_line=25.0) == ("protein",)


@pytest.mark.parametrize("how", [How.GRAB, How.SPOT_TEST])
def test_a_screen_clears_nothing_but_may_bar(how: How) -> None:
    assert decide(ask(100, how=how)).answer is Answer.SCREEN
    assert decide(ask(100, how=how)).share is None
    assert decide(ask(5000, how=how)).answer is Answer.DO_NOT_FEED


def test_below_a_limit_enters_as_its_limit() -> None:
    below = decide(ask(0, result=Estimate.below(400.0, "LOQ", raw=-3.0)))
    assert below.x == 400.0


def test_over_range_is_never_settled() -> None:
    over = decide(ask(0, result=Estimate.above(900.0, "top standard", raw=1200.0)))
    assert over.answer is Answer.OVER_RANGE
    assert over.share is None


def test_a_held_result_gives_nothing() -> None:
    held = decide(ask(0, result=Estimate.held(message("measure.held"))))
    assert held.answer is Answer.HELD
    assert held.share is None


def test_half_a_bale_over_four_thousand_asks_to_split_or_grind() -> None:
    verdict = decide(ask(1900, classes=("non_pregnant",), sampling=Sampling(10, 80)))
    assert verdict.many_bad
    assert verdict.restricted


def test_the_provisional_spread_is_never_under_a_quarter_unless_measured_here() -> None:
    assert planning_spread(risky=False, history=(0.1, 12)).between == rules().least
    assert planning_spread(risky=False, own=(0.1, 3)).between == 0.1
    assert planning_spread(risky=True).between == 0.5


def test_chances_to_settle_lie_between_nothing_and_certain_and_grow_with_cores() -> None:
    q = ask(1120)
    ways = ways_to_settle(
        1120,
        1000,
        spread=q.worked_spread(),
        sampling=q.sampling,
        laboratory=q.worked_laboratory(),
    )
    alone = [one.chance for one in ways if not one.second_laboratory]
    assert alone == sorted(alone)
    assert all(0 <= one.chance <= 1 for one in ways)


levels = st.floats(1, 12_000)
whose = st.sampled_from(CLASSES)
which = st.sampled_from(sorted(guides()))


@settings(max_examples=80, deadline=None)
@given(levels, st.floats(1.0, 3.0), which, whose)
def test_more_nitrate_never_allows_more(
    x: float, times: float, name: str, classes: tuple[str, ...]
) -> None:
    less = decide(ask(x, guide=guide(name), classes=classes))
    more = decide(ask(min(x * times, 90_000), guide=guide(name), classes=classes))
    if less.share is not None and more.share is not None:
        assert more.share <= less.share + 1e-9


@settings(max_examples=80, deadline=None)
@given(levels, which, whose)
def test_no_verdict_allows_more_than_its_guides_own_row(
    x: float, name: str, classes: tuple[str, ...]
) -> None:
    verdict = decide(ask(x, guide=guide(name), classes=classes))
    row = says(guide(name), verdict.high, classes)
    if verdict.share is not None and row.share is not None:
        assert verdict.share <= row.share


@settings(max_examples=60, deadline=None)
@given(levels, whose)
def test_mixed_allows_no_less_than_limited_and_limited_no_less_than_free_choice(
    x: float, classes: tuple[str, ...]
) -> None:
    shares = [decide(ask(x, classes=classes, fed=fed)).share for fed in Fed]
    if None not in shares:
        assert shares == sorted(shares, reverse=True)  # type: ignore[type-var]


@settings(max_examples=60, deadline=None)
@given(levels, st.floats(0, 900), st.floats(0, 900))
def test_cleaner_feed_never_allows_less(x: float, one: float, other: float) -> None:
    clean, dirty = sorted((one, other))
    better, worse = decide(ask(x, rest=Rest(clean, 10))), decide(ask(x, rest=Rest(dirty, 10)))
    assert (better.share or 0) >= (worse.share or 0) - 1e-9


@pytest.mark.parametrize("name", sorted(guides()))
@pytest.mark.parametrize("classes", CLASSES)
def test_every_guide_answers_or_says_it_is_silent(name: str, classes: tuple[str, ...]) -> None:
    """And our own words never hold the word that only a named guide may use."""
    for x in (1, 700, 1130, 2000, 4000, 9000):
        verdict = decide(ask(x, guide=guide(name), classes=classes))
        assert verdict.share is None or 0 <= verdict.share <= 1
        ours = [*told.sentence(verdict), *told.standing(verdict), *told.cautions(verdict)]
        ours += [m for m in (told.next_step(verdict), told.step_up(verdict)) if m is not None]
        for said in map(say, ours):
            assert "safe" not in said.lower()
        assert math.isfinite(verdict.high)
        verdict.to_json()


def test_a_restricted_verdict_carries_the_emergency_card_and_no_dose() -> None:
    assert decide(ask(1120)).restricted
    card = " ".join(say(m) for m in told.emergency())
    for word in ("Stop the feed", "quiet", "veterinarian", "nitrate", "Keep the feed"):
        assert word in card
    assert "blue" not in card.lower().replace("blue gums", "")


@pytest.mark.parametrize("animals", sorted(kinds()))
def test_every_kind_of_stock_can_be_asked_about(animals: str) -> None:
    verdict = decide(asked(4200, unit="ppm NO3", basis="dry", animals=animals))
    assert told.sentence(verdict)


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"unit": "ppm"}, "measure.nitrate_form"),
        ({"unit": ""}, "measure.nitrate_unit"),
        ({"basis": ""}, "measure.basis_missing"),
        ({"basis": "as received"}, "measure.cannot_derive"),
        ({"animals": ""}, "bunk.nitrate.who"),
        ({"value": -3.0}, "bunk.nitrate.typed.range"),
        ({"value": math.nan}, "bunk.nitrate.typed.range"),
        ({"value": 200.0, "unit": "% NO3"}, "bunk.nitrate.typed.range"),
        ({"guide": "nobody"}, "measure.unknown_name_many"),
        ({"fed": "sprinkled"}, "measure.unknown_name"),
        ({"cored": 30, "bales": 20}, "bunk.nitrate.cored_over"),
    ],
)
def test_a_call_that_leaves_something_out_is_told_what(
    changes: dict[str, object], key: str
) -> None:
    call: dict[str, object] = {
        "value": 4200.0, "unit": "ppm NO3", "basis": "dry", "animals": "bred-cows", **changes
    }  # fmt: skip
    value = call.pop("value")
    with pytest.raises(HaywrightError) as caught:
        asked(value, **call)  # type: ignore[arg-type]
    assert caught.value.message.key == key


def test_the_same_hay_in_three_forms_gets_one_verdict() -> None:
    one = decide(asked(1000, unit="ppm NO3-N", basis="dry", animals="bred-cows"))
    for value, unit in ((4426.64, "ppm NO3"), (0.721798, "% KNO3")):
        other = decide(asked(value, unit=unit, basis="dry", animals="bred-cows"))
        assert other.x == pytest.approx(one.x, rel=1e-5)


def test_as_received_is_restated_before_it_is_judged() -> None:
    dry = decide(asked(3409.1, unit="ppm NO3", basis="dry", animals="ewes"))
    wet = decide(asked(3000, unit="ppm NO3", basis="as received", animals="ewes", dry_matter=88.0))
    assert wet.x == pytest.approx(dry.x, rel=1e-4)


def test_silent_guides_have_no_row_to_show() -> None:
    with pytest.raises(Refused):
        _ = says(guide("clemson"), 1200, ("horse",)).row


def test_water_above_the_limit_for_people_warns_the_household() -> None:
    """US EPA limit of 10 mg/L NO3-N, by way of the Montana DEQ nitrate rule."""
    for water, warned in ((25.0, True), (4.0, False)):
        q = asked(300, unit="ppm NO3-N", basis="dry", animals="ewes", rest=100, water=water)
        said = {one.key for one in told.cautions(decide(q))}
        assert ("bunk.nitrate.caution.household" in said) is warned


def test_grinding_more_bales_into_one_mix_never_allows_less() -> None:
    call = {"unit": "ppm NO3-N", "basis": "dry", "animals": "steers", "bales": 60, "cored": 20,
            "rest": 100, "water": 2}  # fmt: skip
    single, mixed = (decide(asked(1400, **call, mixed=k)) for k in (1, 10))
    assert mixed.shares[2].most >= single.shares[2].most
