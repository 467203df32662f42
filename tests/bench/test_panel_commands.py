"""Predictions held to account and the batches of a day together, at the command line."""

from __future__ import annotations

import json

import pytest
from typer.testing import CliRunner

from haywright.cli.bench import app
from haywright.cli.common import EXIT_HELD


def call(*args):
    return CliRunner().invoke(app, [str(one) for one in args])


def test_predictions_are_held_to_account_at_the_terminal(tmp_path):
    rows = [(30.0 + k, 30.0 + k + 0.2 * (-1) ** k) for k in range(10)]
    table = tmp_path / "pairs.csv"
    table.write_text("predicted,measured\n" + "".join(f"{a},{b}\n" for a, b in rows))
    good = call("predicted", table, "--of", "adf")
    assert good.exit_code == 0, good.output
    table.write_text("predicted,measured\n" + "".join(f"{a + 1.5},{b}\n" for a, b in rows))
    off = call("predicted", table, "--of", "adf", "--json")
    assert off.exit_code == EXIT_HELD
    assert json.loads(off.stdout)["bias_is_real"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("predicted,found\n1,2\n", "no column"),
        ("predicted,measured\n1,2\n3,\n4,5\n", "row 3"),
        ("predicted,measured\n1,2\n", "too few"),
    ],
)
def test_pairs_that_are_none_are_refused(tmp_path, text, told):
    table = tmp_path / "pairs.csv"
    table.write_text(text)
    result = call("predicted", table, "--of", "adf")
    assert result.exit_code == 2
    assert told in " ".join(result.output.split())


def test_the_batches_of_the_demo_say_together_what_their_reruns_changed():
    from importlib.resources import files

    batches = files("haywright.examples") / "valley" / "batches"
    result = call("panel", batches, "--json")
    assert result.exit_code in (0, EXIT_HELD), result.output
    found = json.loads(result.stdout)
    assert any(one["before"] != one["after"] for one in found["changed"])
    text = " ".join(call("panel", batches).output.split())
    assert "before the rerun" in text


def test_a_folder_without_batches_is_refused(tmp_path):
    result = call("panel", tmp_path)
    assert result.exit_code == 2
    assert "holds no batch" in " ".join(result.output.split())
