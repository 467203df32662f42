"""The comparison itself: what must fail, fails."""

from __future__ import annotations

import pytest

from tests.outside.outside import Case, differences


def case(expected, tolerance):
    return Case("here", "one", "", {}, expected, tolerance, "", "published")


@pytest.mark.parametrize(
    ("expected", "tolerance", "found"),
    [
        ({"x": 10.0}, {"relative": 0.01}, {"x": 10.1}),
        ({"x": 10.0}, {"absolute": 0.1}, {"x": 9.9}),
        ({"x": 10.0}, {"relative": 0.001, "absolute": 0.1}, {"x": 10.1}),
        ({"x": None, "y": "one", "z": True}, {"exact": True}, {"x": None, "y": "one", "z": True}),
        ({"x": [1, [2.0, "a"]]}, {"absolute": 0.1}, {"x": (1.05, [2.0, "a"])}),
        ({"flags_include": ["a"]}, {"exact": True}, {"flags": ["a", "b"]}),
        ({"flags": []}, {"exact": True}, {"flags": []}),
        ({"band_to": None}, {"relative": 0.1, "bands": "exact"}, {"band_to": None, "more": 1}),
    ],
)
def test_holds(expected, tolerance, found):
    assert differences(case(expected, tolerance), found) == []


@pytest.mark.parametrize(
    ("expected", "tolerance", "found"),
    [
        ({"x": 10.0}, {"relative": 0.01}, {"x": 10.11}),
        ({"x": 10.0}, {"absolute": 0.1}, {"x": 9.89}),
        ({"x": 10.0}, {"absolute": 0.1}, {}),
        ({"x": 10.0}, {"absolute": 0.1}, {"x": "10.0"}),
        ({"x": 10.0}, {"absolute": 0.1}, {"x": float("nan")}),
        ({"x": 10.0}, {"absolute": 0.1}, {"x": None}),
        ({"x": 1}, {"absolute": 1}, {"x": True}),
        ({"x": True}, {"exact": True}, {"x": 1}),
        ({"x": None}, {"exact": True}, {"x": 0}),
        ({"x": "one"}, {"exact": True}, {"x": "One"}),
        ({"x": [1, 2]}, {"absolute": 0}, {"x": [1]}),
        ({"x": ["a"]}, {"exact": True}, {"x": "a"}),
        ({"flags_include": ["a"]}, {"exact": True}, {"flags": ["b"]}),
        ({"flags": []}, {"exact": True}, {"flags": ["b"]}),
        ({"band_to": 0.5}, {"relative": 0.1, "bands": "exact"}, {"band_to": 0.51}),
        (
            {"max_share_of_ration_dm": 0.5},
            {"relative": 0.1, "bands": "exact"},
            {"max_share_of_ration_dm": 0.51},
        ),
    ],
)
def test_fails(expected, tolerance, found):
    assert differences(case(expected, tolerance), found) != []
