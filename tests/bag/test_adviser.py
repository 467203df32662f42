"""Which tests a lot needs.

Rules: hazards.md 5.4, from North Dakota, Montana, Kansas, Ohio State, Texas A&M, Kentucky and other
extension guides; the two published cases run with the outside cases.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.bag.adviser import FORMS, AdviceQuestion, advise, by_test, not_tested
from haywright.bag.tests import all_tests, given_by, left_out
from haywright.measure.analytes import dictionary
from haywright.measure.errors import Refused, UnknownName
from haywright.sources.animals import kinds
from haywright.sources.crops import crops, events, weeds
from haywright.sources.tables import load_toml
from haywright.words import say


def needs(crop, **known):
    found = by_test(advise(AdviceQuestion(crops=(crop,), **known)))
    return {one.test: one.need for one in found}


def cautions(crop, **known):
    return {one.rule for one in advise(AdviceQuestion(crops=(crop,), **known)) if not one.tests}


@pytest.mark.parametrize(
    "crop",
    ["sudangrass", "sorghum-sudan", "forage-sorghum", "johnsongrass", "pearl-millet", "corn",
     "oats", "wheat", "barley", "rye", "triticale", "brassica", "canola", "cornstalks"],
)  # fmt: skip
def test_a_crop_on_the_accumulator_lists_must_be_tested_for_nitrate(crop):
    assert needs(crop)["nitrate"] == "must"


@pytest.mark.parametrize("crop", ["alfalfa", "bromegrass", "timothy", "prairie-grass"])
def test_a_crop_that_rarely_stores_nitrate_is_not_sent_for_it_in_a_quiet_year(crop):
    assert "nitrate" not in needs(crop)


@pytest.mark.parametrize(
    "event",
    [
        "drought",
        "rain-after-drought",
        "frost",
        "hail",
        "cloudy-cold",
        "herbicide",
        "heavy-nitrogen",
    ],
)
def test_stress_sends_any_crop_for_nitrate(event):
    assert needs("bromegrass", events=(event,))["nitrate"] == "must"
    assert needs("alfalfa", events=(event,))["nitrate"] == "must"


def test_rain_on_the_swath_is_no_stress_to_the_growing_crop():
    assert "nitrate" not in needs("bromegrass", events=("rained-on",))


def test_a_tenth_of_nitrate_weeds_is_where_they_begin_to_count():
    assert "nitrate" not in needs("timothy", weeds={"kochia": 10})
    assert needs("timothy", weeds={"kochia": 6, "pigweed": 5})["nitrate"] == "must"
    assert needs("timothy", weeds={"kochia": None})["nitrate"] == "must"


def test_protein_above_twenty_five_per_cent_asks_after_nitrate():
    assert "nitrate" not in needs("alfalfa", cp=25)
    assert needs("alfalfa", cp=25.1)["nitrate"] == "must"


def test_sorghum_asks_after_prussic_acid_when_fresh_frosted_or_poorly_cured():
    assert "prussic_acid" not in needs("sorghum-sudan")
    assert needs("sorghum-sudan", form="green_chop")["prussic_acid"] == "must"
    assert needs("sorghum-sudan", events=("poorly-cured",))["prussic_acid"] == "must"
    assert needs("sorghum-sudan", events=("frost",))["prussic_acid"] == "should"
    assert "cyanogenic-cured" in cautions("sorghum-sudan")
    assert "cyanogenic-cured" not in cautions("sorghum-sudan", events=("frost",))


def test_frosted_oats_free_no_prussic_acid():
    assert "prussic_acid" not in needs("oats", events=("frost",), form="green_chop")


def test_a_horse_prone_to_laminitis_is_not_fed_before_starch_and_sugar_are_known():
    found = needs("timothy", animals=("laminitic-horses",))
    assert {t: found[t] for t in ("starch", "wsc", "esc")} == dict.fromkeys(
        ("starch", "wsc", "esc"), "must"
    )
    assert "starch" not in needs("timothy", animals=("horses",))


def test_sheep_ask_after_copper_molybdenum_and_sulfur_and_cattle_do_not():
    assert {"cu", "mo", "s"} <= set(needs("alfalfa-grass", animals=("ewes",)))
    assert not {"cu", "mo", "s"} & set(needs("alfalfa-grass", animals=("bred-cows",)))


def test_wethers_ask_after_calcium_and_phosphorus():
    found = needs("timothy", animals=("goat-wethers",), purpose="sale")
    assert found["ca"] == found["p"] == "should"


def test_grass_tetany_is_asked_after_for_the_stock_it_strikes():
    milking = needs("wheat", animals=("milking-beef-cows",))
    assert milking["mg"] == "should"
    assert "mg" not in needs("wheat", animals=("steers",))
    assert "mg" not in needs("alfalfa", animals=("milking-beef-cows",))
    # A horse in milk beside open cows makes no tetany case: one animal must meet the whole rule.
    assert "mg" not in needs("wheat", animals=("open-cows", "mares-in-foal"))


def test_alfalfa_for_horses_is_looked_through_for_blister_beetles():
    assert needs("alfalfa", animals=("horses",))["blister_beetles"] == "must"
    assert "blister_beetles" not in needs("timothy", animals=("horses",))
    assert "blister_beetles" not in needs("alfalfa", animals=("bred-cows",))


def test_tall_fescue_for_mares_in_foal_asks_after_ergovaline():
    assert needs("tall-fescue", animals=("mares-in-foal",))["ergovaline"] == "must"
    assert "ergovaline" not in needs("orchardgrass", animals=("mares-in-foal",))


def test_sweetclover_asks_after_dicoumarol_and_must_when_it_spoiled():
    assert needs("sweetclover")["dicoumarol"] == "should"
    assert needs("sweetclover", events=("mouldy",))["dicoumarol"] == "must"


def test_heated_mouldy_and_wrapped_hay_have_their_tests():
    assert needs("alfalfa", events=("heated",))["adicp"] == "should"
    assert {"mold_count", "mycotoxins"} <= set(needs("timothy", events=("dusty",)))
    assert {"ph", "dm"} <= set(needs("timothy", form="baleage"))
    assert "mouldy-horse" in cautions("timothy", events=("mouldy",), animals=("horses",))


def test_what_is_to_be_fed_and_what_is_to_be_sold_have_their_usual_tests():
    assert {"dm", "cp", "adf", "ndf", "ca", "p"} <= set(needs("timothy"))
    assert set(needs("timothy", purpose="sale")) == {"dm", "cp", "adf", "ndf"}


def test_not_tested_names_what_must_be_tested_and_was_not_ordered():
    advice = advise(AdviceQuestion(crops=("oats",), events=("hail",)))
    assert [one.test for one in not_tested(advice, ["dm", "cp"])] == ["nitrate"]
    assert not_tested(advice, ["dm", "nitrate"]) == []


def test_a_mineral_panel_covers_the_minerals_in_it_and_not_the_others():
    assert left_out(["ca", "cu", "mo"], ["minerals"]) == ("mo",)
    assert "mo" not in given_by(["minerals"])


def test_what_must_be_tested_comes_first():
    advice = advise(AdviceQuestion(crops=("oats",), events=("hail",), animals=("ewes",)))
    needs_in_order = [one.need for one in advice]
    assert needs_in_order == sorted(needs_in_order, key=["must", "should", "basic", "note"].index)


@given(
    crop=st.sampled_from(sorted(crops())),
    happened=st.sets(st.sampled_from(sorted(events())), max_size=3),
    stock=st.sets(st.sampled_from(sorted(kinds())), max_size=2),
    weedy=st.dictionaries(
        st.sampled_from(sorted(weeds())), st.none() | st.floats(0, 100), max_size=2
    ),
    form=st.sampled_from(FORMS),
    purpose=st.sampled_from(["feed", "sale"]),
)
def test_every_lot_gets_advice_that_can_be_said_and_more_trouble_never_takes_a_test_away(
    crop, happened, stock, weedy, form, purpose
):
    quiet = AdviceQuestion(crops=(crop,), form=form, purpose=purpose, animals=tuple(stock))
    troubled = AdviceQuestion(
        crops=(crop,),
        form=form,
        purpose=purpose,
        animals=tuple(stock),
        events=tuple(happened),
        weeds=weedy,
    )
    wanted = {one.test for one in by_test(advise(quiet))}
    found = advise(troubled)
    assert wanted <= {one.test for one in by_test(found)}
    for one in found:
        assert "  " not in say(one.reason)
        assert "()" not in say(one.reason)


def test_every_rule_speaks_for_some_lot():
    spoken = set()
    for crop in crops():
        for form in FORMS:
            for purpose in ("feed", "sale"):
                question = AdviceQuestion(
                    crops=(crop,),
                    form=form,
                    purpose=purpose,
                    events=tuple(events()),
                    animals=tuple(kinds()),
                    weeds=dict.fromkeys(weeds()),
                    places=tuple(load_toml("places")),
                    cp=26,
                )
                spoken |= {one.rule for one in advise(question)}
    spoken |= cautions("sorghum-sudan")
    assert spoken == {rule["id"] for rule in load_toml("test_advice")["advice"]}


def test_every_test_gives_quantities_of_the_dictionary():
    unknown = {n for one in all_tests().values() for n in one.gives} - set(dictionary())
    assert unknown == set()


@pytest.mark.parametrize(
    ("known", "error"),
    [
        ({"crops": ("hay-oats",)}, UnknownName),
        ({"crops": ("oats",), "events": ("locusts",)}, UnknownName),
        ({"crops": ("oats",), "animals": ("llamas",)}, UnknownName),
        ({"crops": ("oats",), "weeds": {"orchid": 3}}, UnknownName),
        ({"crops": ("oats",), "places": ("moon",)}, UnknownName),
        ({"crops": ()}, Refused),
        ({"crops": ("oats",), "form": "pudding"}, Refused),
        ({"crops": ("oats",), "purpose": "show"}, Refused),
        ({"crops": ("oats",), "weeds": {"kochia": 101}}, Refused),
        ({"crops": ("oats",), "cp": -1}, Refused),
    ],
)
def test_what_is_not_known_is_refused_and_never_passed_over(known, error):
    with pytest.raises(error):
        advise(AdviceQuestion(**known))
