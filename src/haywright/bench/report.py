"""The report of one batch: readings, calibration, controls, results, decision."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from haywright.bench.bags import method_name
from haywright.bench.batch import Batch, Equipment
from haywright.bench.budgets import Budget, budgets
from haywright.bench.calibration import Curve
from haywright.bench.chain import Known
from haywright.bench.decide import Decision, Verdict
from haywright.bench.findings import Control, Outcome
from haywright.bench.judged import CheckFound
from haywright.bench.pattern import Determination, Lead, Method
from haywright.bench.read_back import curves_json
from haywright.bench.scatter import expanded
from haywright.measure.analytes import quantity
from haywright.measure.estimate import State
from haywright.measure.message import Amount, Message, message
from haywright.measure.result import Result

_MOST_DIGITS = 6


@dataclass(frozen=True)
class BatchReport:
    """What came of one batch.

    Parameters
    ----------
    batch, determination, method
        What was run.
    results
        Bag -> its results; those a control holds are held, with the reason and the raw value.
    controls
        Every control, in the order judged.
    decision
        What may be released.
    curves
        Calibration curves by name.
    portions
        Place in the run -> what that portion gave, by name [unit of the quantity].
    members
        (bag, name of what a portion gives) -> the portions that counted, for a rerun that adds
        to them.
    checks
        What the check samples gave.
    before
        Bag -> its results in the batch that this one reruns.
    """

    batch: Batch
    determination: Determination
    method: Method
    results: Mapping[str, tuple[Result, ...]]
    controls: tuple[Control, ...]
    decision: Decision
    curves: Mapping[str, Curve]
    portions: Mapping[int, Mapping[str, float]]
    members: Mapping[tuple[str, str], tuple[Known, ...]] = field(default_factory=dict)
    checks: tuple[CheckFound, ...] = ()
    before: Mapping[str, tuple[Result, ...]] = field(default_factory=dict)

    @property
    def budgets(self) -> tuple[Budget, ...]:
        """Where the doubt of each settled result comes from."""
        return budgets(self.batch, self.results)

    @property
    def held(self) -> bool:
        """Whether nothing of the batch may be released."""
        return self.decision.verdict is Verdict.HOLD

    def left_open(self, bag: str, lead: Lead) -> tuple[Known, ...]:
        """Portions of a bag that only their own disagreement holds; a rerun adds to them.

        Portions that anything else holds are void for that cause, and a rerun stands alone.
        """
        reasons = [c for c in self.controls for a in lead.analytes if c.holds(bag, a)]
        only_duplicates = bool(reasons) and all(c.kind == "duplicate" for c in reasons)
        return self.members.get((bag, lead.portion), ()) if only_duplicates else ()

    @property
    def cautions(self) -> tuple[Message, ...]:
        """What can hurt the people who run it."""
        return self.determination.said_cautions()

    def lines(self) -> Iterator[Message]:
        """The report in words: decision, results, controls that were not passed."""
        yield message(
            "bench.report.head",
            batch=self.batch.id,
            determination=self.determination.name,
            method=self.method.label,
            day=self.batch.run_on,
            n=len(self.batch.bags),
        )
        yield from self.decision.lines()
        for bag, results in self.results.items():
            for one in results:
                yield result_line(bag, one)
        yield from self._looked_at()

    def _looked_at(self) -> Iterator[Message]:
        passed = sum(c.outcome is Outcome.PASSED for c in self.controls)
        yield message("bench.report.controls_passed", n=passed)
        for outcome in (Outcome.WARNED, Outcome.NOT_JUDGED):
            said = dict.fromkeys(c.said for c in self.controls if c.outcome is outcome)
            for one in said:
                yield message(f"bench.report.{outcome.name.lower()}", said=one)

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values: enough to print the report and to lean on its results."""
        return {
            "batch": self.batch.id,
            "determination": self.determination.id,
            "method": self.method.id,
            "choices": dict(self.batch.choices),
            "run_on": self.batch.run_on.isoformat(),
            "ordered_by": self.batch.ordered_by,
            "seed": self.batch.seed,
            "analyst": self.batch.analyst,
            "laboratory": self.batch.laboratory,
            "rerun_of": self.batch.rerun_of,
            "rerun_cause": self.batch.rerun_cause,
            "decision": self.decision.to_json(),
            "results": {
                bag: [one.to_json() for one in results] for bag, results in self.results.items()
            },
            "controls": [one.to_json() for one in self.controls],
            "checks": [
                {
                    "name": one.name,
                    "analyte": one.analyte,
                    "found": one.found,
                    "method": method_name(self.method, self.batch),
                }
                for one in self.checks
            ],
            "before": {
                bag: [one.to_json() for one in results] for bag, results in self.before.items()
            },
            "budgets": [one.to_json() for one in self.budgets],
            "equipment": [_tool(one) for one in self.batch.equipment],
            "curves": curves_json(self.batch, self.method, self.curves),
            "portions": {
                str(place): {name: one for name, one in values.items() if not math.isnan(one)}
                for place, values in self.portions.items()
            },
            "readings": [
                {
                    "position": one.order,
                    "kind": one.kind.value,
                    "sample": one.sample,
                    "replicate": one.replicate,
                    "attempt": one.attempt,
                    **({"vessel": one.vessel} if one.vessel else {}),
                    "void": self.batch.voids.get(one.order, ""),
                    **({"read_at": one.read_at.isoformat()} if one.read_at else {}),
                    **dict(one.readings),
                }
                for one in self.batch.positions
            ],
            "cautions": [one.to_json() for one in self.cautions],
        }


def _tool(one: Equipment) -> dict[str, Any]:
    return {
        "kind": one.kind,
        "name": one.name,
        "checked_on": one.checked_on.isoformat() if one.checked_on else None,
        "checks": [list(pair) for pair in one.checks],
        "tolerance": one.tolerance,
        "lot": one.lot,
        "expires": one.expires.isoformat() if one.expires else None,
    }


def digits_of(analyte: str, half: float) -> int | None:
    """Decimals that leave something of a spread [unit of the result]; the usual ones if enough."""
    digits = quantity(analyte).digits
    while digits is not None and digits < _MOST_DIGITS and 0 < half < 0.5 * 10.0**-digits:
        digits += 1
    return digits


def result_line(bag: str, one: Result) -> Message:
    """One result of a bag in a line."""
    amount = Amount(one.value, one.unit, basis=str(one.basis), analyte=one.analyte)
    named = message("measure.quantity", id=one.analyte)
    state = one.estimate.state
    if state is State.MEASURED:
        half, _ = expanded(one.estimate)
        spread = Amount(half, one.unit, analyte=one.analyte, digits=digits_of(one.analyte, half))
        return message("bench.report.result", bag=bag, quantity=named, amount=amount, spread=spread)
    if state is State.HELD:
        return message("bench.report.result_held", bag=bag, quantity=named)
    limit = one.estimate.limit.value if one.estimate.limit else one.value
    edge = Amount(limit, one.unit, basis=str(one.basis), analyte=one.analyte)
    key = "below" if state is State.BELOW else "above"
    return message(f"bench.report.result_{key}", bag=bag, quantity=named, limit=edge)
