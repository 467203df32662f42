"""What was said can be kept as plain JSON and said again, word for word."""

from __future__ import annotations

import json
import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.measure.message import Amount, Message, message

UNITS = st.sampled_from(["%", "mg/kg", "kg", ""])
NUMBERS = st.floats(allow_nan=False)
AMOUNTS = st.builds(
    Amount, NUMBERS, UNITS, st.sampled_from(["", "dry matter"]),
    st.sampled_from(["", "cp"]), st.sampled_from([None, 1]),
)  # fmt: skip
VALUES = st.recursive(
    st.one_of(st.text(max_size=10), NUMBERS, st.integers(-9, 9), AMOUNTS, st.none()),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(tuple),
        st.builds(lambda one: message("measure.held", one=one), inner),
    ),
    max_leaves=6,
)


@given(st.dictionaries(st.sampled_from(["a", "b", "c"]), VALUES, max_size=3))
def test_a_message_comes_back_as_it_was_kept(args):
    said = Message("measure.held", args)
    kept = json.loads(json.dumps(said.to_json(), allow_nan=False))
    assert Message.from_json(kept) == said


def test_what_has_no_end_is_kept_as_json_and_comes_back():
    said = message("measure.held", most=math.inf, least=-math.inf)
    kept = json.dumps(said.to_json(), allow_nan=False)
    assert Message.from_json(json.loads(kept)) == said


def test_a_day_comes_back_as_a_day_and_is_said_as_one():
    said = message("measure.held", day=date(2026, 9, 14), batch="2026-09-14")
    assert Message.from_json(json.loads(json.dumps(said.to_json()))) == said


@pytest.mark.parametrize(
    "text", ["2026-09-14", "2026-13-40", "2026-9-14", "20260914", "2026-09-14 "]
)
def test_a_text_stays_a_text_though_it_looks_like_a_day(text):
    said = message("measure.held", text=text)
    assert Message.from_json(json.loads(json.dumps(said.to_json()))) == said
