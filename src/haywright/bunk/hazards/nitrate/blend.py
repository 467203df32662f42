"""Mixing and mass balance of nitrate: the same arithmetic in every guide, declared once."""

from __future__ import annotations

from typing import Any

import numpy as np

from haywright.measure.register import equation


@equation(
    name="Nitrate of a mixed ration",
    output=("nitrate_n", "mg/kg", "dry matter"),
    source="mass-balance",
    mark="definition",
    units={
        "share": "fraction of ration dry matter",
        "high": "mg/kg of dry matter",
        "rest": "mg/kg of dry matter",
    },
)
def ration_nitrate(share: Any, high: Any, rest: Any) -> Any:
    """Nitrate of a ration of one hay and the rest.

    Parameters
    ----------
    share
        Of the high-nitrate hay [fraction of ration DM].
    high
        Nitrate of that hay [mg/kg of DM, one form].
    rest
        Nitrate of the rest [mg/kg of DM, the same form].
    """
    return share * high + (1 - share) * rest


def mean_nitrate(amounts: Any, levels: Any) -> Any:
    """Nitrate of a mix of any number of feeds: the mean weighted by dry matter.

    Parameters
    ----------
    amounts
        Of each feed [any mass of DM].
    levels
        Their nitrate [mg/kg of DM, one form].
    """
    return np.average(levels, weights=amounts, axis=-1)


@equation(
    name="Share of a hay that keeps a ration at a target",
    output=("feed_share", "fraction", "ration dry matter"),
    source="mass-balance",
    mark="definition",
    units={
        "high": "mg/kg of dry matter",
        "rest": "mg/kg of dry matter",
        "target": "mg/kg of dry matter",
        "water": "mg/kg of dry matter eaten",
    },
)
def share_at_target(high: Any, rest: Any, target: Any, water: Any = 0.0) -> Any:
    """Largest share s with s high + (1 - s) rest + water <= target, from 0 to 1 (Pearson square).

    Parameters
    ----------
    high
        Nitrate of the hay [mg/kg of DM, one form].
    rest
        Nitrate of the rest of the ration [mg/kg of DM].
    target
        Wanted for the whole [mg/kg of DM].
    water
        Nitrate of the water spread over the dry matter eaten [mg/kg of DM].
    """
    room = np.subtract(target, water)
    apart = np.subtract(high, rest)
    lean = np.subtract(room, rest)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(apart > 0, lean / np.where(apart > 0, apart, 1.0), 1.0)
    whole = np.less_equal(high, room)
    return np.where(whole, 1.0, np.where(lean < 0, 0.0, np.clip(share, 0.0, 1.0)))[()]


@equation(
    name="Clean feed for each unit of high-nitrate hay",
    output=("clean_per_high", "", "dry matter"),
    source="mass-balance",
    mark="definition",
    units={
        "high": "mg/kg of dry matter",
        "rest": "mg/kg of dry matter",
        "target": "mg/kg of dry matter",
    },
)
def clean_per_high(high: Any, rest: Any, target: Any) -> Any:
    """Dry matter of clean feed for one of high-nitrate hay: (h - t)/(t - c).

    Parameters
    ----------
    high
        Nitrate of the hay [mg/kg of DM, one form].
    rest
        Nitrate of the clean feed [mg/kg of DM].
    target
        Wanted for the mix [mg/kg of DM].
    """
    return (high - target) / (target - rest)


@equation(
    name="Most of a hay beside a fixed amount of other feed",
    output=("feed_mass", "kg", "dry matter"),
    source="mass-balance",
    mark="definition",
    units={
        "other": "kg of dry matter",
        "rest": "mg/kg of dry matter",
        "high": "mg/kg of dry matter",
        "target": "mg/kg of dry matter",
    },
)
def most_beside(other: Any, rest: Any, high: Any, target: Any) -> Any:
    """M (t - c_o)/(h - t), in the unit of the other feed.

    Parameters
    ----------
    other
        The other feed [kg of DM].
    rest
        Its nitrate [mg/kg of DM].
    high
        Nitrate of the hay [mg/kg of DM].
    target
        Wanted for the whole [mg/kg of DM].
    """
    return other * (target - rest) / (high - target)


@equation(
    name="Share as fed from a share of dry matter",
    output=("feed_share", "fraction", "as fed"),
    source="mass-balance",
    mark="definition",
    units={
        "share": "fraction of ration dry matter",
        "dm_high": "% of the hay",
        "dm_rest": "% of the rest",
    },
)
def share_as_fed(share: Any, dm_high: Any, dm_rest: Any) -> Any:
    """Share of the weight put out from a share of dry matter.

    Parameters
    ----------
    share
        [fraction of ration DM].
    dm_high, dm_rest
        Dry matter of the hay and of the rest [%].
    """
    high, rest = share / dm_high, (1 - share) / dm_rest
    return high / (high + rest)


@equation(
    name="Nitrate eaten in feed",
    output=("nitrate_mass", "g/day", "NO3-N"),
    source="mass-balance",
    mark="definition",
    units={"dmi": "kg/day", "nitrate": "mg/kg of dry matter"},
)
def feed_nitrate(dmi: Any, nitrate: Any) -> Any:
    """Nitrate eaten in feed.

    Parameters
    ----------
    dmi
        Dry matter eaten [kg/day].
    nitrate
        [mg/kg NO3-N of DM].
    """
    return dmi * nitrate / 1000


@equation(
    name="Nitrate drunk in water",
    output=("nitrate_mass", "g/day", "NO3-N"),
    source="mass-balance",
    mark="definition",
    units={"water": "L/day", "nitrate": "mg/L of water"},
)
def water_nitrate(water: Any, nitrate: Any) -> Any:
    """Nitrate drunk in water.

    Parameters
    ----------
    water
        [L/day].
    nitrate
        [mg/L NO3-N].
    """
    return water * nitrate / 1000


@equation(
    name="Water nitrate spread over the feed",
    output=("nitrate_n", "mg/kg", "dry matter eaten"),
    source="mass-balance",
    mark="definition",
    units={"water": "L/day", "nitrate": "mg/L of water", "dmi": "kg/day"},
)
def water_over_feed(water: Any, nitrate: Any, dmi: Any) -> Any:
    """What the water's nitrate adds to each kilogram of dry matter eaten.

    Parameters
    ----------
    water
        [L/day].
    nitrate
        [mg/L NO3-N].
    dmi
        Dry matter eaten [kg/day].
    """
    return water * nitrate / dmi


@equation(
    name="Nitrate left after ensiling",
    output=("nitrate_n", "mg/kg", "dry matter"),
    source="guide-georgia-hancock",
    mark="read",
    units={"before": "mg/kg of dry matter", "loss": "% of the nitrate"},
)
def after_ensiling(before: Any, loss: Any) -> Any:
    """Nitrate that stays; test again, a loss is never assumed in a verdict.

    Parameters
    ----------
    before
        [mg/kg of DM].
    loss
        [% of the nitrate].
    """
    return before * (1 - loss / 100)
