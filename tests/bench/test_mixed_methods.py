"""Different methods are different quantities: never one chart; a check without a limit is said."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from haywright.bench.findings import Outcome
from haywright.bench.pattern import determinations
from haywright.bench.run import run_batch
from haywright.files.batches import write_results
from haywright.files.check_history import history_of
from haywright.measure.errors import Refused
from haywright.words import say
from tests.bench.every_run import EVERY, two_stage
from tests.bench.runs import K, dried, minerals, run_of


def test_two_ways_of_drying_are_not_drawn_in_one_chart(tmp_path):
    for n, drying in enumerate(("oven_105c_3h", "oven_105c_3h", "oven_135c_2h")):
        made = replace(two_stage(), id=str(n))
        made = replace(made, choices={**made.choices, "drying_lab": drying})
        folder = tmp_path / str(n)
        folder.mkdir()
        write_results(folder, run_batch(made))
        if n == 1:
            assert len(history_of(tmp_path, "check", "lab_dm")) == 2
    with pytest.raises(Refused, match="methods_mixed"):
        history_of(tmp_path, "check", "lab_dm")


def test_a_check_sample_keeps_the_method_it_was_run_by():
    report = run_batch(two_stage())
    (method,) = {one["method"] for one in json.loads(json.dumps(report.to_json()))["checks"]}
    assert method == report.results[next(iter(report.results))][0].method


def test_an_interference_check_without_a_limit_is_said_not_passed():
    made = minerals()
    more = run_of([(K.INTERFERENCE, "iron", {"ca_mg_per_l": 10.0})])[0]
    last = max(p.order for p in made.positions)
    report = run_batch(replace(made, positions=(*made.positions, replace(more, order=last + 1))))
    found = [c for c in report.controls if c.kind == "interference"]
    assert [c.outcome for c in found] == [Outcome.NOT_JUDGED]


@pytest.mark.parametrize("name", determinations())
def test_every_determination_says_what_can_hurt(name):
    said = [say(one) for one in determinations()[name].said_cautions()]
    assert said
    assert all(said)


@pytest.mark.parametrize("name", [n for n in EVERY if "nitrate" in n])
def test_the_extractant_stands_with_the_nitrate(name):
    make, _ = EVERY[name]
    batch = make()
    (found,) = run_batch(batch, dried(*batch.bags)).results[batch.bags[0]]
    assert found.method.endswith("water")
