"""Measures of one face: geometry without limits."""

from filigree.measure.measure import measure
from filigree.measure.model import EDGE, Island, Measures, Neck, Side

__all__ = ["EDGE", "Island", "Measures", "Neck", "Side", "measure"]
