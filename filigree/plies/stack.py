"""Stack: how thick, heavy and stiff the plies are together, and how much longer the outer ones run.

Beam formulas of handbook section 5: loose plies slide on each other, bonded ones bend as one.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from filigree.job import default
from filigree.units import Span

BEND_K = default("bend.k")


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One ply of a stack, from the grain side of the face inward.

    Attributes:
        ply: "face", "inlay", "backing" or "stiffener".
        thickness: range, mm.
        area_mm2: leather left, openings subtracted.
        density: g/cm3.
        modulus: stiffness against the other plies; 1 when all are taken alike.
    """

    ply: str
    thickness: Span
    area_mm2: float
    density: float
    modulus: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """Figures of a whole stack.

    Attributes:
        thickness: sum of the plies, mm; the same at the middle and at an edge that is not skived.
        mass_g: of each ply, in the order of the layers.
        loose: bending stiffness of plies that slide, against the bare face.
        bonded: bending stiffness of plies that are glued all over, against the bare face.
        plies: how many plies meet at the edge.
    """

    thickness: Span
    mass_g: tuple[float, ...]
    loose: float
    bonded: float
    plies: int

    @property
    def total_g(self) -> float:
        """Mass of all plies, g."""
        return sum(self.mass_g)


def stack(layers: Sequence[Layer]) -> Stack:
    """Add up a stack; the first layer is the face that stiffness is measured against.

    Raises:
        ValueError: there is no layer.
    """
    if not layers:
        raise ValueError("a stack needs at least one layer")
    middles = [(layer.modulus, layer.thickness.middle) for layer in layers]
    bare = loose_stiffness(middles[:1])
    return Stack(
        thickness=Span(
            sum(layer.thickness.low for layer in layers),
            sum(layer.thickness.high for layer in layers),
        ),
        mass_g=tuple(
            mass_g(layer.area_mm2, layer.thickness.middle, layer.density) for layer in layers
        ),
        loose=loose_stiffness(middles) / bare,
        bonded=bonded_stiffness(middles) / bare,
        plies=len(layers),
    )


def mass_g(area_mm2: float, thickness: float, density: float) -> float:
    """Mass of a ply in grams: area x thickness x density (handbook 1.3).

    >>> round(mass_g(20000 * 0.65, 6 * 25.4 / 64, 0.95), 2)  # row 8
    29.41
    """
    return area_mm2 / 100 * thickness / 10 * density


def loose_stiffness(plies: Sequence[tuple[float, float]]) -> float:
    """12 EI/b of plies `(modulus, thickness mm)` that slide: the sum of E t^3.

    >>> loose_stiffness([(1, 2), (1, 1), (1, 1)])  # row 73
    10
    """
    return sum(e * t**3 for e, t in plies)


def bonded_stiffness(plies: Sequence[tuple[float, float]]) -> float:
    """12 EI/b of plies `(modulus, thickness mm)` glued all over, about their common neutral plane.

    >>> bonded_stiffness([(1, 2), (1, 1), (1, 1)])  # row 73
    64.0
    """
    middle = neutral_plane(plies)
    total, height = 0.0, 0.0
    for e, t in plies:
        total += e * (t**3 / 12 + t * (height + t / 2 - middle) ** 2)
        height += t
    return 12 * total


def neutral_plane(plies: Sequence[tuple[float, float]]) -> float:
    """Height of the plane that keeps its length, mm from the outside of the first ply.

    >>> round(neutral_plane([(100, 2), (20, 1)]), 6)  # row 74
    1.136364
    """
    height, moment, weight = 0.0, 0.0, 0.0
    for e, t in plies:
        moment += e * t * (height + t / 2)
        weight += e * t
        height += t
    return moment / weight


def bend_length(angle: float, inside: float, thickness: float, *, k: float = BEND_K) -> float:
    """Length of a ply bent through `angle` radians round the radius `inside`, mm.

    `k` is where the plane of constant length lies, as a share of the thickness from the inside: 0.3 to 0.5.

    >>> import math
    >>> round(bend_length(math.pi / 2, 5, 2), 6)  # row 77
    9.424778
    """
    return angle * (inside + k * thickness)


def wrap_lengths(diameter: float, thicknesses: Sequence[float], *, angle: float) -> list[float]:
    """Lengths of the plies' middle surfaces round a cylinder, inner ply first, mm.

    >>> import math
    >>> [round(x, 4) for x in wrap_lengths(60, [2.0, 1.6], angle=2 * math.pi)]  # row 76
    [194.7787, 206.0885]
    """
    lengths, radius = [], diameter / 2
    for t in thicknesses:
        lengths.append(bend_length(angle, radius, t))
        radius += t
    return lengths


def before_hardening(length: float, shrinkage: float) -> float:
    """Length to cut so that a ply that shrinks by `shrinkage` (0 to 0.2) ends at `length` mm.

    >>> before_hardening(180.0, 0.10)
    200.0
    """
    if not 0 <= shrinkage <= 0.2:
        raise ValueError(f"shrinkage {shrinkage} is outside 0 to 0.2")
    return length / (1 - shrinkage)
