"""What may be released, what is held and why, what has to be run again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from haywright.bench.control import joined
from haywright.bench.findings import Control
from haywright.measure.estimate import Estimate, State
from haywright.measure.message import Message, message
from haywright.measure.result import Result


class Verdict(StrEnum):
    """What becomes of a batch."""

    RELEASE = "release"
    IN_PART = "release in part"
    WAIT = "wait"
    HOLD = "hold"


@dataclass(frozen=True, slots=True)
class Held:
    """One result that is held, and why."""

    bag: str
    analyte: str
    reasons: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class Decision:
    """What may be released.

    Parameters
    ----------
    verdict
        Release, release in part, wait for earlier results, hold.
    released
        Bag -> results that may go out.
    held
        Results that may not, each with its reasons.
    beyond
        (bag, result) above what the method can measure; they settle nothing until rerun.
    waiting
        Bag -> results of earlier batches that its own wait for.
    reruns
        What to run again.
    powder
        What powder is left for that, and what it takes.
    """

    verdict: Verdict
    released: Mapping[str, tuple[str, ...]]
    held: tuple[Held, ...]
    beyond: tuple[tuple[str, str], ...]
    waiting: Mapping[str, tuple[str, ...]]
    reruns: tuple[Message, ...]
    powder: tuple[Message, ...] = ()

    def lines(self) -> Iterator[Message]:
        """The decision in words, line by line."""
        yield message(f"bench.decide.{self.verdict.name.lower()}")
        for names, bags in _alike(self.released):
            yield message("bench.decide.released", bag=bags, results=_named(names))
        for bag, names, reasons in self._held_by_bag():
            yield message(
                "bench.decide.held", bag=bag, results=_named(names), reasons=joined(reasons)
            )
        for bag, analyte in self.beyond:
            quantity = message("measure.quantity", id=analyte)
            yield message("bench.decide.beyond", bag=bag, quantity=quantity)
        for names, bags in _alike(self.waiting):
            yield message("bench.decide.waiting", bag=bags, results=_named(names))
        yield from self.reruns
        yield from self.powder

    def again(self) -> tuple[str, ...]:
        """Bags of which something has to be run again."""
        held = [one.bag for one in self.held if self.reruns]
        return tuple(dict.fromkeys([*held, *(bag for bag, _ in self.beyond)]))

    def _held_by_bag(self) -> Iterator[tuple[str, tuple[str, ...], tuple[Message, ...]]]:
        """Results of one bag that are held for the same reasons stand together."""
        groups: dict[tuple[str, tuple[Message, ...]], list[str]] = {}
        for one in self.held:
            groups.setdefault((one.bag, one.reasons), []).append(one.analyte)
        yield from ((bag, tuple(names), reasons) for (bag, reasons), names in groups.items())

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return {
            "verdict": self.verdict.value,
            "released": {bag: list(names) for bag, names in self.released.items()},
            "held": [
                {
                    "bag": one.bag,
                    "analyte": one.analyte,
                    "reasons": [reason.to_json() for reason in one.reasons],
                }
                for one in self.held
            ],
            "beyond": [{"bag": bag, "analyte": analyte} for bag, analyte in self.beyond],
            "waiting": {bag: list(names) for bag, names in self.waiting.items()},
            "reruns": [one.to_json() for one in self.reruns],
            "powder": [one.to_json() for one in self.powder],
        }

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Decision:
        """Read back what :meth:`to_json` wrote."""

        def said(name: str) -> tuple[Message, ...]:
            return tuple(Message.from_json(one) for one in data[name])

        def by_bag(name: str) -> dict[str, tuple[str, ...]]:
            return {bag: tuple(names) for bag, names in data[name].items()}

        return cls(
            verdict=Verdict(data["verdict"]),
            released=by_bag("released"),
            held=tuple(
                Held(one["bag"], one["analyte"], tuple(map(Message.from_json, one["reasons"])))
                for one in data["held"]
            ),
            beyond=tuple((one["bag"], one["analyte"]) for one in data["beyond"]),
            waiting=by_bag("waiting"),
            reruns=said("reruns"),
            powder=said("powder"),
        )


def _alike(
    by_bag: Mapping[str, tuple[str, ...]],
) -> Iterator[tuple[tuple[str, ...], tuple[str, ...]]]:
    """Bags with the same results stand together: (results, bags)."""
    groups: dict[tuple[str, ...], list[str]] = {}
    for bag, names in by_bag.items():
        groups.setdefault(names, []).append(bag)
    yield from ((names, tuple(bags)) for names, bags in groups.items())


def _named(names: Sequence[str]) -> tuple[Message, ...]:
    return tuple(message("measure.quantity", id=name) for name in names)


def with_holds(
    results: Mapping[str, Sequence[Result]], controls: Sequence[Control]
) -> dict[str, tuple[Result, ...]]:
    """The results with those that a control holds turned into held ones; the raw value is kept."""
    out = {}
    for bag, of_bag in results.items():
        out[bag] = tuple(_with_hold(one, reasons_for(bag, one.analyte, controls)) for one in of_bag)
    return out


def _with_hold(one: Result, reasons: tuple[Message, ...]) -> Result:
    if not reasons:
        return one
    return replace(one, estimate=Estimate.held(joined(reasons), raw=one.estimate.value))


def reasons_for(bag: str, analyte: str, controls: Sequence[Control]) -> tuple[Message, ...]:
    """Why a result of a bag is held; empty when it is not."""
    return tuple(dict.fromkeys(c.said for c in controls if c.holds(bag, analyte)))


def decide(
    results: Mapping[str, Sequence[Result]],
    controls: Sequence[Control],
    waiting: Mapping[str, tuple[str, ...]],
    *,
    expected: Mapping[str, tuple[str, ...]],
) -> Decision:
    """Settle what may be released.

    Parameters
    ----------
    results
        Bag -> results, held ones as held.
    controls
        Every control of the batch.
    waiting
        Bag -> results of earlier batches that are not there yet.
    expected
        Bag -> results the batch should give; those that could not be worked are held too.
    """
    released: dict[str, tuple[str, ...]] = {}
    held: list[Held] = []
    beyond: list[tuple[str, str]] = []
    for bag, names in expected.items():
        found = {one.analyte: one for one in results.get(bag, ())}
        fine = []
        for name in names:
            reasons = reasons_for(bag, name, controls)
            one = found.get(name)
            if one is not None and one.estimate.state is State.HELD and not reasons:
                reasons = (one.estimate.reason,) if one.estimate.reason else ()
            if reasons:
                held.append(Held(bag, name, reasons))
            elif one is not None and one.estimate.state is State.ABOVE:
                beyond.append((bag, name))
            elif one is not None:
                fine.append(name)
        if fine:
            released[bag] = tuple(fine)
    return Decision(
        verdict=_verdict(released, held, beyond, waiting, expected),
        released=released,
        held=tuple(held),
        beyond=tuple(beyond),
        waiting=waiting,
        reruns=_reruns(controls),
    )


def _verdict(
    released: Mapping[str, tuple[str, ...]],
    held: Sequence[Held],
    beyond: Sequence[tuple[str, str]],
    waiting: Mapping[str, tuple[str, ...]],
    expected: Mapping[str, tuple[str, ...]],
) -> Verdict:
    if released:
        return Verdict.IN_PART if held or beyond or waiting else Verdict.RELEASE
    wholly_held = {bag for bag, names in expected.items()
                   if len([h for h in held if h.bag == bag]) == len(names)}  # fmt: skip
    if beyond or set(waiting) - wholly_held:
        return Verdict.WAIT if waiting else Verdict.IN_PART
    return Verdict.HOLD


def _reruns(controls: Sequence[Control]) -> tuple[Message, ...]:
    asked = (c.rerun for c in controls if c.rerun is not None)
    return tuple(dict.fromkeys(asked))
