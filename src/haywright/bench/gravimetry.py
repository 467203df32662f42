"""Equations of what is left: fiber residues in a crucible or a filter bag, ash, loss on ignition."""

from __future__ import annotations

from typing import Any

from haywright.measure.register import equation

_G = "g"


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
