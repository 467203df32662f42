"""Equations of weighing: what a vessel gained or lost, as a share of the powder weighed in.

One pair of equations serves acid and neutral detergent fiber, ash, lignin and fat; bags of filter
cloth have their own, because the empty bag itself changes.
"""

from __future__ import annotations

from typing import Any

from haywright.measure.register import equation


@equation(
    name="Mass gained by a vessel, as a share of the portion",
    output=("share_an", "%", "as analysed"),
    source="mass-balance",
    mark="definition",
    units={"before_g": "g", "after_g": "g", "sample_g": "g", "blank_g": "g"},
)
def share_gained(before_g: Any, after_g: Any, sample_g: Any, blank_g: Any = 0.0) -> Any:
    """What stays in a vessel: fiber in a crucible, ash, fat in a cup.

    Parameters
    ----------
    before_g, after_g
        Vessel alone, and with what stayed in it [g].
    sample_g
        Portion weighed in [g as analysed].
    blank_g
        What empty vessels gained in the same run, with its sign [g].
    """
    return 100.0 * ((after_g - before_g) - blank_g) / sample_g


@equation(
    name="Mass lost by a vessel in the furnace, as a share of the portion",
    output=("share_an", "%", "as analysed"),
    source="mass-balance",
    mark="definition",
    units={"before_g": "g", "after_g": "g", "sample_g": "g", "blank_g": "g"},
)
def share_lost(before_g: Any, after_g: Any, sample_g: Any, blank_g: Any = 0.0) -> Any:
    """What burns off: ash-free fiber, lignin after the acid.

    Parameters
    ----------
    before_g, after_g
        Vessel with residue, and with its ash [g].
    sample_g
        Portion weighed in at the start [g as analysed], not the residue.
    blank_g
        What empty vessels lost in the same run, with its sign [g].
    """
    return 100.0 * ((before_g - after_g) - blank_g) / sample_g


@equation(
    name="Change of a blank bag",
    output=("blank_bag_factor", "", ""),
    source="aocs-ba6a",
    mark="recalled",
)
def blank_bag_factor(bag_g: Any, bag_dry_g: Any) -> Any:
    """What an empty filter bag keeps of its mass through the whole procedure.

    Parameters
    ----------
    bag_g, bag_dry_g
        Empty bag before and after [g].
    """
    return bag_dry_g / bag_g


@equation(
    name="Fiber in a filter bag",
    output=("share_an", "%", "as analysed"),
    source="aocs-ba6a",
    mark="recalled",
)
def fiber_in_bag(bag_g: Any, sample_g: Any, bag_dry_g: Any, blank_bag_factor: Any) -> Any:
    """Fiber left in a filter bag.

    Parameters
    ----------
    bag_g
        Empty bag [g].
    sample_g
        Portion weighed in [g as analysed].
    bag_dry_g
        Bag with the dried fiber [g].
    blank_bag_factor
        What empty bags kept of their mass, mean [ratio].
    """
    return 100.0 * (bag_dry_g - bag_g * blank_bag_factor) / sample_g


@equation(
    name="Mass burnt off a bag",
    output=("burnt_g", "g", ""),
    source="mass-balance",
    mark="definition",
)
def burnt_off(bag_dry_g: Any, crucible_g: Any, crucible_ash_g: Any) -> Any:
    """What a bag with its fiber lost in the furnace.

    Parameters
    ----------
    bag_dry_g
        Bag with the dried fiber [g].
    crucible_g
        Crucible it was burnt in, empty [g].
    crucible_ash_g
        Crucible with the ash [g].
    """
    return bag_dry_g - (crucible_ash_g - crucible_g)


@equation(
    name="Organic part of a blank bag",
    output=("blank_bag_organic", "", ""),
    source="aocs-ba6a",
    mark="recalled",
)
def blank_bag_organic(burnt_g: Any, bag_g: Any) -> Any:
    """What an empty bag burns off, as a part of its mass at the start.

    Parameters
    ----------
    burnt_g
        Burnt off the empty bag [g].
    bag_g
        Empty bag before the run [g].
    """
    return burnt_g / bag_g


@equation(
    name="Ash-free fiber in a filter bag",
    output=("share_an", "%", "as analysed"),
    source="aocs-ba6a",
    mark="recalled",
)
def ash_free_fiber_in_bag(bag_g: Any, sample_g: Any, burnt_g: Any, blank_bag_organic: Any) -> Any:
    """Ash-free fiber left in a filter bag.

    Parameters
    ----------
    bag_g
        Empty bag [g].
    sample_g
        Portion weighed in [g as analysed].
    burnt_g
        Burnt off bag and fiber together [g].
    blank_bag_organic
        Organic part of empty bags, mean [ratio].
    """
    return 100.0 * (burnt_g - bag_g * blank_bag_organic) / sample_g
