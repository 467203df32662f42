"""Equations of the balance: dry matter in its three kinds, fibre residues, ash, loss on ignition.

Everything here is what was weighed in over what was left. Partial, laboratory and total dry matter
stay apart: the powder's own dry matter divides, the total one multiplies.
"""

from __future__ import annotations

from typing import Any

from haywright.measure.register import equation

_G = "g"


@equation(
    name="Partial dry matter",
    output=("partial_dm", "%", "as received"),
    source="clemson-dry-matter",
    mark="read",
    units={"bag": _G, "bag_and_wet": _G, "bag_and_dry": _G},
)
def partial_dry_matter(bag: Any, bag_and_wet: Any, bag_and_dry: Any) -> Any:
    """Hay left after drying the whole sample warm, per hay as received.

    Parameters
    ----------
    bag
        Empty drying bag [g].
    bag_and_wet
        Bag and hay [g as received].
    bag_and_dry
        Bag and hay after 55 to 60 degC [g as dried].
    """
    return 100.0 * (bag_and_dry - bag) / (bag_and_wet - bag)


@equation(
    name="Laboratory dry matter",
    output=("lab_dm", "%", "as analysed"),
    source="clemson-dry-matter",
    mark="read",
    units={"dish": _G, "dish_and_powder": _G, "dish_and_dry": _G},
)
def lab_dry_matter(dish: Any, dish_and_powder: Any, dish_and_dry: Any) -> Any:
    """Powder left after the hot oven, per powder as analysed.

    Parameters
    ----------
    dish
        Empty dish [g].
    dish_and_powder
        Dish and ground hay [g as analysed].
    dish_and_dry
        Dish and hay after the oven [g dry matter].
    """
    return 100.0 * (dish_and_dry - dish) / (dish_and_powder - dish)


@equation(
    name="Total dry matter",
    output=("dm", "%", "as received"),
    source="clemson-dry-matter",
    mark="read",
)
def total_dry_matter(partial_dm: Any, lab_dm: Any) -> Any:
    """Dry matter of the hay as received, from both stages.

    Parameters
    ----------
    partial_dm
        Partial dry matter [% as received].
    lab_dm
        Laboratory dry matter [% as analysed].
    """
    return partial_dm * lab_dm / 100.0


@equation(
    name="Moisture",
    output=("moisture", "%", "as received"),
    source="mass-balance",
    mark="definition",
)
def moisture_of(dm: Any) -> Any:
    """Water, as what is not dry matter.

    Parameters
    ----------
    dm
        Dry matter [% as received].
    """
    return 100.0 - dm


@equation(
    name="Dry matter when cored",
    output=("dm_cored", "%", "as cored"),
    source="mass-balance",
    mark="definition",
    units={"mass_sealed": _G, "mass_received": _G},
)
def dry_matter_when_cored(dm: Any, mass_sealed: Any, mass_received: Any) -> Any:
    """Dry matter of the hay when the bag was sealed, if only water has left it since.

    Parameters
    ----------
    dm
        Total dry matter found [% as received].
    mass_sealed
        Net mass when sealed [g as cored].
    mass_received
        Net mass when the laboratory opened it [g as received].
    """
    return dm * mass_received / mass_sealed


@equation(
    name="Residue",
    output=("residue", "%", "as analysed"),
    source="bench-fibre-methods",
    mark="recalled_confirmed",
    units={"vessel": _G, "vessel_and_residue": _G, "portion": _G, "blank_change": _G},
)
def residue(vessel: Any, vessel_and_residue: Any, portion: Any, blank_change: Any = 0.0) -> Any:
    """What is left in a crucible: ADF, aNDF (with the blank crucible's own change) or ash.

    Parameters
    ----------
    vessel
        Crucible before [g].
    vessel_and_residue
        Crucible and dried or ashed residue [g].
    portion
        Powder weighed in [g as analysed].
    blank_change
        Signed mean change of crucibles run without hay [g].
    """
    return 100.0 * ((vessel_and_residue - vessel) - blank_change) / portion


@equation(
    name="Loss on ignition",
    output=("loss_on_ignition", "%", "as analysed"),
    source="bench-fibre-methods",
    mark="recalled_confirmed",
    units={"vessel_and_residue": _G, "vessel_and_ash": _G, "portion": _G, "blank_loss": _G},
)
def loss_on_ignition(
    vessel_and_residue: Any, vessel_and_ash: Any, portion: Any, blank_loss: Any = 0.0
) -> Any:
    """What burns off a residue: aNDFom, ADFom, or lignin after acid.

    Parameters
    ----------
    vessel_and_residue
        Crucible and dried residue [g].
    vessel_and_ash
        The same after the furnace [g].
    portion
        Powder weighed in at the very start [g as analysed].
    blank_loss
        Signed mean loss of crucibles run without hay [g].
    """
    return 100.0 * ((vessel_and_residue - vessel_and_ash) - blank_loss) / portion


@equation(
    name="Residue in a filter bag",
    output=("residue", "%", "as analysed"),
    source="bench-fibre-methods",
    mark="recalled",
    units={"bag": _G, "bag_and_residue": _G, "portion": _G, "bag_factor": ""},
)
def bag_residue(bag: Any, bag_and_residue: Any, portion: Any, bag_factor: Any) -> Any:
    """What is left in a filter bag that itself loses a little.

    Parameters
    ----------
    bag
        Empty bag before [g].
    bag_and_residue
        Bag and dried residue [g].
    portion
        Powder weighed in [g as analysed].
    bag_factor
        Mean of mass after over mass before of bags run empty [fraction].
    """
    return 100.0 * (bag_and_residue - bag * bag_factor) / portion


@equation(
    name="Organic matter",
    output=("om", "%", "dry matter"),
    source="mass-balance",
    mark="definition",
)
def organic_matter(ash: Any) -> Any:
    """What is not ash.

    Parameters
    ----------
    ash
        Ash [% of dry matter].
    """
    return 100.0 - ash
