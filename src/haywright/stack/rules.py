"""How many bales to core: every published rule under its name, and which one is usual."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from haywright.measure.errors import Refused
from haywright.measure.message import Message, message
from haywright.sources.named import NamedTable
from haywright.stack.packages import positive

Purpose = Literal["nutrients", "nitrate"]
PER_TONNE = 20


@dataclass(frozen=True, slots=True)
class Rule:
    """One row of the table of sampling rules; the table says what each field means."""

    id: str
    name: str
    how: Literal["count", "share", "share_count", "per", "root", "packages"]
    source: str
    mark: str
    # "for" is a word of the language: the row's field of that name lands here.
    purpose: Literal["nutrients", "nitrate", "any"] = "any"
    least: int = 0
    most: int | None = None
    share_least: int = 0
    share_most: int = 0
    per_least: int = 0
    per_most: int = 0
    few: int = 0
    small_tonnes: float = 0.0
    above: int = 0
    cores: int = 1
    kinds: tuple[str, ...] = ()
    default: bool = False
    also: tuple[str, ...] = ()

    def speaks_of(self, kind: str, purpose: Purpose) -> bool:
        """Whether the rule is meant for a package (or "standing", "loose") and a purpose."""
        fits = kind in self.kinds if self.kinds else kind not in ("standing", "loose")
        return fits and self.purpose in ("any", purpose)


@dataclass(frozen=True, slots=True)
class Bales:
    """What a rule asks for.

    Parameters
    ----------
    rule
        Which rule.
    wanted
        Cores asked for, whatever the lot holds [count].
    least, most
        Bales (or places) to core; ``most`` is ``None`` where the rule names none [counts].
    bags_least, bags_most
        Bags they go into [counts].
    cores_per_bale
        Cores from each [count].
    notes
        What to know, e.g. that every bale of a small lot is cored.
    """

    rule: Rule
    wanted: int
    least: int
    most: int | None
    bags_least: int = 1
    bags_most: int = 1
    cores_per_bale: int = 1
    notes: tuple[Message, ...] = field(default=())


def _row(**fields: object) -> Rule:
    named = {"purpose" if name == "for" else name: value for name, value in fields.items()}
    return Rule(**named)  # type: ignore[arg-type]


_RULES = NamedTable("sampling_rules", _row, field="rule")


def rules() -> Mapping[str, Rule]:
    """Every rule by id."""
    return _RULES.rows


def rule(word: str) -> Rule:
    """The rule of a name; an unknown one is refused with the near names."""
    return _RULES.find(word)


def rules_for(kind: str, purpose: Purpose) -> list[Rule]:
    """The rules that speak of a package and a purpose."""
    return [one for one in rules().values() if one.speaks_of(kind, purpose)]


def default_rule(kind: str, purpose: Purpose) -> Rule:
    """What is taken when nobody chooses."""
    fitting = [one for one in rules_for(kind, purpose) if one.default]
    if fitting:
        return fitting[0]
    return next(iter(rules_for(kind, purpose)))


def bales_by_rule(name: str, *, bales: int | None = None, tonnes: float | None = None) -> Bales:
    """What a rule asks of a lot.

    Parameters
    ----------
    name
        Rule id or name.
    bales
        Bales in the lot [count]; not needed for a standing crop or loose hay.
    tonnes
        Mass of the lot, for rules that go by mass [t as it stands].

    Raises
    ------
    Refused
        The rule needs a number that is not given, or does not speak of so small a lot.
    """
    one = rule(name)
    found = _asked(one, bales, tonnes)
    if bales is None or one.how == "root":
        return found
    notes = [*found.notes]
    if found.least > bales:
        notes.append(message("stack.rule.every_bale", asked=found.least, bales=bales))
    most = None if found.most is None else min(found.most, bales)
    return replace(found, least=min(found.least, bales), most=most, notes=tuple(notes))


def _asked(one: Rule, bales: int | None, tonnes: float | None) -> Bales:
    if one.how == "count":
        return Bales(one, one.least, one.least, one.most, cores_per_bale=one.cores)
    if one.how == "root":
        mass = positive("tonnes", _given("tonnes", tonnes))
        rooted = math.ceil(math.sqrt(PER_TONNE * mass) * (1 - 1e-12))
        n = one.few if mass <= one.small_tonnes else min(rooted, one.most or rooted)
        return Bales(one, n, n, n)
    n_bales = int(_given("bales", bales))
    if one.how == "packages":
        if n_bales <= one.above:
            key = "stack.rule.too_small"
            raise Refused("bales", n_bales, key=key, rule=one.name, above=one.above)
        rooted = math.isqrt(n_bales - 1) + 1
        n = min(rooted, one.most or rooted)
        return Bales(one, n, n, n)
    if one.how == "per":
        least, most = -(-n_bales // one.per_most), -(-n_bales // one.per_least)
        fewest = one.least * least
        return Bales(one, fewest, fewest, (one.most or one.least) * most, least, most)
    low, high = _share(n_bales, one.share_least), _share(n_bales, one.share_most)
    if one.how == "share":
        return Bales(one, low, low, high)
    fewest = max(low, one.least)
    return Bales(one, fewest, fewest, max(high, one.most or one.least))


def _share(bales: int, percent: int) -> int:
    """Per cent of the bales, rounded up, in whole numbers throughout."""
    return -(-bales * percent // 100)


def _given(name: str, value: float | None) -> float:
    if value is None:
        raise Refused(name, None, key=f"stack.rule.needs_{name}")
    if value <= 0:
        raise Refused(name, value, key="stack.positive")
    return value
