"""Scans and photos of tracings: pixels in, lines in mm out."""

from filigree.drawing.scan.page import Redrawn
from filigree.drawing.scan.read import read_scan, redraw_scan
from filigree.drawing.scan.scale import Measured

__all__ = ["Measured", "Redrawn", "read_scan", "redraw_scan"]
