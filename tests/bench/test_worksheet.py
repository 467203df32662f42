"""The order of a run: drawn by a seed anyone can work again, controls where the rule puts them."""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chisquare
from typer.testing import CliRunner

from haywright.bag.codes import BagCode
from haywright.bench.batch import PositionKind
from haywright.bench.pattern import determination, determinations
from haywright.bench.worksheet import EVERY, Arrangement, Asked, kinds_of, run_order
from haywright.cli.bench import app
from haywright.files.batches import read_batch
from haywright.measure.errors import HaywrightError, Refused, UnknownName

RUNNER = CliRunner()
K = PositionKind
NITRATE = determination("nitrate").method("flow_injection")
ADF = determination("adf").method("filter_bag")
OF_BAGS = (K.BAG, K.DUPLICATE, K.SPIKE)


def bags(n):
    return [str(BagCode("HRN", number)) for number in range(1, n + 1)]


def samples(order):
    """The places of hay, in the order of the run."""
    return [(one.kind, one.sample, one.replicate) for one in order.positions
            if one.kind in OF_BAGS]  # fmt: skip


asked = st.builds(
    Asked,
    by=st.sampled_from(Arrangement),
    seed=st.text(max_size=8),
    replicates=st.integers(1, 4),
    counts=st.dictionaries(st.sampled_from([K.SPIKE, K.DUPLICATE]), st.integers(0, 3)),
    every=st.integers(1, 15),
    tray=st.integers(0, 12),
)


@given(asked, st.integers(3, 30))
def test_every_bag_stands_once_for_every_portion_asked_for(what, n):
    order = run_order(NITRATE, bags(n), what)
    portions = Counter((one.sample, one.replicate) for one in order.positions
                       if one.kind in (K.BAG, K.DUPLICATE))  # fmt: skip
    assert set(portions.values()) == {1}
    for code in bags(n):
        own = sorted(replicate for sample, replicate in portions if sample == code)
        assert own[: what.replicates] == list(range(1, what.replicates + 1))
        assert own == list(range(1, len(own) + 1))
    assert [one.order for one in order.positions] == list(range(1, len(order.positions) + 1))


@given(asked, st.integers(3, 30))
def test_no_sample_stands_outside_two_checks_and_no_more_than_asked_between_them(what, n):
    kinds = [one.kind for one in run_order(NITRATE, bags(n), what).positions]
    inside = kinds[kinds.index(K.VERIFICATION) :]
    assert inside[-1] is K.VERIFICATION
    assert not set(kinds[: kinds.index(K.VERIFICATION)]) & {*OF_BAGS, K.CHECK}
    between = "".join("v" if one is K.VERIFICATION else "s" for one in inside).split("v")
    assert max(map(len, between)) <= what.every


@given(asked, st.integers(3, 20), st.randoms(use_true_random=False))
def test_the_order_in_which_bags_are_named_does_not_change_a_random_run(what, n, shuffle):
    if what.by is not Arrangement.COMPLETE:
        return
    named = bags(n)
    shuffle.shuffle(named)
    assert run_order(NITRATE, named, what) == run_order(NITRATE, bags(n), what)


def test_the_keys_can_be_worked_again_without_this_program():
    """The rule as written in the module, worked with hashlib alone."""
    order = run_order(ADF, bags(9), Asked(seed="any text"))
    (again,) = [sample for kind, sample, _ in samples(order) if kind is K.DUPLICATE]

    def digest(text):
        return hashlib.sha256(text.encode("utf-8")).hexdigest()

    portions = [(code, 1) for code in bags(9)]
    portions.append((min(bags(9), key=lambda c: digest(f"any text:{c}:duplicate")), 2))
    assert again == portions[-1][0]
    portions.sort(key=lambda portion: digest(f"any text:{portion[0]}:{portion[1]}"))
    assert [(sample, replicate) for _, sample, replicate in samples(order)] == portions


def test_another_seed_gives_another_run():
    runs = {tuple(samples(run_order(ADF, bags(8), Asked(seed=str(n))))) for n in range(50)}
    assert len(runs) == 50


def test_every_bag_comes_to_every_place_equally_often():
    """Outside check: chi-square of scipy over 4,000 seeds; a fair draw fails once in a million."""
    n, seeds = 6, 4000
    counts = Counter()
    for seed in range(seeds):
        what = Asked(seed=f"run {seed}", counts={K.DUPLICATE: 0})
        order = run_order(ADF, bags(n), what)
        counts.update((code, place) for place, (_, code, _) in enumerate(samples(order)))
    table = [counts[code, place] for code in bags(n) for place in range(n)]
    # Rows and columns are fixed: (n - 1)^2 degrees of freedom.
    lost = n * n - 1 - (n - 1) ** 2
    assert chisquare(table, ddof=lost).pvalue > 1e-6


def test_all_orders_of_four_bags_come_up_alike():
    """Outside check: chi-square of scipy over the 24 orders; the duplicate drawn alike too."""
    orders, twice = Counter(), Counter()
    for seed in range(4800):
        drawn = samples(run_order(ADF, bags(4), Asked(seed=str(seed))))
        orders[tuple(code for kind, code, _ in drawn if kind is K.BAG)] += 1
        twice.update(code for kind, code, _ in drawn if kind is K.DUPLICATE)
    assert len(orders) == 24
    assert chisquare(list(orders.values())).pvalue > 1e-6
    assert chisquare(list(twice.values())).pvalue > 1e-6


def test_a_tray_keeps_its_bags_together_and_mixes_them():
    what = Asked(by=Arrangement.WITHIN_TRAYS, seed="trays", tray=5, counts={K.DUPLICATE: 0})
    order = [code for _, code, _ in samples(run_order(ADF, bags(20), what))]
    given_order = bags(20)
    assert order != given_order
    for start in range(0, 20, 5):
        assert set(order[start : start + 5]) == set(given_order[start : start + 5])


def test_rounds_of_all_bags_are_randomised_blocks():
    """Randomised complete blocks: every bag once in every round, each round in its own order."""
    what = Asked(by=Arrangement.WITHIN_TRAYS, seed="rounds", replicates=3)
    order = [code for _, code, _ in samples(run_order(ADF, bags(7), what))]
    rounds = [order[n : n + 7] for n in (0, 7, 14)]
    assert all(sorted(one) == sorted(bags(7)) for one in rounds)
    assert len({tuple(one) for one in rounds}) == 3


def test_as_given_nothing_moves():
    order = samples(run_order(ADF, bags(5), Asked(by=Arrangement.AS_GIVEN)))
    assert [code for kind, code, _ in order if kind is K.BAG] == bags(5)
    assert order[-1] == (K.DUPLICATE, bags(5)[0], 2)


def test_a_nitrate_run_is_checked_after_its_calibration_every_ten_and_at_the_end():
    """US EPA method 353.2, rev. 2.0, 9.3.4: instrument check right after calibration, after
    every tenth sample and at the end of the run (as kept in the facts of the bench)."""
    what = Asked(seed="353.2", counts={K.SPIKE: 1})
    order = run_order(NITRATE, bags(20), what)
    kinds = [one.kind for one in order.positions]
    assert EVERY == 10
    last_standard = max(n for n, kind in enumerate(kinds) if kind is K.STANDARD)
    checks = [n for n, kind in enumerate(kinds) if kind is K.VERIFICATION]
    assert checks[0] == last_standard + 1
    # 20 bags, a duplicate, a spike and a check sample: 23 samples in groups of 10, 10 and 3.
    assert [b - a - 1 for a, b in pairwise(checks)] == [10, 10, 3]
    assert checks[-1] == len(kinds) - 1
    assert Counter(kinds) == {
        K.BAG: 20, K.DUPLICATE: 1, K.SPIKE: 1, K.BLANK: 1, K.CHECK: 1, K.STANDARD: 5,
        K.VERIFICATION: 4,
    }  # fmt: skip


def test_a_fiber_run_takes_two_empty_bags_a_check_sample_and_a_duplicate():
    """The usual make-up of a gravimetric batch (common practice, as kept in the facts)."""
    kinds = Counter(one.kind for one in run_order(ADF, bags(20)).positions)
    assert kinds == {K.BAG: 20, K.BLANK: 2, K.CHECK: 1, K.DUPLICATE: 1}


def test_further_check_samples_are_spread_to_the_end_of_the_run():
    order = run_order(ADF, bags(9), Asked(seed="x", counts={K.CHECK: 3, K.DUPLICATE: 1}))
    hay = [one.kind for one in order.positions if one.kind is not K.BLANK]
    assert [n for n, kind in enumerate(hay) if kind is K.CHECK] == [0, 6, 12]


@pytest.mark.parametrize("of", determinations())
def test_every_method_gets_the_controls_it_asks_for(of):
    for method in determination(of).methods.values():
        kinds = Counter(one.kind for one in run_order(method, bags(4)).positions)
        for kind, least in method.make_up.items():
            assert kinds[kind] >= least


def test_what_cannot_be_a_run_is_named():
    with pytest.raises(Refused, match="bag_twice"):
        run_order(ADF, [bags(1)[0]] * 2)
    with pytest.raises(Refused, match="few"):
        run_order(NITRATE, bags(3), Asked(counts={K.STANDARD: 4}))
    with pytest.raises(Refused, match="many"):
        run_order(NITRATE, bags(3), Asked(counts={K.SPIKE: 4}))
    with pytest.raises(UnknownName):
        run_order(ADF, bags(3), Asked(counts={K.SPIKE: 1}))
    for wrong in ({"replicates": 0}, {"every": 0}, {"tray": -1}):
        with pytest.raises(Refused, match="count"):
            Asked(**wrong)
    assert K.SPIKE in kinds_of(NITRATE)


@given(asked, st.lists(st.sampled_from(bags(12)), max_size=14), st.sampled_from([NITRATE, ADF]))
def test_any_wish_gives_a_run_or_a_refusal_in_words(what, codes, method):
    try:
        order = run_order(method, codes, what)
    except HaywrightError as error:
        assert error.messages()
    else:
        assert {one.sample for one in order.positions if one.kind in OF_BAGS} == set(codes)


def laid_out(tmp_path, *more):
    folder = tmp_path / "2026-09-22-nitrate"
    named = [word for code in bags(12) for word in ("--bag", code)]
    done = RUNNER.invoke(app, ["worksheet", str(folder), "--of", "nitrate", "--by",
                               "flow_injection", "--day", "2026-09-22", *named, *more])  # fmt: skip
    return folder, done


def test_the_worksheet_and_the_table_to_fill_in_hold_one_order(tmp_path):
    folder, done = laid_out(tmp_path, "--control", "spike=1", "--json")
    assert done.exit_code == 0, done.output
    said = json.loads(done.stdout)
    order = run_order(NITRATE, bags(12), Asked(seed=folder.name, counts={K.SPIKE: 1}))
    batch = read_batch(folder)
    rows = [(one.order, one.kind, one.sample, one.replicate) for one in order.positions]
    assert [(p.order, p.kind, p.sample, p.replicate) for p in batch.positions] == rows
    assert [tuple(one.values()) for one in said["positions"]] == rows
    assert not any(one.readings for one in batch.positions)
    assert (batch.ordered_by, batch.seed) == ("complete", folder.name)


def test_a_batch_that_is_there_is_printed_and_never_laid_out_again(tmp_path):
    folder, _ = laid_out(tmp_path)
    before = (folder / "readings.csv").read_bytes()
    again = RUNNER.invoke(app, ["worksheet", str(folder), "--json"])
    assert again.exit_code == 0
    assert json.loads(again.stdout)["written"] == []
    _, refused = laid_out(tmp_path)
    assert refused.exit_code == 2
    assert (folder / "readings.csv").read_bytes() == before


@pytest.mark.parametrize("wrong", [
    ("--order", "sideways"), ("--control", "spike"), ("--control", "cups=2"), ("--portions", "0"),
    ("--every", "0"), ("--tray", "-1"), ("--control", "spike=99"),
])  # fmt: skip
def test_a_wish_that_cannot_be_met_is_refused_in_words_and_writes_nothing(tmp_path, wrong):
    folder, done = laid_out(tmp_path, *wrong)
    assert done.exit_code == 2
    assert "Traceback" not in done.output
    assert not folder.exists()
