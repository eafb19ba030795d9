"""Strands and tongues: how long they are for their width."""

import numpy as np

from filigree.geometry.medial import branches
from filigree.measure.model import Strand
from filigree.pattern import Pattern

STEPS = (0.5, 2.0)  # mm: finest and coarsest sampling of the boundary
LONG = 1.0  # times as long as wide; shorter ones, and those under half a bridge long, are left out


def strands(pattern: Pattern, *, wanted: float) -> tuple[Strand, ...]:
    """Measure strands and tongues longer than wide, the most slender first.

    The boundary is sampled at a third of the wanted bridge width.
    """
    found = branches(pattern.land, step=float(np.clip(wanted / 3, *STEPS)))
    long = [
        Strand(kind=b.kind, at=b.at, length=b.length, least=b.least, mean=b.mean)
        for b in found
        if b.length >= max(LONG * b.mean, wanted / 2)
    ]
    return tuple(sorted(long, key=lambda s: (-s.length / s.mean, s.at)))
