"""Equations of dry matter: partial, laboratory and total, three figures that are never mixed.

Partial dry matter is what a 55-60 degC oven leaves of the hay as received; laboratory dry matter
what a hotter oven leaves of the ground powder as weighed. Their product is the total.
"""

from __future__ import annotations

from typing import Any

from haywright.measure.register import equation


@equation(
    name="Partial dry matter",
    output=("partial_dm", "%", "as received"),
    source="clemson-dry-matter",
    mark="read",
)
def partial_dm(bag_g: Any, bag_wet_g: Any, bag_dry_g: Any) -> Any:
    """What the warm oven leaves of the hay as received.

    Parameters
    ----------
    bag_g
        Drying bag, empty [g].
    bag_wet_g
        Bag with the hay as received [g].
    bag_dry_g
        Bag with the hay after the warm oven [g].
    """
    return 100.0 * (bag_dry_g - bag_g) / (bag_wet_g - bag_g)


@equation(
    name="Laboratory dry matter",
    output=("lab_dm", "%", "as analysed"),
    source="clemson-dry-matter",
    mark="read",
)
def lab_dm(dish_g: Any, dish_powder_g: Any, dish_dry_g: Any) -> Any:
    """What the hot oven leaves of the ground powder as weighed.

    Parameters
    ----------
    dish_g
        Dish, empty [g].
    dish_powder_g
        Dish with the powder [g].
    dish_dry_g
        Dish with the powder after the oven [g].
    """
    return 100.0 * (dish_dry_g - dish_g) / (dish_powder_g - dish_g)


@equation(
    name="Total dry matter in two stages",
    output=("dm", "%", "as received"),
    source="clemson-dry-matter",
    mark="read",
)
def total_dm(partial_dm: Any, lab_dm: Any) -> Any:
    """Dry matter of the hay as received.

    Parameters
    ----------
    partial_dm
        Partial dry matter [% as received].
    lab_dm
        Laboratory dry matter [% as analysed].
    """
    return partial_dm * lab_dm / 100.0


@equation(
    name="Total dry matter in one stage",
    output=("dm", "%", "as received"),
    source="clemson-dry-matter",
    mark="read",
)
def total_dm_one_stage(lab_dm: Any) -> Any:
    """Dry matter of hay that was ground as received, without a warm oven before.

    Parameters
    ----------
    lab_dm
        Laboratory dry matter [% as analysed], of powder ground as received.
    """
    return lab_dm * 1.0


@equation(
    name="Moisture",
    output=("moisture", "%", "as received"),
    source="mass-balance",
    mark="definition",
)
def moisture(dm: Any) -> Any:
    """What is not dry matter.

    Parameters
    ----------
    dm
        Total dry matter [% as received].
    """
    return 100.0 - dm


@equation(
    name="Dry matter when cored",
    output=("dm_cored", "%", "as cored"),
    source="mass-balance",
    mark="definition",
)
def dm_cored(dm: Any, net_sealed_g: Any, net_received_g: Any) -> Any:
    """Dry matter when the bag was sealed, if it lost only water on the way.

    Parameters
    ----------
    dm
        Total dry matter found [% as received].
    net_sealed_g
        Hay in the bag when it was sealed [g].
    net_received_g
        Hay in the bag when the laboratory weighed it [g].
    """
    return dm * net_received_g / net_sealed_g
