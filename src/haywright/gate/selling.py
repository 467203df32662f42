"""The seller's side: what hay must bring, and whether to store it or sell it now.

In what order a seller looks: the cost floor, what it is worth to the likely buyer, what the market
has paid, and whether a neighbour delivers it cheaper.
"""

from __future__ import annotations

from typing import Any, Literal

from haywright.gate.delivered import loss_share
from haywright.gate.money import Number, Price, exact
from haywright.measure.errors import UnknownName
from haywright.measure.register import equation

StoreMethod = Literal["divided", "added"]


@equation(
    name="Cost of one spreading of fertilizer",
    output=("application", "$", ""),
    source="mississippi-bermuda-2013",
    mark="practice",
    units={"removal_value": "$", "spreading": "$"},
)
def application_cost(removal_value: Any, spreading: Any) -> Any:
    """Fertilizer [$/area] and the spreading of it [$/area]."""
    return removal_value + spreading


@equation(
    name="What hay must bring",
    output=("break_even", "$/kg", "as it stands"),
    source="mississippi-bermuda-2013",
    mark="practice",
    units={"applications": "", "application": "$", "haying": "$", "hay": "kg"},
)
def break_even(applications: Any, application: Any, haying: Any, hay: Any) -> Any:
    """Cost of an area over the hay that comes off it to be sold.

    Parameters
    ----------
    applications
        Spreadings of fertilizer [count].
    application
        One of them [$/area].
    haying
        Cutting, raking, baling, moving, land and ownership [$/area].
    hay
        Hay saleable, losses off [any mass unit per area].
    """
    return (applications * application + haying) / hay


@equation(
    name="Cost of an area over the year",
    output=("area_cost", "$", ""),
    source="mississippi-bermuda-2013",
    mark="practice",
    units={"applications": "", "application": "$", "haying": "$"},
)
def area_cost(applications: Any, application: Any, haying: Any = 0.0) -> Any:
    """Spreadings [count] times the cost of one [$/area], and haying [$/area]."""
    return applications * application + haying


@equation(
    name="Cost of hay when ownership is spread over more acres",
    output=("cost", "$/kg", "as it stands"),
    source="hambelton-missouri",
    mark="read",
    units={
        "cost": "$/kg of hay as it stands",
        "fixed": "$/acre",
        "acres": "acre",
        "new_acres": "acre",
        "hay": "kg/acre",
    },
)
def cost_over_acres(cost: Any, fixed: Any, acres: Any, new_acres: Any, hay: Any) -> Any:
    """The same machines over more land.

    Parameters
    ----------
    cost
        Cost at the first acreage [$/mass as it stands].
    fixed
        Ownership at the first acreage [$/acre].
    acres, new_acres
        First and new acreage [acre].
    hay
        Hay off an acre [mass/acre].
    """
    return cost - fixed * (1 - acres / new_acres) / hay


@equation(
    name="Cost of making a bale",
    output=("making", "$", ""),
    source="missouri-bale-worth-2013",
    mark="read",
    units={"baling": "$", "raking": "$", "mowing": "$", "moving": "$"},
)
def making_cost(baling: Any, raking: Any = 0.0, mowing: Any = 0.0, moving: Any = 0.0) -> Any:
    """Baling [$/bale], raking [$/bale], mowing [$/bale] and moving [$/bale]."""
    return baling + raking + mowing + moving


@equation(
    name="Cost of a bale with the fertilizer in it",
    output=("bale_cost", "$", ""),
    source="missouri-bale-worth-2013",
    mark="read",
    units={"nutrients": "$", "making": "$"},
)
def bale_cost(nutrients: Any, making: Any) -> Any:
    """Fertilizer carried off [$/bale] and making [$/bale]."""
    return nutrients + making


@equation(
    name="Later price that pays for storing, losses divided out",
    output=("break_even", "$/kg", "as it stands"),
    source="mass-balance",
    mark="definition",
    units={
        "price": "$/kg of hay as it stands",
        "handling": "$/kg of hay as it stands",
        "shrink": "% of the hay",
        "interest": "% a year",
        "months": "",
    },
)
def stored_price(price: Any, handling: Any, shrink: Any, interest: Any, months: Any) -> Any:
    """What hay must bring later to leave what it brings now.

    Parameters
    ----------
    price
        Price now [$/mass as it stands].
    handling
        Into the store and out [$/mass as it stands].
    shrink
        Lost in storage [% of the hay].
    interest
        On the money tied up [% a year].
    months
        How long [month].
    """
    return 100 * (price * (1 + interest * months / 1200) + handling) / (100 - shrink)


@equation(
    name="Later price that pays for storing, losses added on",
    output=("break_even", "$/kg", "as it stands"),
    source="oklahoma-store-or-sell",
    mark="read",
    units={
        "price": "$/kg of hay as it stands",
        "handling": "$/kg of hay as it stands",
        "shrink": "% of the hay",
        "interest": "% a year",
        "months": "",
    },
)
def stored_price_added(price: Any, handling: Any, shrink: Any, interest: Any, months: Any) -> Any:
    """The form of the printed table; about two dollars a short ton below a balance of mass.

    Parameters
    ----------
    price
        Price now [$/mass as it stands].
    handling
        Into the store and out [$/mass as it stands].
    shrink
        Lost in storage [% of the hay].
    interest
        On the money tied up [% a year].
    months
        How long [month].
    """
    return price * (100 + shrink) / 100 + handling + price * interest * months / 1200


def store_or_sell(
    price: Price,
    *,
    months: Number,
    shrink: Number,
    interest: Number,
    handling: Price,
    method: StoreMethod = "divided",
) -> Price:
    """The later price at which storing pays.

    Parameters
    ----------
    price
        Price now, as it stands.
    months
        How long [month].
    shrink
        Lost in storage [% of the hay].
    interest
        On the money tied up [% a year].
    handling
        Into the store and out, per mass.
    method
        divided, by mass balance; added, as the printed table does.
    """
    methods = {"divided": stored_price, "added": stored_price_added}
    if method not in methods:
        raise UnknownName("method", method, methods)
    lost = loss_share("shrink", shrink)
    each = handling.to(price.per).amount
    cost, time = exact(interest, "interest"), exact(months, "months")
    return price.through(lambda amount: methods[method](amount, each, lost, cost, time))
