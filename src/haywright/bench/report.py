"""The report of one batch: readings, calibration, controls, results, decision."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from haywright.bench.batch import Batch
from haywright.bench.calibration import Curve
from haywright.bench.decide import Decision, Verdict
from haywright.bench.findings import Control, Outcome
from haywright.bench.pattern import Determination, Method
from haywright.measure.estimate import State
from haywright.measure.message import Amount, Message, message
from haywright.measure.result import Result


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
    """

    batch: Batch
    determination: Determination
    method: Method
    results: Mapping[str, tuple[Result, ...]]
    controls: tuple[Control, ...]
    decision: Decision
    curves: Mapping[str, Curve]
    portions: Mapping[int, Mapping[str, float]]

    @property
    def held(self) -> bool:
        """Whether nothing of the batch may be released."""
        return self.decision.verdict is Verdict.HOLD

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
                yield _result_line(bag, one)
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
            "run_on": self.batch.run_on.isoformat(),
            "analyst": self.batch.analyst,
            "laboratory": self.batch.laboratory,
            "rerun_of": self.batch.rerun_of,
            "decision": self.decision.to_json(),
            "results": {
                bag: [one.to_json() for one in results] for bag, results in self.results.items()
            },
            "controls": [one.to_json() for one in self.controls],
            "curves": {name: curve.to_json() for name, curve in self.curves.items()},
            "portions": {str(place): dict(values) for place, values in self.portions.items()},
            "readings": [
                {
                    "position": one.order,
                    "kind": one.kind.value,
                    "sample": one.sample,
                    "replicate": one.replicate,
                    "attempt": one.attempt,
                    "void": self.batch.voids.get(one.order, ""),
                    **dict(one.readings),
                }
                for one in self.batch.positions
            ],
            "cautions": [one.to_json() for one in self.cautions],
        }


def _result_line(bag: str, one: Result) -> Message:
    amount = Amount(one.value, one.unit, basis=str(one.basis), analyte=one.analyte)
    quantity = message("measure.quantity", id=one.analyte)
    state = one.estimate.state
    if state is State.MEASURED:
        from haywright.bench.scatter import expanded

        half, _ = expanded(one.estimate)
        spread = Amount(half, one.unit, analyte=one.analyte)
        return message(
            "bench.report.result", bag=bag, quantity=quantity, amount=amount, spread=spread
        )
    if state is State.HELD:
        return message("bench.report.result_held", bag=bag, quantity=quantity)
    limit = one.estimate.limit.value if one.estimate.limit else one.value
    edge = Amount(limit, one.unit, basis=str(one.basis), analyte=one.analyte)
    key = "below" if state is State.BELOW else "above"
    return message(f"bench.report.result_{key}", bag=bag, quantity=quantity, limit=edge)
