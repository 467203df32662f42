"""Protein bound in neutral detergent fiber, the fiber made without sulfite."""

from __future__ import annotations

from haywright.bench.bound import bound_in, determination_of

DETERMINATION = determination_of("ndicp", bound_in("ndicp", fiber="ndf"), fiber="ndf")
