"""Equations of digestibility in the tube."""

from __future__ import annotations

from typing import Any

from haywright.measure.register import equation


@equation(
    name="True digestibility in the tube",
    output=("ivtd", "%", "dry matter"),
    source="mass-balance",
    mark="definition",
)
def true_digestibility(undigested: Any) -> Any:
    """Dry matter that neither stayed as fiber nor was microbes.

    Parameters
    ----------
    undigested
        Fiber left after digestion [% of dry matter].
    """
    return 100.0 - undigested


@equation(
    name="Digestibility of the fiber in the tube",
    output=("ndfd", "% of NDF", ""),
    source="mass-balance",
    mark="definition",
)
def fiber_digested(undigested: Any, ndf: Any) -> Any:
    """Share of the fiber that was digested.

    Parameters
    ----------
    undigested
        Fiber left after digestion [% of dry matter].
    ndf
        Fiber of the same powder [% of dry matter].
    """
    return 100.0 * (ndf - undigested) / ndf
