"""Measures of one face: geometry without limits."""

from filigree.measure.again import Measured, measured
from filigree.measure.asked import Asked, asked_of
from filigree.measure.measure import measure
from filigree.measure.model import (
    EDGE,
    Corner,
    Fallen,
    Island,
    Margin,
    Measures,
    Neck,
    OpeningSize,
    OpenShare,
    Side,
    Strand,
    Tip,
)

__all__ = [
    "EDGE",
    "Asked",
    "Corner",
    "Fallen",
    "Island",
    "Margin",
    "Measured",
    "Measures",
    "Neck",
    "OpenShare",
    "OpeningSize",
    "Side",
    "Strand",
    "Tip",
    "asked_of",
    "measure",
    "measured",
]
