"""A value and what is not known about it, kept apart by independent source.

An Estimate is a value plus signed contributions, one standard uncertainty for each independent
source. An input used twice (one laboratory dry matter, slope and intercept of one curve) counts
once and can cancel: ``x - x`` is exactly zero. The carrier is the ``uncertainties`` library:
every source is one standard variable there, shared by its name.
Guide to the Expression of Uncertainty in Measurement, JCGM 100:2008, clauses 5.2, G.4, G.6.
"""

from __future__ import annotations

import math
import operator
import warnings
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from itertools import product
from typing import Any, cast
from weakref import WeakValueDictionary

from uncertainties.core import AffineScalarFunc, Variable

from haywright.measure.errors import Held, Refused
from haywright.measure.message import Message, message

# An equation with a kink (never below 0) compares; the branch taken is the value's own, and where
# a later release refuses to compare, its slopes are taken numerically.
warnings.filterwarnings("ignore", message="AffineScalarFunc", category=FutureWarning)


@dataclass(frozen=True, slots=True)
class Source:
    """One independent source of doubt.

    Parameters
    ----------
    id
        Unique name, e.g. "lab_dm:2026-09-14-dm:pan 3"; equal ids of equal ``df`` are one source.
    label
        Message that says what it is, or a plain name.
    df
        Degrees of freedom its standard uncertainty rests on.
    pool
        Name shared by sources whose sizes rest on one and the same SD, such as the directions of
        one calibration curve and a reading on it; they have these degrees of freedom together.
    """

    id: str
    label: Message | str = ""
    df: float = math.inf
    pool: str = ""

    def __hash__(self) -> int:
        return hash((self.id, self.df))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Source) and (self.id, self.df) == (other.id, other.df)


class State(StrEnum):
    """What kind of number an Estimate is."""

    MEASURED = "measured"
    BELOW = "below limit"
    ABOVE = "above range"
    BETWEEN = "between"
    HELD = "held"


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit a reading fell beyond, with its definition (never a bare "LOD")."""

    value: float
    definition: str


_DUST = 1e-9


class _Standard(Variable):  # type: ignore[misc]
    """A source's standard variable; weakly held, so that a long run does not gather them."""

    __slots__ = ("__weakref__",)


_variables: WeakValueDictionary[tuple[str, float], _Standard] = WeakValueDictionary()


def _variable(source: Source) -> _Standard:
    """The one variable of a source; the same name with other degrees of freedom is another."""
    key = (source.id, source.df)
    found = _variables.get(key)
    if found is None:
        found = _Standard(0.0, 1.0, tag=source)
        _variables[key] = found
    return found


class Estimate:
    """A number with its signed contributions by source and its state.

    Build with :meth:`of`, :meth:`below`, :meth:`above`, :meth:`between`, :meth:`held` or
    :func:`exact`. Arithmetic with floats and Estimates keeps the sources. A number below a
    limit or above a range turns sums and ratios into intervals (state BETWEEN).
    """

    __slots__ = ("_x", "high", "limit", "low", "reason", "state")

    def __init__(
        self,
        x: AffineScalarFunc | float,
        *,
        state: State = State.MEASURED,
        limit: Limit | None = None,
        low: float = -math.inf,
        high: float = math.inf,
        reason: Message | None = None,
    ) -> None:
        self._x = x
        self.state = state
        self.limit = limit
        self.low = low
        self.high = high
        self.reason = reason

    @classmethod
    def of(cls, value: float, parts: Mapping[Source, float] | None = None) -> Estimate:
        """A measured value with a signed standard uncertainty for each source.

        Parameters
        ----------
        value
            The value [its own unit].
        parts
            Source -> signed standard uncertainty [unit of the value].
        """
        x: Any = float(value)
        for source, u in (parts or {}).items():
            if not math.isfinite(u):
                raise Refused(source.id, u, key="measure.not_finite")
            if u != 0.0:
                x = x + u * _variable(source)
        return cls(x)

    @classmethod
    def below(
        cls,
        limit: float,
        definition: str,
        *,
        raw: float,
        parts: Mapping[Source, float] | None = None,
    ) -> Estimate:
        """A reading below a limit; zero and half the limit are never used.

        Parameters
        ----------
        limit
            The limit [its own unit].
        definition
            Which limit, e.g. "LOQ, 10 s of blanks".
        raw
            The reading as it was [unit of the limit]; kept.
        parts
            Source -> signed standard uncertainty of the reading [unit of the limit].
        """
        kept = cls.of(raw, parts)
        return cls(kept._x, state=State.BELOW, limit=Limit(limit, definition), low=0.0, high=limit)

    @classmethod
    def above(cls, limit: float, definition: str, *, raw: float) -> Estimate:
        """A reading above what the method can measure; never settles anything.

        Parameters
        ----------
        limit
            Top of the range [its own unit].
        definition
            Which range.
        raw
            The reading as it was [unit of the limit]; kept.
        """
        return cls(raw, state=State.ABOVE, limit=Limit(limit, definition), low=limit)

    @classmethod
    def between(cls, low: float, high: float) -> Estimate:
        """A value known only to lie between two numbers.

        Parameters
        ----------
        low, high
            The two ends [one unit].
        """
        middle = low if math.isinf(high) else high if math.isinf(low) else (low + high) / 2
        return cls(middle, state=State.BETWEEN, low=low, high=high)

    @classmethod
    def held(cls, reason: Message, *, raw: float = math.nan) -> Estimate:
        """A value that quality control has not let through, with the reason.

        Parameters
        ----------
        reason
            Why it is held.
        raw
            The value that would have been [its own unit]; kept.
        """
        return cls(raw, state=State.HELD, reason=reason)

    @property
    def value(self) -> float:
        """The value; for a reading below a limit or above range the raw reading."""
        return float(self._x.nominal_value if isinstance(self._x, AffineScalarFunc) else self._x)

    @property
    def parts(self) -> dict[Source, float]:
        """Signed contribution of each source, as a standard uncertainty in the value's unit."""
        if not isinstance(self._x, AffineScalarFunc):
            return {}
        slopes = self._x.derivatives
        # Slopes taken numerically leave dust where a source cancels.
        dust = max(map(abs, slopes.values()), default=0.0) * _DUST
        return {
            cast("Source", variable.tag): float(slope)
            for variable, slope in slopes.items()
            if abs(slope) > dust
        }

    @property
    def u(self) -> float:
        """Combined standard uncertainty, in the value's unit."""
        return math.sqrt(math.fsum(part * part for part in self.parts.values()))

    @property
    def df(self) -> float:
        """Effective degrees of freedom (Welch-Satterthwaite, GUM G.4) over the sources."""
        squares: dict[tuple[str, float], float] = {}
        for source, u in self.parts.items():
            if math.isfinite(source.df):
                key = (source.pool or source.id, source.df)
                squares[key] = squares.get(key, 0.0) + u * u
        below = math.fsum(square**2 / df for (_, df), square in squares.items())
        return self.u**4 / below if below > 0 else math.inf

    @property
    def settled(self) -> bool:
        """Whether this is an ordinary measured number."""
        return self.state is State.MEASURED

    def interval(self, confidence: float = 0.95) -> tuple[float, float]:
        """Two-sided interval, Student's t on the effective degrees of freedom.

        A number below a limit, above range or between gives its own bounds; a held one raises.

        Parameters
        ----------
        confidence
            Chance that the interval holds the true value [fraction].
        """
        if self.state is State.HELD:
            raise Held(self.reason or message("measure.held"))
        if self.state is not State.MEASURED:
            return self.low, self.high
        half = t_quantile((1 + confidence) / 2, self.df) * self.u
        return self.value - half, self.value + half

    def part_of(self, *prefixes: str) -> float:
        """Standard uncertainty from the sources whose id starts with one of ``prefixes``."""
        return math.sqrt(
            math.fsum(u * u for s, u in self.parts.items() if s.id.startswith(prefixes))
        )

    def with_parts(self, extra: Mapping[Source, float]) -> Estimate:
        """The same value with further contributions, e.g. sampling added to the laboratory's."""
        if self.state not in (State.MEASURED, State.BELOW):
            return self
        added = Estimate.of(0.0, extra)
        return Estimate(
            self._x + added._x,
            state=self.state,
            limit=self.limit,
            low=self.low,
            high=self.high,
        )

    def __add__(self, other: Estimate | float) -> Estimate:
        return _operate(operator.add, self, other)

    def __sub__(self, other: Estimate | float) -> Estimate:
        return _operate(operator.sub, self, other)

    def __mul__(self, other: Estimate | float) -> Estimate:
        return _operate(operator.mul, self, other)

    def __truediv__(self, other: Estimate | float) -> Estimate:
        return _operate(operator.truediv, self, other)

    def __radd__(self, other: float) -> Estimate:
        return _operate(operator.add, other, self)

    def __rsub__(self, other: float) -> Estimate:
        return _operate(operator.sub, other, self)

    def __rmul__(self, other: float) -> Estimate:
        return _operate(operator.mul, other, self)

    def __rtruediv__(self, other: float) -> Estimate:
        return _operate(operator.truediv, other, self)

    def __neg__(self) -> Estimate:
        return _operate(operator.sub, 0.0, self)

    def __repr__(self) -> str:
        return f"Estimate({self.value:g}, u={self.u:g}, {self.state.value})"

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values; sources by id, so that shared ones stay shared when read back."""
        out: dict[str, Any] = {"value": None if math.isnan(self.value) else self.value}
        out["state"] = self.state.value
        out["u"] = self.u
        out["df"] = self.df if math.isfinite(self.df) else None
        out["parts"] = [
            {
                "source": s.id,
                "label": s.label.to_json() if isinstance(s.label, Message) else s.label,
                "u": u,
                "df": s.df if math.isfinite(s.df) else None,
                **({"pool": s.pool} if s.pool else {}),
            }
            for s, u in self.parts.items()
        ]
        if self.limit is not None:
            out["limit"] = {"value": self.limit.value, "definition": self.limit.definition}
        if self.state is State.BETWEEN:
            out["low"], out["high"] = _finite(self.low), _finite(self.high)
        if self.reason is not None:
            out["reason"] = self.reason.to_json()
        return out

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Estimate:
        """Read back what :meth:`to_json` wrote."""
        state = State(data["state"])
        raw = math.nan if data["value"] is None else float(data["value"])
        parts = {
            Source(p["source"], _label(p["label"]), p["df"] or math.inf, p.get("pool", "")): float(
                p["u"]
            )
            for p in data["parts"]
        }
        limit = data.get("limit", {})
        if state is State.BELOW:
            return cls.below(limit["value"], limit["definition"], raw=raw, parts=parts)
        if state is State.ABOVE:
            return cls.above(limit["value"], limit["definition"], raw=raw)
        if state is State.BETWEEN:
            low, high = data["low"], data["high"]
            return cls.between(
                -math.inf if low is None else low, math.inf if high is None else high
            )
        if state is State.HELD:
            reason = data.get("reason")
            said = Message.from_json(reason) if reason else message("measure.held")
            return cls.held(said, raw=raw)
        return cls.of(raw, parts)


def _finite(bound: float) -> float | None:
    return bound if math.isfinite(bound) else None


def _label(data: Any) -> Message | str:
    return Message.from_json(data) if isinstance(data, Mapping) else str(data)


def exact(value: float) -> Estimate:
    """A number without doubt, such as a count or a defined factor.

    Parameters
    ----------
    value
        The number [its own unit].
    """
    return Estimate(float(value))


def as_estimate(value: Estimate | float) -> Estimate:
    """The value itself, or an exact number made into an Estimate.

    Parameters
    ----------
    value
        Estimate or number [its own unit].
    """
    return value if isinstance(value, Estimate) else exact(value)


def t_quantile(p: float, df: float) -> float:
    """Quantile of Student's t; the normal one for infinite degrees of freedom.

    Parameters
    ----------
    p
        Probability [fraction].
    df
        Degrees of freedom [count].
    """
    from scipy.special import ndtri, stdtrit

    return float(ndtri(p) if math.isinf(df) else stdtrit(df, p))


def _operate(op: Callable[..., Any], left: Estimate | float, right: Estimate | float) -> Estimate:
    """One of + - * /, with exact slopes where both sides are ordinary numbers."""
    one, other = as_estimate(left), as_estimate(right)
    if one.settled and other.settled:
        return Estimate(op(one._x, other._x))
    return combine(op, one, other)


def combine(fn: Callable[..., Any], *inputs: Estimate | float) -> Estimate:
    """Apply a function of numbers to Estimates, first order, keeping sources.

    A held input gives a held result. A censored input gives an interval: the function at the
    corners of what is possible, which is exact for functions monotone in each argument.
    """
    estimates = [as_estimate(value) for value in inputs]
    for one in estimates:
        if one.state is State.HELD:
            return Estimate.held(one.reason or message("measure.held"))
    if any(one.state is not State.MEASURED for one in estimates):
        return _corners(fn, estimates)
    if not any(isinstance(one._x, AffineScalarFunc) for one in estimates):
        return Estimate(float(fn(*(one.value for one in estimates))))
    exact = _through(fn, estimates)
    return _by_differences(fn, estimates) if exact is None else Estimate(exact)


def _through(fn: Callable[..., Any], estimates: list[Estimate]) -> AffineScalarFunc | None:
    """The function on numbers that carry their slopes; ``None`` when it needs plain ones."""
    try:
        with warnings.catch_warnings():
            # A function with a corner compares its numbers; their slopes are taken numerically.
            warnings.simplefilter("error", FutureWarning)
            found = fn(*(one._x for one in estimates))
    except (TypeError, AttributeError, ValueError, ArithmeticError, FutureWarning):
        return None
    return found if isinstance(found, AffineScalarFunc) else None


def _by_differences(fn: Callable[..., Any], estimates: list[Estimate]) -> Estimate:
    """The function with its slopes taken numerically."""
    point = [one.value for one in estimates]
    total: Any = float(fn(*point))
    for index, one in enumerate(estimates):
        if isinstance(one._x, AffineScalarFunc):
            slope = _slope(fn, point, index, one.u)
            total = total + slope * (one._x - one.value)
    return Estimate(total)


def _slope(fn: Callable[..., Any], point: list[float], index: int, u: float) -> float:
    """Partial derivative by central difference; exact for forms linear in the argument."""
    if u == 0.0:
        return 0.0
    step = max(abs(point[index]), u) * 2.0**-17
    up, down = list(point), list(point)
    up[index] += step
    down[index] -= step
    return float((fn(*up) - fn(*down)) / (up[index] - down[index]))


def _corners(fn: Callable[..., Any], estimates: list[Estimate]) -> Estimate:
    ends = [
        (one.value,) if one.state is State.MEASURED else (one.low, one.high) for one in estimates
    ]
    values = []
    for corner in product(*ends):
        try:
            values.append(float(fn(*corner)))
        except ZeroDivisionError:
            values.append(math.inf)
    known = [value for value in values if not math.isnan(value)]
    return Estimate.between(min(known, default=-math.inf), max(known, default=math.inf))
