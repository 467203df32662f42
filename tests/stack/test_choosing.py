"""Which bales are drawn: anyone can draw them again, none is favoured, each stratum is served."""

from __future__ import annotations

import shutil
import subprocess
from collections import Counter
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.measure.errors import Refused
from haywright.stack import choosing

SIZES = st.lists(st.integers(1, 60), min_size=1, max_size=8)


def test_a_key_is_the_sha256_that_any_other_tool_gives():
    tool = shutil.which("sha256sum") or shutil.which("shasum")
    assert tool, "the system's own SHA-256 is needed"
    words = [tool] if tool.endswith("sum") and "sha256" in tool else [tool, "-a", "256"]
    said = subprocess.run(words, input=b"lot 31:17", capture_output=True, check=True).stdout
    assert choosing.bale_key("lot 31", 17) == said.split()[0].decode()


@given(st.text(max_size=20), st.integers(1, 200), st.data())
def test_the_same_seed_draws_the_same_bales_whatever_the_order(seed, lot, data):
    n = data.draw(st.integers(0, lot))
    drawn = choosing.draw(seed, range(1, lot + 1), n)
    assert drawn == choosing.draw(seed, reversed(range(1, lot + 1)), n)
    assert len(set(drawn)) == n
    assert set(drawn) <= set(range(1, lot + 1))


@given(st.text(max_size=20), st.integers(2, 80), st.data())
def test_drawing_one_more_keeps_the_ones_drawn(seed, lot, data):
    n = data.draw(st.integers(1, lot - 1))
    bales = range(1, lot + 1)
    assert set(choosing.draw(seed, bales, n)) < set(choosing.draw(seed, bales, n + 1))


def test_no_bale_is_favoured():
    times = Counter(b for s in range(4000) for b in choosing.draw(str(s), range(1, 41), 10))
    # 1000 expected each, standard deviation 27
    assert min(times.values()) > 1000 - 5 * 27
    assert max(times.values()) < 1000 + 5 * 27


@given(SIZES, st.data())
def test_strata_are_served_in_proportion(sizes, data):
    n = data.draw(st.integers(0, sum(sizes)))
    given_ = choosing.allocate(sizes, n)
    assert sum(given_) == n
    assert all(0 <= k <= size for k, size in zip(given_, sizes, strict=True))
    if n >= len(sizes):
        assert min(given_) >= 1
    for size, k in zip(sizes, given_, strict=True):
        # whole bales by largest remainder; a stratum that would get none takes one from the rest
        assert abs(k - n * size / sum(sizes)) < 1 + len(sizes)


@given(st.integers(1, 300), st.data(), st.floats(0, 1, exclude_max=True))
def test_every_nth_bale_is_evenly_spaced(lot, data, u):
    n = data.draw(st.integers(1, lot))
    drawn = choosing.systematic(lot, n, u)
    assert len(set(drawn)) == n
    assert drawn[0] >= 1
    assert drawn[-1] <= lot
    steps = {b - a for a, b in pairwise(drawn)}
    assert len(steps) <= 2
    assert max(steps, default=0) - min(steps, default=0) <= 1


@given(st.text(max_size=20))
def test_the_random_start_is_one(seed):
    assert 0 <= choosing.random_start(seed) < 1


def test_clock_positions_go_all_round():
    hours = Counter(choosing.clock("seed", bale) for bale in range(1, 2001))
    assert set(hours) == {1, 2, 3, 4, 5}
    assert min(hours.values()) > 300


@pytest.mark.parametrize(
    "make",
    [
        lambda: choosing.draw("s", [1, 2], 3),
        lambda: choosing.systematic(10, 0, 0.5),
        lambda: choosing.systematic(10, 11, 0.5),
        lambda: choosing.systematic(10, 5, 1.0),
        lambda: choosing.allocate([], 1),
        lambda: choosing.allocate([0, 0], 0),
        lambda: choosing.allocate([3, -1], 1),
        lambda: choosing.allocate([3, 4], 8),
    ],
)
def test_impossible_draws_are_refused(make):
    with pytest.raises(Refused):
        make()
