"""Growth of cattle: energy and protein in gain, by edition."""

from __future__ import annotations

from typing import Any

import numpy as np

from haywright.measure.register import equation

_CATTLE = ("cattle",)
_RETAINED = ("energy_retained", "Mcal/day", "")


@equation(
    name="Equivalent shrunk weight",
    output=("equivalent_weight", "kg", ""),
    source="nrc-beef-1996-growth",
    mark="recalled_confirmed",
    species=_CATTLE,
)
def equivalent_weight(
    shrunk_weight: Any, finished_weight: Any, reference_weight: Any = 478.0
) -> Any:
    """Weight x 478 / weight when finished: cattle of all frames on one scale.

    Parameters
    ----------
    shrunk_weight
        [kg].
    finished_weight
        At 28 % body fat, or mature for breeding heifers [kg].
    reference_weight
        478 at 28 % fat, 462 at slight, 435 at traces of marbling [kg].
    """
    return shrunk_weight * reference_weight / finished_weight


@equation(
    name="Energy retained in gain (1996)",
    output=_RETAINED,
    source="nrc-beef-1996-growth",
    mark="recalled_confirmed",
    species=_CATTLE,
    valid={"gain": (0, 2)},
)
def energy_retained(equivalent_weight: Any, gain: Any) -> Any:
    """0.0635 (0.891 weight)^0.75 (0.956 gain)^1.097.

    Parameters
    ----------
    equivalent_weight
        [kg].
    gain
        Shrunk [kg/day].
    """
    empty_gain = 0.956 * np.maximum(gain, 0.0)
    return 0.0635 * (0.891 * equivalent_weight) ** 0.75 * empty_gain**1.097


@equation(
    name="Gain from energy retained (1996)",
    output=("gain", "kg/day", ""),
    source="nrc-beef-1996-growth",
    mark="recalled_confirmed",
    species=_CATTLE,
)
def shrunk_gain(energy_retained: Any, equivalent_weight: Any) -> Any:
    """13.91 RE^0.9116 x weight^-0.6837.

    Parameters
    ----------
    energy_retained
        [Mcal/day].
    equivalent_weight
        [kg].
    """
    return 13.91 * np.maximum(energy_retained, 0.0) ** 0.9116 * equivalent_weight**-0.6837


@equation(
    name="Protein retained in gain (1996)",
    output=("protein_gain", "g/day", ""),
    source="nrc-beef-1996-growth",
    mark="recalled_confirmed",
    species=_CATTLE,
)
def protein_gain(gain: Any, energy_retained: Any) -> Any:
    """Gain x (268 - 29.4 RE / gain); gain [kg/day], energy_retained [Mcal/day]."""
    return np.maximum(268.0 * gain - 29.4 * energy_retained, 0.0)


@equation(
    name="Metabolizable protein for gain (1996)",
    output=("mp_gain", "g/day", ""),
    source="nrc-beef-1996-growth",
    mark="recalled_confirmed",
    species=_CATTLE,
)
def mp_gain(protein_gain: Any, equivalent_weight: Any) -> Any:
    """Protein / (0.834 - 0.00114 weight) up to 300 kg, beyond that / 0.492.

    Parameters
    ----------
    protein_gain
        [g/day].
    equivalent_weight
        [kg].
    """
    efficiency = np.where(equivalent_weight <= 300.0, 0.834 - 0.00114 * equivalent_weight, 0.492)
    return (protein_gain / efficiency)[()]


@equation(
    name="Energy retained in gain of steers, medium frame (1984)",
    output=_RETAINED,
    source="nrc-beef-1984",
    mark="recalled",
    species=_CATTLE,
)
def energy_retained_1984_steers(weight: Any, gain: Any) -> Any:
    """0.0557 weight^0.75 gain^1.097; weight [kg], gain [kg/day]."""
    return 0.0557 * weight**0.75 * np.maximum(gain, 0.0) ** 1.097


@equation(
    name="Energy retained in gain of heifers, medium frame (1984)",
    output=_RETAINED,
    source="nrc-beef-1984",
    mark="recalled",
    species=_CATTLE,
)
def energy_retained_1984_heifers(weight: Any, gain: Any) -> Any:
    """0.0686 weight^0.75 gain^1.119; weight [kg], gain [kg/day]."""
    return 0.0686 * weight**0.75 * np.maximum(gain, 0.0) ** 1.119


@equation(
    name="Energy retained in gain of bulls, medium frame (1984)",
    output=_RETAINED,
    source="nrc-beef-1984",
    mark="recalled",
    species=_CATTLE,
)
def energy_retained_1984_bulls(weight: Any, gain: Any) -> Any:
    """0.0493 weight^0.75 gain^1.097; weight [kg], gain [kg/day]."""
    return 0.0493 * weight**0.75 * np.maximum(gain, 0.0) ** 1.097
