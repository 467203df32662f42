"""How many results pass until a chart's rules give an alarm, by Markov chain.

The state of the chain is what the rules still remember of the last results; states are found by
walking from the empty memory (Champ and Woodall, Technometrics 29:393, 1987).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TypeAlias

import numpy as np

from haywright.bench.charts import Rule
from haywright.measure.errors import Refused

Memory: TypeAlias = "tuple[int, ...]"
_COUNTED = ("beyond", "side")


def _zones(rules: Iterable[Rule], shift: float) -> list[tuple[float, float]]:
    """A point of each zone between the rules' lines, and the chance to land in that zone."""
    from scipy.special import ndtr

    lines = sorted({0.0, *(s * r.sd for r in rules for s in (-1.0, 1.0) if r.kind == "beyond")})
    edges = [lines[0] - 2.0, *lines, lines[-1] + 2.0]
    ends = [-math.inf, *lines, math.inf]
    return [
        ((edges[k] + edges[k + 1]) / 2.0, float(ndtr(ends[k + 1] - shift) - ndtr(ends[k] - shift)))
        for k in range(len(lines) + 1)
    ]


def _after(memory: Memory, point: float, rules: tuple[Rule, ...]) -> Memory | None:
    """What is remembered after one more result; ``None`` when it completes a rule.

    Each rule remembers, for each side, which of the last results were hits, as bits.
    """
    out = []
    for k, rule in enumerate(rules):
        of = rule.count if rule.kind == "side" else rule.of
        for side, sign in enumerate((1.0, -1.0)):
            hit = sign * point > rule.sd
            bits = (memory[2 * k + side] << 1) | hit
            if hit and bits.bit_count() >= rule.count:
                return None
            bits &= (1 << (of - 1)) - 1
            # A run on one side is over once it is broken.
            out.append(bits if hit or rule.kind != "side" else 0)
    return tuple(out)


def run_length(rules: Iterable[Rule], *, shift: float = 0.0) -> float:
    """Mean number of results until one of the rules fires [count].

    Parameters
    ----------
    rules
        Rules of the kinds "beyond" and "side"; those that only warn are passed over.
    shift
        How far the process has moved [SDs between runs].

    Raises
    ------
    Refused
        For a rule of another kind.
    """
    counted = tuple(rule for rule in rules if not rule.warns)
    for rule in counted:
        if rule.kind not in _COUNTED:
            raise Refused("rule", rule.id, ", ".join(_COUNTED))
    zones = _zones(counted, shift)
    start = (0,) * (2 * len(counted))
    number: dict[Memory, int] = {start: 0}
    queue = [start]
    moves: list[tuple[int, int, float]] = []
    while queue:
        state = queue.pop()
        for point, chance in zones:
            after = _after(state, point, counted)
            if after is None:
                continue
            if after not in number:
                number[after] = len(number)
                queue.append(after)
            moves.append((number[state], number[after], chance))
    return _solved(len(number), moves)


def _solved(n: int, moves: list[tuple[int, int, float]]) -> float:
    from scipy.sparse import coo_array, eye_array
    from scipy.sparse.linalg import spsolve

    rows, columns, chances = zip(*moves, strict=True)
    stay = coo_array((chances, (rows, columns)), shape=(n, n)).tocsc()
    return float(spsolve((eye_array(n) - stay).tocsc(), np.ones(n))[0])
