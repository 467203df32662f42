"""A season judged as arrays says of every batch what the batch says of itself."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta, timezone

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haywright.bag.codes import BagCode
from haywright.bench.batch import Batch, CheckMaterial, Position, Scatter
from haywright.bench.run import run_batch
from haywright.bench.season.judge import VERDICTS, Came, judge
from haywright.bench.season.reasons import kinds_of
from haywright.bench.season.table import season_of
from haywright.measure.errors import Refused
from haywright.measure.estimate import State
from tests.bench.runs import (
    BAG,
    BALANCE,
    DAY,
    DISPENSER,
    LAB_DM,
    OTHER,
    REAGENT,
    STRENGTHS,
    VOLUME,
    K,
    combustion,
    cup,
    dried,
    nitrate,
    peak,
)

EXACT = 1e-12
BAGS = [str(BagCode("HRN", n)) for n in range(1, 9)]
HISTORY = tuple(900.0 + 30.0 * np.sin(7.0 * k) for k in range(24))


def chance(rng, share):
    return rng.random() < share


def any_standards(rng):
    strengths = list(STRENGTHS)
    if chance(rng, 0.15):
        strengths = strengths[: rng.integers(3, 5)]
    if chance(rng, 0.2):
        strengths += [2.0, 10.0]
    if chance(rng, 0.2):
        strengths = [0.0, *strengths]
    noise = rng.normal(0.0, 0.003 if chance(rng, 0.85) else 0.1, len(strengths))
    read = [peak(c) + e for c, e in zip(strengths, noise, strict=True)]
    if chance(rng, 0.08):
        read[1], read[2] = read[2], read[1]
    return [
        (K.STANDARD, f"std {c:g}", {"known_mg_per_l": c, "peak": y})
        for c, y in zip(strengths, read, strict=True)
    ]


def any_blanks(rng):
    level = 0.7 if chance(rng, 0.1) else rng.uniform(0.0, 0.4)
    count = rng.integers(0, 4) if chance(rng, 0.2) else rng.integers(1, 4)
    rows = [
        (K.BLANK, "method blank", {"peak": peak(level + rng.normal(0.0, 0.01))})
        for _ in range(count)
    ]
    if chance(rng, 0.3):
        for n, (_, _, readings) in enumerate(rows):
            readings["dilution"] = 2.0 + (n if chance(rng, 0.2) else 0)
    return rows


def any_check(rng):
    off = rng.normal(0.0, 20.0) + (200.0 if chance(rng, 0.1) else 0.0)
    name = "barley check" if chance(rng, 0.05) else "oat check"
    return (K.CHECK, name, cup(900.0 + off, blank=0.1))


def any_verification(rng):
    read = 2.0 * (1.3 if chance(rng, 0.1) else rng.uniform(0.95, 1.05))
    return (K.VERIFICATION, "mid", {"known_mg_per_l": 2.0, "peak": peak(read)})


def any_bag(rng, bag):
    level = 10.0 ** rng.uniform(0.5, 3.8)
    rows = []
    for replicate in range(1, rng.integers(1, 3 if chance(rng, 0.8) else 6) + 1):
        kind = K.BAG if replicate == 1 else K.DUPLICATE
        wide = 0.3 if chance(rng, 0.15) else 0.03
        found = level * (1.0 + rng.normal(0.0, wide))
        grams = rng.uniform(0.25, 0.5)
        for attempt in range(1, 3 if chance(rng, 0.15) else 2):
            dilution = rng.choice([1.0, 1.0, 5.0, 20.0])
            readings = cup(found, grams=grams, dilution=dilution, blank=0.1)
            if chance(rng, 0.3):
                del readings["dilution"]
            if chance(rng, 0.03):
                del readings["peak"]
            if chance(rng, 0.03):
                readings["sample_g"] *= 1000.0
            if chance(rng, 0.02):
                readings["peak"] = -3.0
            rows.append((kind, bag, readings, replicate, attempt))
    return rows


def any_positions(rng):
    rows = [*any_standards(rng), *any_blanks(rng), any_verification(rng)]
    if not chance(rng, 0.05):
        rows += [any_check(rng) for _ in range(rng.integers(1, 3))]
    if chance(rng, 0.2):
        rows.append(
            (K.NITRITE_STANDARD, "nitrite", {"known_mg_per_l": 5.0, "peak": peak(5.0) * 1.1})
        )
    for bag in BAGS[: rng.integers(1, len(BAGS) + 1)]:
        rows += any_bag(rng, bag)
        if chance(rng, 0.2):
            rows.append(any_verification(rng))
    if not chance(rng, 0.1):
        rows.append(any_verification(rng))
    start = datetime(2026, 9, 22, 8, tzinfo=timezone.utc)
    timed, late = chance(rng, 0.3), chance(rng, 0.2)
    placed = []
    for order, (kind, sample, readings, *more) in enumerate(rows, 1):
        one = Position(order, kind, sample, readings, *more)
        minutes = -9 if late and order == len(rows) // 2 else order
        placed.append(replace(one, read_at=start + timedelta(minutes=minutes)) if timed else one)
    return tuple(placed)


def any_equipment(rng):
    late = replace(BALANCE, checked_on=DAY - timedelta(days=9))
    fine = (replace(BALANCE, repeatability=0.0002), replace(DISPENSER, repeatability=0.05), REAGENT)
    return (late, *fine[1:]) if chance(rng, 0.08) else fine


def any_shared(rng):
    weights = rng.choice(["none", "1/x", "1/x2"])
    history = {"nitrate_n": HISTORY} if chance(rng, 0.4) else {}
    own = {"nitrate_n": 30.0} if chance(rng, 0.5) else {}
    scatter = {}
    if chance(rng, 0.4):
        run = {"between_runs": 5.0, "between_runs_pct": 3.0} if chance(rng, 0.5) else {}
        scatter["nitrate_n"] = Scatter(
            repeat=8.0, repeat_pct=2.0, repeat_df=20.0, bias=4.0, bias_pct=1.0, bias_df=9.0, **run,
            **({"between_runs_df": 30.0} if run else {}),
        )  # fmt: skip
    limits = {"signal_top": 3.05, "column_efficiency_least_pct": 85.0} if chance(rng, 0.3) else {}
    return {
        "choices": {
            "extractant": "acetic_acid_2pct",
            "extract_volume_ml": VOLUME,
            "weights": str(weights),
            "curve": str(rng.choice(["line", "line", "through_origin"])),
        },
        "checks": {
            "oat check": CheckMaterial("oat check", {"nitrate_n": 900.0}, own, LAB_DM,
                                       history=history)
        },
        "scatter": scatter,
        "limits": limits,
        "rules": str(rng.choice(["action_limits", "western_electric", "nelson"])),
    }  # fmt: skip


def any_batches(seed, count):
    """Batches under names of their own: sources of doubt are known by name."""
    rng = np.random.default_rng(seed)
    shared = any_shared(rng)
    made = []
    for n in range(count):
        positions = any_positions(rng)
        voids = {p.order: "spilt" for p in positions if chance(rng, 0.02)}
        made.append(
            Batch(
                id=f"run {seed}-{n}",
                laboratory=f"bench {seed}",
                determination="nitrate",
                method="flow_injection",
                run_on=DAY,
                positions=positions,
                equipment=any_equipment(rng),
                voids=voids,
                **shared,
            )
        )
    return made


def same(found, expected):
    return found == pytest.approx(expected, rel=EXACT, nan_ok=True)


def held_kinds(report, bag):
    return {one.kind for one in report.controls if one.holds(bag, "nitrate_n")}


def compare(judged, batches, earlier):
    season = judged.season
    for number, batch in enumerate(batches):
        report = run_batch(batch, earlier)
        assert VERDICTS[judged.verdict[number]] is report.decision.verdict
        whole = {c.kind for c in report.controls if c.failed and c.bags is None}
        assert set(kinds_of(judged.batch_reasons[number])) == whole
        own = np.flatnonzero(season.bags.batch == number)
        assert [season.names[season.bags.sample[g]] for g in own] == list(batch.bags)
        for g in own:
            compare_bag(judged, g, report, season.names[season.bags.sample[g]])


def compare_bag(judged, g, report, bag):
    assert set(kinds_of(judged.reasons[g])) == held_kinds(report, bag)
    came = Came(judged.came[g])
    decision = report.decision
    assert (came is Came.RELEASED) == (bag in decision.released)
    assert (came is Came.HELD) == any(one.bag == bag for one in decision.held)
    assert (came is Came.BEYOND) == ((bag, "nitrate_n") in decision.beyond)
    assert (came is not Came.WAITING) or bag in decision.waiting
    found = report.results[bag]
    if not found:
        assert np.isnan(judged.value[g])
        return
    estimate = found[0].estimate
    assert same(judged.value[g], estimate.value)
    if estimate.state is State.HELD:
        return
    assert (estimate.state is State.ABOVE) == bool(judged.above[g])
    assert (estimate.state is State.BELOW) == bool(judged.below[g])
    assert same(judged.limit[g], estimate.limit.value if estimate.limit else np.nan)
    if estimate.state is not State.ABOVE:
        assert same(judged.u[g], estimate.u)
        assert judged.df[g] == pytest.approx(estimate.df, rel=1e-9)


@settings(deadline=None, max_examples=60)
@given(seed=st.integers(0, 2**32 - 1), count=st.integers(1, 4))
def test_a_season_says_of_each_batch_what_the_batch_says_of_itself(seed, count):
    batches = any_batches(seed, count)
    earlier = dried(*BAGS[: 5 + seed % 4], lab_dm=89.0 + seed % 7)
    compare(judge(season_of(batches, earlier)), batches, earlier)
