"""What the next tons of a lot are worth on the place, and what one more cow costs to winter."""

from __future__ import annotations

from dataclasses import dataclass, replace

from haywright.bunk.ration.program import Solver, Status
from haywright.bunk.winter.model import Model, Short, build
from haywright.bunk.winter.plan import Plan, solve_plan
from haywright.bunk.winter.question import WinterQuestion
from haywright.measure.errors import Refused, UnknownName

_PIECES = 50
_ALIKE = 0.02  # worths this near are one stretch


@dataclass(frozen=True, slots=True)
class Step:
    """One stretch of a lot and what each ton of it is worth on the place.

    Parameters
    ----------
    amount
        In the stretch [kg of dry matter].
    worth
        [money per kg of dry matter].
    """

    amount: float
    worth: float


def keep_price(
    q: WinterQuestion,
    lot: str,
    *,
    short: Short | None = None,
    pieces: int = _PIECES,
    base: Plan | None = None,
) -> tuple[Step, ...]:
    """What a lot is worth on the place, stretch by stretch: the first tons to go first.

    The worth of the last ton rises as the lot gets smaller. Each stretch comes from the program
    with that much less hay, so a sale is priced by what it would really leave behind.

    Parameters
    ----------
    q
        The question; selling is left out of it.
    lot
        Which.
    short
        What falling short costs; needed where the hay does not last.
    pieces
        The lot is looked at in no smaller part than one of so many [count].
    base
        The plan of this question without selling, where it is known.
    """
    first = None if base is None else base.first
    model = build(q, short=short, selling=False, like=None if first is None else first.model)
    row = _stock_row(model, lot)
    left = whole = next(hay.stock for hay in q.hays if hay.name == lot)
    solver = Solver(model.program)
    if first is not None and first.solution.basis is not None:
        solver.start_from(first.solution.basis)
    found = solver.solve()
    steps: list[Step] = []
    while left > 0 and found.solved:
        end = min(solver.falls_to(row), left - whole / pieces)
        end = 0.0 if end < whole / pieces else end
        solver.set_rows([row], end, end)
        after = solver.solve()
        if after.status is not Status.OPTIMAL:
            break
        steps.append(Step(left - end, (after.objective - found.objective) / (left - end)))
        left, found = end, after
    return _merged(steps)


def _merged(steps: list[Step]) -> tuple[Step, ...]:
    """Neighbours of nearly one worth as one stretch, its worth the mean by amount."""
    found: list[Step] = []
    for step in steps:
        last = found[-1] if found else None
        if last and abs(step.worth - last.worth) <= _ALIKE * max(abs(last.worth), 1e-6):
            amount = last.amount + step.amount
            worth = (last.amount * last.worth + step.amount * step.worth) / amount
            found[-1] = Step(amount, worth)
        else:
            found.append(step)
    return tuple(found)


def _stock_row(model: Model, lot: str) -> int:
    rows = model.row_block("stock", lot)
    if not len(rows):
        raise UnknownName("lot", lot, [hay.name for hay in model.question.hays])
    return int(rows[0])


def worth_of(
    q: WinterQuestion,
    lot: str,
    amount: float,
    *,
    short: Short | None = None,
    base: Plan | None = None,
) -> float:
    """What an amount of a lot is worth on the place, by solving with so much less [money].

    Parameters
    ----------
    q
        The question; selling is left out of it.
    lot
        Which.
    amount
        Taken away [kg of dry matter].
    short
        What falling short costs.
    base
        The plan of this question without selling, where it is known.
    """
    held = next((hay.stock for hay in q.hays if hay.name == lot), None)
    if held is None:
        raise UnknownName("lot", lot, [hay.name for hay in q.hays])
    if not 0 <= amount <= held:
        raise Refused("amount", amount, key="winter.more_than_there", name=lot)
    less = [replace(h, stock=h.stock - amount) if h.name == lot else h for h in q.hays]
    return _dearer(q, q.with_hays(less), short, base)


def _dearer(
    q: WinterQuestion, other: WinterQuestion, short: Short | None, base: Plan | None
) -> float:
    """How much more a like question costs, nothing sold in either [money]."""
    now = base or solve_plan(q, short=short, selling=False)
    return solve_plan(other, short=short, selling=False, near=now).cost - now.cost


def one_more(
    q: WinterQuestion, herd: str, *, short: Short | None = None, base: Plan | None = None
) -> float:
    """What one more head of a herd costs to winter [money], by solving with one more.

    Parameters
    ----------
    q
        The question; selling is left out of it.
    herd
        Which.
    short
        What falling short costs.
    base
        The plan of this question without selling, where it is known.
    """
    names = [one.name for one in q.herds]
    if herd not in names:
        raise UnknownName("herd", herd, names)
    more = [
        replace(one, group=one.group.with_head(one.group.head + 1)) if one.name == herd else one
        for one in q.herds
    ]
    return _dearer(q, q.with_herds(more), short, base)


def beaten_by(steps: tuple[Step, ...], offer: float) -> float:
    """How much of a lot an offer pays more for than it is worth on the place [kg of dry matter].

    Parameters
    ----------
    steps
        Its stretches.
    offer
        Net at the stack [money per kg of dry matter].
    """
    return sum(step.amount for step in steps if step.worth < offer)
