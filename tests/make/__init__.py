"""Builders: shapes, faces and plates whose truth is known by construction, mm."""

from tests.make.shapes import (
    circle,
    hexagon,
    land,
    opening,
    pattern,
    plate,
    polygon,
    rectangle,
    slot,
    square,
    square_grid,
    staggered,
)

__all__ = [
    "circle",
    "hexagon",
    "land",
    "opening",
    "pattern",
    "plate",
    "polygon",
    "rectangle",
    "slot",
    "square",
    "square_grid",
    "staggered",
]
