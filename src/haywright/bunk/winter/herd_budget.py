"""What a herd costs and brings, and what one more cow would: the frame of keep or sell."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from haywright.measure.register import equation

_CATTLE = ("cattle",)


@equation(
    name="Calves weaned",
    output=("calves", "", ""),
    source="gessner-sdsu-drought",
    mark="read",
    species=_CATTLE,
    units={"weaned": "%"},
)
def calves_weaned(head: Any, weaned: Any) -> Any:
    """Cows x weaned / 100; head [count], weaned [%]."""
    return head * weaned / 100.0


@equation(
    name="Income from calves",
    output=("income", "$", ""),
    source="gessner-sdsu-drought",
    mark="read",
    species=_CATTLE,
    units={"calves": "", "calf_weight": "kg", "price": "$/kg"},
)
def calf_income(calves: Any, calf_weight: Any, price: Any) -> Any:
    """Calves x weight x price; calves [count], calf_weight [kg], price [$/kg]."""
    return calves * calf_weight * price


@equation(
    name="Cost of a herd",
    output=("cost", "$", ""),
    source="gessner-sdsu-drought",
    mark="read",
    species=_CATTLE,
    units={"cost_per_cow": "$"},
)
def herd_cost(head: Any, cost_per_cow: Any) -> Any:
    """Cows x cost of one; head [count], cost_per_cow [$]."""
    return head * cost_per_cow


@equation(
    name="Days of keeping that a price gap pays for",
    output=("days", "day", ""),
    source="jones-osu-feed-or-sell",
    mark="read",
    species=_CATTLE,
    units={"replacement": "$", "sale": "$", "cost_per_day": "$/day"},
)
def days_to_keep(replacement: Any, sale: Any, cost_per_day: Any) -> Any:
    """(price later - price now) / cost a day: keep her if feed is needed for fewer days.

    Parameters
    ----------
    replacement
        What one like her will cost later [$].
    sale
        What she brings now [$].
    cost_per_day
        Feed and what stops when she goes [$/day].
    """
    return (replacement - sale) / cost_per_day


@dataclass(frozen=True, slots=True)
class HerdBudget:
    """A herd's year before any choice.

    Parameters
    ----------
    calves
        Weaned [count].
    cost, income
        [$].
    """

    calves: float
    cost: float
    income: float

    @property
    def net(self) -> float:
        """Income less cost [$]."""
        return self.income - self.cost


def herd_budget(
    head: float, *, cost_per_cow: float, weaned: float, calf_weight: float, price: float
) -> HerdBudget:
    """A herd's year.

    Parameters
    ----------
    head
        Cows [count].
    cost_per_cow
        [$].
    weaned
        [%].
    calf_weight
        [kg].
    price
        [$/kg].
    """
    calves = float(calves_weaned(head, weaned))
    return HerdBudget(
        calves=calves,
        cost=float(herd_cost(head, cost_per_cow)),
        income=float(calf_income(calves, calf_weight, price)),
    )
