"""Protein bound in acid detergent fiber: nitrogen of the ADF residue times its share of the hay."""

from __future__ import annotations

from haywright.bench.bound import bound_in, determination_of

DETERMINATION = determination_of("adicp", bound_in("adicp", fiber="adf"), fiber="adf")
