"""Charts are drawn without the network, in our face, with their words and their table."""

from __future__ import annotations

import json
import math

import pytest

from haywright.paper.charts import ChartWords, budget_chart, half_width_chart
from haywright.paper.hill import GuideRow, Post, hill_chart, rings_of
from haywright.paper.svg import Table
from haywright.paper.tokens import LIGHT, PRINT
from tests.paper.reading import SVG, drawing, words_in

WORDS = ChartWords("A title", "What is to be seen", "Cores", "± points of protein",
                   Table(("Cores", "±"), (("20", "0.6"),)))  # fmt: skip
BALES = [400 + 60 * n for n in range(60)]
POSTS = [Post(2000, "Bred cows: a bale past 2,000", "about 33 of your 60 bales, 28 to 38"),
         Post(4000, "All stock: a bale past 4,000")]  # fmt: skip


def hill(palette=PRINT, bales=BALES):
    return hill_chart(
        bales, WORDS, posts=POSTS, other_form=4.4268, bag=(1120, 890, 1460),
        bag_words="the bag: 1,120, likely 890 to 1,460",
        rows=[GuideRow(0, 1000, "no limit"), GuideRow(1000, None, "do not feed")],
        palette=palette,
    )  # fmt: skip


def half_width(palette=PRINT):
    points = [(n, 2 / math.sqrt(n)) for n in (1, 2, 5, 10, 20, 40)]
    return half_width_chart(points, WORDS, chosen=20, chosen_words="20 cores: ± 0.4", target=0.5,
                            target_words="asked for", floor=0.2, floor_words="the laboratory",
                            palette=palette)  # fmt: skip


def budget(palette=PRINT):
    return budget_chart([("Between bales", 0.6, "60 %"), ("Laboratory", 0.4, "40 %")], WORDS,
                        palette=palette)  # fmt: skip


CHARTS = [hill, half_width, budget]


@pytest.mark.parametrize("chart", CHARTS)
def test_every_chart_has_title_description_and_table_twin(chart):
    drawn = chart()
    root = drawing(drawn.svg)
    assert root.find(f"{SVG}title").text == WORDS.title
    assert root.find(f"{SVG}desc").text == WORDS.description
    assert drawn.twin is WORDS.twin


@pytest.mark.parametrize("chart", CHARTS)
def test_chart_text_is_set_in_our_face_and_no_smaller_than_print_allows(chart):
    for one in drawing(chart().svg).iter(f"{SVG}text"):
        assert "Source Sans 3" in one.get("font-family")
        assert float(one.get("font-size").removesuffix("px")) >= 8.5


@pytest.mark.parametrize("chart", CHARTS)
def test_a_chart_uses_the_tokens_colours_only(chart):
    for palette in (LIGHT, PRINT):
        known = {getattr(palette, name) for name in palette.__slots__} | {"none", "transparent"}
        used = {one.get(paint) for one in drawing(chart(palette).svg).iter()
                for paint in ("fill", "stroke")}  # fmt: skip
        assert used - {None} <= known


def test_the_words_of_a_chart_stand_in_it():
    said = " ".join(words_in(half_width().svg))
    for one in ("20 cores: ± 0.4", "asked for", "the laboratory", "Cores", "± points of protein"):
        assert one in said
    for one in ("4,430", "17,710", "about 33 of your 60 bales", "no limit", "the bag: 1,120"):
        assert one in " ".join(words_in(hill().svg)), one


def rings(svg, fill):
    """Circles of the hill with one fill, as vega writes them: paths of role mark."""
    return [one for one in drawing(svg).iter(f"{SVG}path") if one.get("fill") == fill]


def test_there_is_one_ring_for_every_bale_and_open_ones_past_the_fence():
    drawn = hill()
    past = sum(1 for one in BALES if one >= 2000)
    straw = [one for one in rings(drawn.svg, PRINT.straw) if "A" in one.get("d")]
    open_ = [one for one in rings(drawn.svg, PRINT.paper) if "A" in one.get("d")]
    assert (len(straw), len(open_)) == (len(BALES) - past, past)


def test_even_hay_is_a_pile_that_fits_a_page_with_a_ring_for_every_bale():
    """Where all bales are alike and far below the line, they stand in one pile."""
    drawn = hill(bales=[120.0] * 110)
    straw = [one for one in rings(drawn.svg, PRINT.straw) if "A" in one.get("d")]
    assert len(straw) == 110
    _, _, wide, high = map(float, drawing(drawn.svg).get("viewBox").split())
    assert high < 2 * wide


def test_over_120_bales_a_ring_stands_for_several():
    shown, each = rings_of([float(n) for n in range(500)])
    assert each == 5
    assert len(shown) == 100
    assert rings_of([1.0] * 120)[1] == 1


def test_a_bale_with_markup_in_its_words_stays_words():
    words = ChartWords("<b>", "a & b", "x", "y", WORDS.twin)
    drawn = budget_chart([("<script>", 1.0, '"&"')], words)
    assert {"<script>", '"&"'} <= set(words_in(drawn.svg))
    assert json.dumps(drawn.svg)
