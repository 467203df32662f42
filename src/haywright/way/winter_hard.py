"""The same ranch in a hard winter, for the broken line beside the usual one."""

from __future__ import annotations

import numpy as np

from haywright.bunk.winter.plan import Plan, solve_plan
from haywright.bunk.winter.scenarios import in_winters
from haywright.way.winter import WinterAnswer

_COLDER = 0.05  # of the drawn winters are colder than the hard one


def hard_plan(answer: WinterAnswer) -> Plan:
    """The cheapest plan of a cold winter, bought and sold as that winter would have it.

    The drawn winters are put in order by their cold over all weeks; one in twenty is colder.
    """
    cold = answer.counted.cold
    order = np.argsort(cold.sum(axis=1), kind="stable")
    chosen = int(order[int((1.0 - _COLDER) * (len(order) - 1))])
    (winter,) = in_winters(answer.counted.bare, cold[chosen : chosen + 1])
    return solve_plan(winter, short=answer.prices)
