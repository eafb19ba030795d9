"""Slivers: faces no wider than a hairline, left between lines drawn nearly twice, go to a neighbour."""

from dataclasses import dataclass

import numpy as np

from filigree.geometry.types import XY, BoolArray, FloatArray, IntArray
from filigree.regions.chains import ALIKE, outward
from filigree.regions.faces import OUTSIDE, Faces, summed
from filigree.regions.merging import Merging

NEARLY = 0.5  # of the longest border shared: a neighbour with as much may take a sliver


@dataclass(frozen=True, slots=True, kw_only=True)
class Sliver:
    """A face that was given away: a place on the line taken out, and the sliver's length, mm."""

    at: XY
    length: float


def merge_slivers(faces: Faces, *, under: float) -> tuple[BoolArray, tuple[Sliver, ...]]:
    """Give each face of less mean width than `under` mm to the neighbour it shares most line with.

    Of neighbours that share nearly as much, those that are no slivers go first: slivers side by side
    must not make up a field. What is equal goes by its place in the drawing, not on the page, so that
    a turned drawing is divided alike.

    Returns:
        Chains that stay, `(k,)`, and the slivers, thinnest first.
    """
    stays = np.ones(len(faces.graph.chains), dtype=bool)
    width = faces.thickness
    thin = np.flatnonzero(width < under)
    if not len(thin):
        return stays, ()
    sides = faces.of.reshape(-1, 2).tolist()
    length = faces.length.tolist()
    borders = _borders(faces, thin)
    merged = Merging(faces)
    gone: list[Sliver] = []
    for face in _thinnest_first(faces, thin).tolist():
        here = merged.root(face)
        if here == OUTSIDE or merged.thickness(here) >= under:
            continue
        shared = _shared(borders[here], sides, merged, here)
        if not shared:
            continue
        border = {n: sum(length[c] for c in lines) for n, lines in shared.items()}
        other = _taker(merged, border, under)
        around = borders.pop(here) + borders.pop(other, [])
        longest = max(shared[other], key=lambda c: (round(length[c], ALIKE), c))
        gone.append(Sliver(at=_middle(faces, longest), length=merged.around(here) / 2))
        borders[merged.merge(here, other, border[other])] = around
    roots = np.array([merged.root(f) for f in range(len(faces))] + [-1], dtype=np.int64)
    left, right = faces.of[0::2], faces.of[1::2]
    stays &= (roots[left] != roots[right]) | (left == right)
    return stays, tuple(gone)


def _taker(merged: Merging, border: dict[int, float], under: float) -> int:
    """Choose the neighbour that takes a sliver, from the length of border shared with each, mm."""
    enough = NEARLY * max(border.values())

    def rank(face: int) -> tuple[bool, float, float, int]:
        wide = merged.thickness(face) >= under and border[face] >= enough
        around = 0.0 if face == OUTSIDE else round(merged.around(face), ALIKE)
        return wide, round(border[face], ALIKE), around, face

    return max(border, key=rank)


def _thinnest_first(faces: Faces, thin: IntArray) -> IntArray:
    """Sort slivers by width, then length, then how far out their corners lie."""
    chains, count = faces.graph.chains, len(faces)
    corner = chains.xy[np.column_stack([chains.firsts, chains.lasts]).reshape(-1)]
    inside = faces.of >= 0
    far = summed(faces.of[inside], outward(chains, corner)[inside], count)[thin]
    width, around = faces.thickness[thin], faces.around[thin]
    keys = [np.round(key, ALIKE) for key in (far, around, width)]
    return thin[np.lexsort((thin, *keys))]


def _borders(faces: Faces, thin: IntArray) -> dict[int, list[int]]:
    """Chains round each thin face."""
    narrow = np.zeros(len(faces) + 1, dtype=bool)
    narrow[thin] = True
    half = np.flatnonzero(narrow[faces.of])
    borders: dict[int, list[int]] = {}
    for face, chain in zip(faces.of[half].tolist(), (half >> 1).tolist(), strict=True):
        borders.setdefault(face, []).append(chain)
    return borders


def _shared(
    lines: list[int], sides: list[list[int]], merged: Merging, here: int
) -> dict[int, list[int]]:
    """Sort the chains round a face by the face on their other side."""
    shared: dict[int, list[int]] = {}
    for chain in lines:
        a, b = merged.root(sides[chain][0]), merged.root(sides[chain][1])
        if a != b:
            shared.setdefault(b if a == here else a, []).append(chain)
    return shared


def _middle(faces: Faces, chain: int) -> XY:
    chains = faces.graph.chains
    points: FloatArray = chains.xy[chains.offsets[chain] : chains.offsets[chain + 1]]
    steps = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    half = along[-1] / 2
    return float(np.interp(half, along, points[:, 0])), float(np.interp(half, along, points[:, 1]))
