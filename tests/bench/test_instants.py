"""Instants carry their offset: a run across midnight is in order, one run backwards is not."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.bench.readings import checked
from haywright.files.batches import read_batch
from haywright.words import say
from tests.bench.runs import BAG, OTHER

FORM = """
determination = "ash"
method = "furnace"
run_on = 2026-09-22

[[equipment]]
kind = "balance"
name = "balance 1"

[[equipment]]
kind = "furnace"
name = "furnace 1"
"""
BAGS = (BAG, OTHER)
MOUNTAIN = timezone(timedelta(hours=-6))


def batch_of(folder, instants):
    """A batch read from its files: one bag at each instant, given as text."""
    folder.mkdir(exist_ok=True)
    (folder / "batch.toml").write_text(FORM, encoding="utf-8")
    rows = ["position,kind,sample,replicate,read_at,crucible_g,sample_g,crucible_ash_g"]
    rows += [
        f"{n},bag,{BAGS[n % 2]},{n},{instant},22.1000,2.0000,22.2800"
        for n, instant in enumerate(instants, 1)
    ]
    (folder / "readings.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    return read_batch(folder)


def backwards(batch):
    from haywright.bench.pattern import determination

    _, said = checked(batch, determination(batch.determination).method(batch.method))
    return [one for one in said if one.failed]


def test_a_run_across_midnight_is_in_order(tmp_path):
    night = ("2026-09-22T23:50:00-06:00", "2026-09-22T23:58:00-06:00",
             "2026-09-23T00:06:00-06:00", "2026-09-23T00:14:00-06:00")  # fmt: skip
    assert backwards(batch_of(tmp_path / "night", night)) == []


def test_the_hour_that_comes_twice_in_autumn_is_in_order(tmp_path):
    """At 2:00 on 1 November 2026 the clocks of the western states go back to 1:00."""
    night = ("2026-11-01T01:40:00-06:00", "2026-11-01T01:55:00-06:00",
             "2026-11-01T01:05:00-07:00", "2026-11-01T01:20:00-07:00")  # fmt: skip
    assert backwards(batch_of(tmp_path / "autumn", night)) == []


def test_a_run_that_goes_backwards_is_named_with_its_places_and_rows(tmp_path):
    day = ("2026-09-22T10:00:00-06:00", "2026-09-22T10:20:00-06:00",
           "2026-09-22T10:10:00-06:00", "2026-09-22T10:30:00-06:00")  # fmt: skip
    (one,) = backwards(batch_of(tmp_path / "back", day))
    assert one.positions == (2, 3)
    assert one.bags is None
    said = say(one.said)
    assert re.search(r"[Rr]ow 4, position 3", said)
    assert re.search(r"[Rr]ow 3, position 2", said)


def test_an_instant_without_its_offset_is_refused_with_its_row(tmp_path):
    with pytest.raises(Exception, match=re.escape("bench.file.moment")) as caught:
        batch_of(tmp_path / "bare", ("2026-09-22T10:00:00",))
    assert "row 2, column read_at" in say(caught.value.messages()[0])


@given(
    st.lists(st.integers(0, 4000), min_size=2, max_size=6),
    st.lists(st.sampled_from([-9, -7, -6, 0, 2, 12]), min_size=6, max_size=6),
)
def test_order_is_judged_by_the_instant_and_not_by_the_clock(tmp_path_factory, minutes, offsets):
    start = datetime(2026, 9, 22, 20, 0, tzinfo=UTC)
    moments = [(start + timedelta(minutes=m)).astimezone(timezone(timedelta(hours=o)))
               for m, o in zip(minutes, offsets, strict=False)]  # fmt: skip
    batch = batch_of(tmp_path_factory.mktemp("run"), [one.isoformat() for one in moments])
    falls = [n for n in range(1, len(minutes)) if minutes[n] < minutes[n - 1]]
    assert [one.positions for one in backwards(batch)] == [(n, n + 1) for n in falls]
