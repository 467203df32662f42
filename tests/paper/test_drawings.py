"""A drawing says in words and in a table what it shows, and draws to scale."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haywright.paper.drawings import (
    BaleMark,
    CoreWords,
    Face,
    MapWords,
    State,
    UsualWords,
    code_square,
    core_into_square,
    core_through_round,
    stack_map,
    usual_bar,
)
from haywright.paper.tokens import LIGHT, PAGE
from tests.paper.reading import SVG, drawing, words_in

MAP = MapWords("The stack", "Two faces", ("Walk", "Bale", "Face", "Tier"), "not reached")
CORE = CoreWords("The core", "An 18 in core", ("What", "Size"), (("core", "18 in"),), "60 in",
                 "18 in", "outside, 3 in", "15.8 in", ("never", "seen"))  # fmt: skip
BAR = UsualWords("84", "90", "Dry matter", "88.4 %; usual 84 to 90", ("This",), ("88.4 %",))
FACE = Face(
    "South <face> & barn",
    (
        BaleMark(1, 0, 0, State.PICKED, 2),
        BaleMark(2, 1, 0),
        BaleMark(3, 2, 0, State.UNREACHED),
        BaleMark(4, 0.5, 1, State.PICKED, 1),
    ),
)


def pictures():
    return [
        stack_map([FACE], MAP),
        stack_map([FACE], MAP, rectangular=True, palette=LIGHT),
        core_through_round(30, 18, CORE, rind=3, once=15.8),
        core_into_square(36, 14, 15, CORE, rind=1, palette=PAGE),
        usual_bar(88.4, BAR, usual=(84, 90), likely=(87.6, 89.2)),
        code_square("TFK-0117-63", title="Square code", description="It reads", head=("Bag",)),
    ]


@pytest.mark.parametrize("picture", pictures(), ids=lambda one: one.title)
def test_every_drawing_has_title_description_and_table_twin(picture):
    root = drawing(picture.svg)
    assert root.find(f"{SVG}title").text == picture.title
    assert root.find(f"{SVG}desc").text == picture.description
    assert picture.title
    assert picture.description
    assert picture.twin.rows
    assert all(len(row) == len(picture.twin.head) for row in picture.twin.rows)


@pytest.mark.parametrize("picture", pictures(), ids=lambda one: one.title)
def test_text_in_a_drawing_is_set_in_our_face_and_no_smaller_than_print_allows(picture):
    for one in drawing(picture.svg).iter(f"{SVG}text"):
        assert one.get("font-family") == "Source Sans 3"
        assert float(one.get("font-size")) >= 8.5


def test_print_uses_no_colour():
    for picture in pictures()[:1] + pictures()[2:3] + pictures()[4:]:
        for one in drawing(picture.svg).iter():
            for paint in (one.get("fill"), one.get("stroke")):
                if paint and paint.startswith("#"):
                    assert paint[1:3] == paint[3:5] == paint[5:7], paint


def test_the_walk_is_written_in_the_bales_and_told_in_the_table():
    drawn = stack_map([FACE], MAP)
    assert {"1", "2"} <= set(words_in(drawn.svg))
    assert drawn.twin.rows == (
        ("1", "4", FACE.name, "2"),
        ("2", "1", FACE.name, "1"),
        ("not reached", "3", FACE.name, "1"),
    )


def test_a_name_with_markup_is_only_a_name():
    assert FACE.name in words_in(stack_map([FACE], MAP).svg)


@settings(deadline=None)
@given(columns=st.integers(1, 400), tiers=st.integers(1, 6))
def test_every_bale_of_any_stack_stands_on_the_map_once_and_inside_it(columns, tiers):
    bales = [BaleMark(t * columns + c + 1, c, t) for t in range(tiers) for c in range(columns)]
    drawn = stack_map([Face("Long side", tuple(bales))], MAP)
    circles = list(drawing(drawn.svg).iter(f"{SVG}circle"))
    assert len(circles) == len(bales)
    for one in circles:
        r = float(one.get("r"))
        assert r > 4
        assert r <= float(one.get("cx")) <= drawn.width - r + 0.1
        assert r <= float(one.get("cy")) <= drawn.height - r


def test_the_core_is_drawn_to_scale():
    svg = core_through_round(30, 18, CORE, rind=3, once=15.8).svg
    circles = [float(one.get("r")) for one in drawing(svg).iter(f"{SVG}circle")]
    core = list(drawing(svg).iter(f"{SVG}rect"))[-1]
    assert float(core.get("width")) / max(circles) == pytest.approx(18 / 30, rel=0.01)
    # what is never seen is the bale less the core
    assert circles[-1] / max(circles) == pytest.approx(12 / 30, rel=0.01)


def test_a_core_through_the_middle_leaves_nothing_unseen():
    assert "never" in words_in(core_through_round(30, 18, CORE).svg)
    assert "never" not in words_in(core_through_round(30, 31, CORE).svg)


@settings(deadline=None)
@given(
    value=st.floats(0, 1e5),
    low=st.floats(0, 1e4),
    span=st.floats(0, 1e4),
    below=st.floats(0, 1e4),
    above=st.floats(0, 1e4),
)
def test_this_hay_and_usual_hay_always_stand_on_the_bar(value, low, span, below, above):
    drawn = usual_bar(
        value, BAR, usual=(low, low + span), likely=(max(0, value - below), value + above)
    )
    root = drawing(drawn.svg)
    dot = root.find(f"{SVG}circle")
    assert 0 <= float(dot.get("cx")) <= drawn.width
    straw = root.find(f"{SVG}rect")
    assert float(straw.get("x")) >= 0
    assert float(straw.get("x")) + float(straw.get("width")) <= drawn.width + 0.1
