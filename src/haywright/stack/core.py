"""What a core takes from a bale, as equations.

A core takes hay evenly by its length; a round bale holds it as r dr. So a short core from the
curved side takes too much of the weathered outside and a long one too little; at one length,
R^2/(2R - t), the outside is counted once. Even density unless a profile is given.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Any

import numpy as np

from haywright.measure.register import equation


@equation(
    name="Weathered share of a core into a round bale, straight or tilted",
    output=("core_share", "", ""),
    source="core-in-share",
    mark="derived",
)
def core_rind_share(
    bale_radius: Any,
    rind: Any,
    core_length: Any,
    across: Any = 0.0,
    along: Any = 0.0,
    core_start: Any = 0.0,
) -> Any:
    """Part of the core's length that lies in the weathered outside of the curved side.

    With s along the core, r(s)^2 = R^2 - 2 R s cos a + s^2 in the plane of the circle; tilting
    along the axis shortens every step in that plane by its cosine. A core that comes out on the
    far side ends there.

    Parameters
    ----------
    bale_radius
        Radius R [m].
    rind
        Thickness t of the weathered outside [m].
    core_length
        Hay in the probe [m].
    across
        Tilt a from the line to the middle, across the axis [degree].
    along
        Tilt along the axis [degree].
    core_start
        Depth along the core at which it begins to keep hay [m].
    """
    cos_along = np.cos(np.radians(along))
    cos_across, sin_across = np.cos(np.radians(across)), np.sin(np.radians(across))
    start = core_start * cos_along
    chord = 2.0 * bale_radius * cos_across
    end = np.minimum(start + core_length * cos_along, chord)
    disc = np.maximum(bale_radius - rind, 0.0) ** 2 - (bale_radius * sin_across) ** 2
    half = np.sqrt(np.maximum(disc, 0.0))
    enters = np.where(disc > 0, bale_radius * cos_across - half, chord)
    leaves = np.where(disc > 0, bale_radius * cos_across + half, chord)
    sound = np.maximum(np.minimum(end, leaves) - np.maximum(start, enters), 0.0)
    return 1.0 - sound / (end - start)


@equation(
    name="Weathered share of a core into a flat layer = min(t, l)/l",
    output=("core_share", "", ""),
    source="core-in-share",
    mark="derived",
)
def core_layer_share(rind: Any, core_length: Any, core_start: Any = 0.0) -> Any:
    """Part of a straight core that lies in a layer under a flat face.

    Parameters
    ----------
    rind
        Thickness of the layer [m].
    core_length
        Hay in the probe [m].
    core_start
        Depth at which the core begins to keep hay [m].
    """
    return np.clip(rind - core_start, 0.0, core_length) / core_length


@equation(
    name="Times the weathered outside is counted = core share / mass share",
    output=("rind_factor", "", ""),
    source="core-in-share",
    mark="derived",
)
def rind_factor(core_share: Any, mass_share: Any) -> Any:
    """From core_share [fraction of the core] and mass_share [fraction of the bale]."""
    return core_share / mass_share


@equation(
    name="Core length that counts the weathered outside once = R^2/(2R - t)",
    output=("core_length", "m", ""),
    source="core-in-share",
    mark="derived",
)
def length_counting_once(bale_radius: Any, rind: Any) -> Any:
    """For a straight core into a round bale, curved side weathered.

    Parameters
    ----------
    bale_radius
        Radius R [m].
    rind
        Thickness t of the weathered outside [m]; 0 gives the limit of a thin one, R/2.
    """
    return bale_radius**2 / (2.0 * bale_radius - rind)


@equation(
    name="Core length that counts a share once = t / share",
    output=("core_length", "m", ""),
    source="core-in-share",
    mark="derived",
)
def length_for_share(rind: Any, mass_share: Any) -> Any:
    """For any straight core through one layer: rind [m] and mass_share [fraction of the bale]."""
    return rind / mass_share


@equation(
    name="Core length true to an even gradient = 2R/3",
    output=("core_length", "m", ""),
    source="core-in-share",
    mark="derived",
)
def length_for_gradient(bale_radius: Any) -> Any:
    """Where a content changes evenly from the middle outward; bale_radius [m]."""
    return 2.0 * bale_radius / 3.0


@equation(
    name="How far a core reads off = (core share - mass share) x (outside - inside)",
    output=("core_bias", "", "in the unit of the result"),
    source="core-in-share",
    mark="derived",
)
def core_bias(core_share: Any, mass_share: Any, rind_value: Any, sound_value: Any) -> Any:
    """Reading of the core less the value of the whole bale.

    Parameters
    ----------
    core_share, mass_share
        Weathered share of the core and of the bale [fraction].
    rind_value, sound_value
        Value of the weathered outside and of the sound inside [unit of the result].
    """
    return (core_share - mass_share) * (rind_value - sound_value)


@equation(
    name="Whole bale from the bag = bag + (mass share - core share) x contrast",
    output=("lot_value", "", "in the unit of the result"),
    source="core-in-share",
    mark="derived",
)
def whole_from_bag(bag_value: Any, core_share: Any, mass_share: Any, contrast: Any) -> Any:
    """What the whole bale holds.

    Parameters
    ----------
    bag_value
        Result of the bag [unit of the result].
    core_share, mass_share
        Weathered share of the core and of the bale [fraction].
    contrast
        Weathered outside less sound inside [unit of the result].
    """
    return bag_value + (mass_share - core_share) * contrast


@equation(
    name="Sound inside from the bag = bag - core share x contrast",
    output=("sound_value", "", "in the unit of the result"),
    source="core-in-share",
    mark="derived",
)
def inside_from_bag(bag_value: Any, core_share: Any, contrast: Any) -> Any:
    """What is eaten where stock leave the weathered outside.

    Parameters
    ----------
    bag_value
        Result of the bag [unit of the result].
    core_share
        Weathered share of the core [fraction].
    contrast
        Weathered outside less sound inside [unit of the result].
    """
    return bag_value - core_share * contrast


@equation(
    name="Hay in one core = pi/4 x bore squared x length x density",
    output=("core_mass", "g", "as cored"),
    source="solid-geometry",
    mark="definition",
)
def core_mass(bore: Any, core_length: Any, hay_density: Any) -> Any:
    """No allowance for loss or packing; weigh a real bag to calibrate.

    Parameters
    ----------
    bore
        Inside diameter of the tip [m].
    core_length
        Hay in the probe [m].
    hay_density
        Density [kg/m3 as it stands].
    """
    return np.pi / 4 * bore**2 * core_length * hay_density * 1000.0


_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(48)


def _integral(fn: Callable[[Any], Any], edges: Sequence[float]) -> float:
    """Gauss-Legendre on each piece between edges."""
    total = 0.0
    for low, high in pairwise(edges):
        half = (high - low) / 2
        total += half * float(np.sum(_WEIGHTS * fn((high + low) / 2 + half * _NODES)))
    return total


def _even(r: Any) -> Any:
    return np.ones_like(r)


def core_mean(
    content: Callable[[Any], Any],
    bale_radius: float,
    core_length: float,
    *,
    across: float = 0.0,
    along: float = 0.0,
    start: float = 0.0,
    density: Callable[[Any], Any] = _even,
    steps_at: Sequence[float] = (),
) -> float:
    """Mean content of the hay in a core, for any content and density that depend on the radius.

    Parameters
    ----------
    content, density
        Functions of an array of radii [m].
    bale_radius, core_length
        Of the bale and the core [m].
    across, along
        Tilts [degree].
    start
        Depth along the core at which it begins to keep hay [m].
    steps_at
        Radii at which content or density jumps [m].
    """
    a, shrink = np.radians(across), float(np.cos(np.radians(along)))
    chord = 2 * bale_radius * float(np.cos(a))
    first, last = start * shrink, min((start + core_length) * shrink, chord)

    def radius(s: Any) -> Any:
        return np.sqrt(np.maximum(bale_radius**2 - 2 * bale_radius * s * np.cos(a) + s**2, 0.0))

    middle = bale_radius * float(np.cos(a))
    nearest = bale_radius * float(np.sin(a))
    cuts = [middle]
    for r in steps_at:
        if r > nearest:
            off = float(np.sqrt(r**2 - nearest**2))
            cuts += [middle - off, middle + off]
    edges = sorted({first, last, *(c for c in cuts if first < c < last)})
    taken = _integral(lambda s: content(radius(s)) * density(radius(s)), edges)
    return taken / _integral(lambda s: density(radius(s)), edges)


def bale_mean(
    content: Callable[[Any], Any],
    bale_radius: float,
    *,
    density: Callable[[Any], Any] = _even,
    steps_at: Sequence[float] = (),
) -> float:
    """Mean content of a whole round bale, for any content and density of the radius.

    Parameters
    ----------
    content, density
        Functions of an array of radii [m].
    bale_radius
        Radius [m].
    steps_at
        Radii at which content or density jumps [m].
    """
    edges = sorted({0.0, bale_radius, *(r for r in steps_at if 0 < r < bale_radius)})
    held = _integral(lambda r: content(r) * density(r) * r, edges)
    return held / _integral(lambda r: density(r) * r, edges)
