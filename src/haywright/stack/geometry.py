"""Volumes and weights of bales, and how much of a bale its weathered outside is.

Publications mix two bases without saying so: the curved side alone, and the curved side with both
flat ends. Bales butted end to end weather on the curved side only.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from haywright.measure.register import equation

_SHARE = ("mass_share", "", "")


@equation(
    name="Volume of a round bale = pi/4 x diameter squared x width",
    output=("bale_volume", "m3", ""),
    source="solid-geometry",
    mark="definition",
)
def volume_round(bale_diameter: Any, bale_width: Any) -> Any:
    """pi/4 D^2 W from bale_diameter [m] and bale_width [m], flat face to flat face."""
    return np.pi / 4 * bale_diameter**2 * bale_width


@equation(
    name="Volume of a square bale = height x width x length",
    output=("bale_volume", "m3", ""),
    source="solid-geometry",
    mark="definition",
)
def volume_square(bale_height: Any, bale_width: Any, bale_length: Any) -> Any:
    """H W L from bale_height [m], bale_width [m] and bale_length [m]."""
    return bale_height * bale_width * bale_length


@equation(
    name="Weight = volume x density",
    output=("hay_mass", "kg", "as it stands"),
    source="solid-geometry",
    mark="definition",
)
def weight_of(bale_volume: Any, hay_density: Any) -> Any:
    """Weight from bale_volume [m3] and hay_density [kg/m3 as it stands]."""
    return bale_volume * hay_density


@equation(
    name="Density = weight / volume",
    output=("hay_density", "kg/m3", "as it stands"),
    source="solid-geometry",
    mark="definition",
)
def density_of(hay_mass: Any, bale_volume: Any) -> Any:
    """Density from hay_mass [kg as it stands] and bale_volume [m3]."""
    return hay_mass / bale_volume


@equation(
    name="Weathered outside of a round bale, curved side = 1 - ((R - t)/R)^2",
    output=_SHARE,
    source="solid-geometry",
    mark="definition",
)
def rind_share_curved(bale_radius: Any, rind: Any) -> Any:
    """Share of the mass in an outer layer of the curved side; even density.

    Parameters
    ----------
    bale_radius
        Radius [m].
    rind
        Thickness of the layer [m].
    """
    inside = np.clip((bale_radius - rind) / bale_radius, 0.0, 1.0)
    return 1.0 - inside**2


@equation(
    name="Weathered outside of a round bale with both ends = 1 - ((R - t)/R)^2 (W - 2t)/W",
    output=_SHARE,
    source="solid-geometry",
    mark="definition",
)
def rind_share_with_ends(bale_radius: Any, bale_width: Any, rind: Any) -> Any:
    """Share of the mass in an outer layer of the curved side and both flat ends; even density.

    Parameters
    ----------
    bale_radius
        Radius [m].
    bale_width
        Width, flat face to flat face [m].
    rind
        Thickness of the layer [m].
    """
    inside = np.clip((bale_radius - rind) / bale_radius, 0.0, 1.0)
    between_ends = np.clip((bale_width - 2.0 * rind) / bale_width, 0.0, 1.0)
    return 1.0 - inside**2 * between_ends


@equation(
    name="Weathered outside of a square bale, all six faces",
    output=_SHARE,
    source="solid-geometry",
    mark="definition",
)
def rind_share_square(bale_height: Any, bale_width: Any, bale_length: Any, rind: Any) -> Any:
    """1 - product of (1 - 2t/side); even density.

    Parameters
    ----------
    bale_height, bale_width, bale_length
        Sides [m].
    rind
        Thickness of the layer on every face [m].
    """
    sound = 1.0
    for side in (bale_height, bale_width, bale_length):
        sound = sound * np.clip(1.0 - 2.0 * rind / side, 0.0, 1.0)
    return 1.0 - sound
