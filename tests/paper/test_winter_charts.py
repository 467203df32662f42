"""Pictures of the winter show the plan's own numbers, apart without colour, and say them again."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haywright.gate.need import mass_from_dry_matter
from haywright.paper.bands import Band, place_above, strip_height
from haywright.paper.keep_chart import keep_picture
from haywright.paper.plot import Fill, fills, ticks, wide
from haywright.paper.speaker import Speaker
from haywright.paper.strips import strips_picture
from haywright.paper.svg import Canvas
from haywright.paper.tokens import LIGHT, PRINT
from haywright.paper.winter_charts import Look, kept_longest_first, on_hand_picture, put_out_picture
from haywright.paper.winter_panels import condition_picture, cost_picture
from haywright.words import Reader
from tests.paper.reading import SVG, drawing, words_in
from tests.paper.winter_ranch import OATS, POUND, TON, WEEKS, matter, question, small

WORDS = Speaker(Reader())


def keep(m, words, look=None):
    return keep_picture(m, OATS, words, look or Look())


PICTURES = [on_hand_picture, put_out_picture, strips_picture, condition_picture, cost_picture, keep]


def number(said):
    return float(re.sub(r"[^\d.\N{MINUS SIGN}]", "", said).replace("\N{MINUS SIGN}", "-"))


def column(picture, name):
    n = picture.twin.head.index(name)
    return np.array([number(row[n]) for row in picture.twin.rows])


def as_stands(lot, dry):
    return np.asarray(mass_from_dry_matter(dry, matter().hay(lot).feed.dm))


@pytest.mark.parametrize("picture", PICTURES)
def test_every_picture_has_title_description_and_a_full_table(picture):
    drawn = picture(matter(), WORDS)
    root = drawing(drawn.svg)
    assert root.find(f"{SVG}title").text == drawn.title
    assert root.find(f"{SVG}desc").text == drawn.description
    assert drawn.twin.rows
    assert {len(row) for row in drawn.twin.rows} == {len(drawn.twin.head)}


@pytest.mark.parametrize("picture", PICTURES)
@pytest.mark.parametrize("palette", [PRINT, LIGHT])
def test_text_is_in_our_face_large_enough_and_within_the_drawing(picture, palette):
    drawn = picture(matter(), WORDS, Look(palette=palette))
    for one in drawing(drawn.svg).iter(f"{SVG}text"):
        size = float(one.get("font-size"))
        assert one.get("font-family") == "Source Sans 3"
        assert size >= 8.5
        assert -0.01 <= float(one.get("x")) <= drawn.width
        assert size * 0.5 <= float(one.get("y")) <= drawn.height


@pytest.mark.parametrize("picture", PICTURES)
def test_no_picture_promises(picture):
    drawn = picture(matter(), WORDS)
    said = " ".join([*words_in(drawn.svg), drawn.description])
    assert not re.search(r"\b(un)?safe", said, re.IGNORECASE)


def test_hay_on_hand_is_the_plans_stock_lot_by_lot():
    drawn = on_hand_picture(matter(), WORDS)
    total = np.zeros(WEEKS + 1)
    for hay in question().hays:
        tons = as_stands(hay.name, matter().plan.stock(hay.name)) / TON
        total += tons
        assert column(drawn, hay.name) == pytest.approx(tons, abs=0.051)
    assert column(drawn, "All hay") == pytest.approx(total, abs=0.051)
    assert column(drawn, "A hard winter") == pytest.approx(matter().hard / TON, abs=0.051)


def test_the_bands_are_as_thick_as_the_hay_is_heavy():
    drawn = on_hand_picture(matter(), WORDS)
    lots = kept_longest_first(matter().plan)
    start = [column(drawn, lot)[0] for lot in lots]
    edges = {}
    for one in drawing(drawn.svg).iter(f"{SVG}path"):
        if one.get("d").endswith("Z"):
            points = [tuple(map(float, p.split())) for p in one.get("d")[1:-1].split(" L")]
            top, foot = points[0][1], points[-1][1]
            edges[round(foot, 1)] = foot - top
    thick = [edges[foot] for foot in sorted(edges, reverse=True)]
    assert len(thick) == len(lots)
    per_ton = sum(thick) / sum(start)
    assert thick == pytest.approx([tons * per_ton for tons in start], abs=0.1)


def test_hay_put_out_is_the_plans_in_pounds_a_day():
    drawn = put_out_picture(matter(), WORDS)
    for name in drawn.twin.head[1:-1]:
        pounds = as_stands(name, matter().plan.put_out(name)) / 7 / POUND
        assert column(drawn, name) == pytest.approx(pounds, abs=0.51)


def test_a_lot_that_is_not_tested_stands_in_the_stack_and_is_never_put_out():
    assert "Sudangrass, north" in on_hand_picture(matter(), WORDS).twin.head
    assert "Sudangrass, north" not in put_out_picture(matter(), WORDS).twin.head


def test_every_lot_is_named_on_its_band():
    for picture in (on_hand_picture, put_out_picture):
        drawn = picture(matter(), WORDS)
        said = words_in(drawn.svg)
        for name in drawn.twin.head[1:]:
            if name in {hay.name for hay in question().hays}:
                assert name in said


def test_a_lot_keeps_its_fill_from_picture_to_picture():
    lots = kept_longest_first(matter().plan)

    def grounds(drawn):
        found = {}
        for one in drawing(drawn.svg).iter(f"{SVG}path"):
            if one.get("d").endswith("Z") and not one.get("fill").startswith("url"):
                found[len(found)] = one.get("fill")
        return list(found.values())

    hand, out = grounds(on_hand_picture(matter(), WORDS)), grounds(put_out_picture(matter(), WORDS))
    assert len(hand) == len(lots)
    assert out == [fill for lot, fill in zip(lots, hand, strict=True) if lot != "Sudangrass, north"]


def test_six_hays_are_apart_without_colour():
    canvas = Canvas(10, 10, PRINT)
    six = fills(canvas, 6, "x")
    assert len({(one.ground, one.over) for one in six}) == 6
    assert sum(bool(one.over) for one in six) == 3
    greys = {one.ground for one in six if not one.over}
    assert len(greys) == 3


def test_each_row_of_who_eats_what_is_what_a_head_eats():
    drawn = strips_picture(matter(), WORDS)
    names = [feed.name for feed in matter().plan.feeds]
    for title in drawn.twin.head[1:]:
        herd, _, feed = title.partition(": ")
        k = names.index(feed)
        dry = matter().plan.per_head(herd)[:, k]
        pounds = np.asarray(mass_from_dry_matter(dry, matter().plan.feeds[k].dm)) / POUND
        assert column(drawn, title) == pytest.approx(pounds, abs=0.051)


def test_held_back_hay_is_black_among_the_bars():
    drawn = strips_picture(matter(), WORDS)
    black = [r for r in drawing(drawn.svg).iter(f"{SVG}rect") if r.get("fill") == PRINT.ink]
    fed = sum(
        (matter().plan.per_head(herd)[:, 0] > 0).sum() for herd in ("Cows", "First-calf heifers")
    )
    assert len(black) == fed


def test_condition_is_the_plans_with_its_floor_and_target():
    drawn = condition_picture(matter(), WORDS)
    for herd in ("Cows", "First-calf heifers"):
        scores = matter().plan.condition(herd)
        assert column(drawn, herd) == pytest.approx(scores, abs=0.0051)
    said = words_in(drawn.svg)
    assert {"never under 4.0", "never under 5.0", "5.0 at calving", "5.5 at calving"} <= set(said)


def test_no_condition_picture_where_no_condition_is_planned():
    model, growing = matter().plan.model, slice(2, None)
    fewer = replace(model.columns, herds=model.columns.herds[growing])
    q = question().with_herds(question().herds[growing])
    only = replace(
        matter().plan,
        model=replace(model, question=q, herds=model.herds[growing], columns=fewer),
    )
    assert condition_picture(replace(matter(), plan=only), WORDS) is None


def test_cost_parts_are_the_plans_and_their_bars_in_proportion():
    drawn = cost_picture(matter(), WORDS)
    costs = [v for v in matter().plan.costs().values() if abs(v) >= 0.5]
    shown = column(drawn, "Money")
    assert sorted(shown[:-1]) == pytest.approx(sorted(costs), abs=0.51)
    assert shown[-1] == pytest.approx(sum(costs), abs=0.51)
    bars = [float(r.get("width")) for r in drawing(drawn.svg).iter(f"{SVG}rect")]
    assert np.array(bars) / bars[-1] == pytest.approx(np.abs(shown) / abs(shown[-1]), rel=0.01)


def test_steps_are_the_keep_price_in_money_a_ton():
    drawn = keep(matter(), WORDS)
    steps, dm = matter().keep[OATS], matter().hay(OATS).feed.dm
    assert column(drawn, "Worth a ton") == pytest.approx(
        [step.worth * dm / 100 * TON for step in steps], abs=0.51
    )
    ends = np.cumsum([as_stands(OATS, step.amount) / TON for step in steps])
    assert column(drawn, "To ton") == pytest.approx(ends, abs=0.051)


def test_the_dot_of_an_offer_stands_where_selling_stops():
    drawn = keep(matter(), WORDS)
    root = drawing(drawn.svg)
    area = next(p for p in root.iter(f"{SVG}path") if p.get("d").endswith("Z"))
    xs = [float(p.split()[0]) for p in area.get("d")[1:-1].split(" L")]
    tons = column(drawn, "To ton")[-1]
    dots = [float(c.get("cx")) for c in root.iter(f"{SVG}circle")]
    read = [(x - xs[0]) / (xs[-1] - xs[0]) * tons for x in dots]
    # The feed store takes 9,000 kg of dry matter; the neighbor beats the first three steps.
    three = sum(step.amount for step in matter().keep[OATS][:3])
    wanted = [as_stands(OATS, kg) / TON for kg in (9000.0, three)]
    assert read == pytest.approx(wanted, abs=0.1)


def test_a_small_ranch_in_metric_units_is_drawn_in_tonnes():
    drawn = on_hand_picture(small(), Speaker(Reader(units="si")))
    tonnes = float(as_stands("Meadow grass", small().plan.stock("Meadow grass"))[0]) / 1000
    assert column(drawn, "Meadow grass")[0] == pytest.approx(tonnes, abs=0.051)
    assert "Tonnes on hand, as it stands" in words_in(drawn.svg)


@given(st.floats(1e-3, 1e6), st.integers(2, 9))
def test_an_axis_reaches_the_top_in_round_steps(top, most):
    found = ticks(top, most=most)
    assert found[0] == 0
    assert found[-1] >= top * (1 - 1e-6)
    assert found[-2] < top
    assert len(found) <= most + 1
    assert np.diff(found) == pytest.approx(found[1])


LOTS = st.lists(st.tuples(st.text("abcdefgh", min_size=1, max_size=14), st.lists(
    st.floats(0.6, 9), min_size=12, max_size=12)), min_size=1, max_size=6)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(LOTS)
def test_names_above_the_bands_never_touch_each_other(lots):
    x = np.linspace(40, 500, 12)
    under, bands = np.full(12, 300.0), []
    for name, thick in lots:
        bands.append(Band(name, x, under - np.array(thick), under, Fill("none")))
        under = bands[-1].upper
    placed = place_above(bands, under, 40, 500, 8.5)
    assert sorted(one.name for one in placed) == sorted(name for name, _ in lots)
    assert strip_height(placed, 8.5) > 8.5
    for one in placed:
        for other in placed:
            if one is not other and one.row == other.row:
                left, right = sorted((one, other), key=lambda a: a.left)
                assert left.left + wide(left.name, 8.5) < right.left
