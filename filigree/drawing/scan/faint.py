"""Faint: strokes far lighter than the rest: the ruling of the paper, stains, what shines through; they are no drawing."""

import numpy as np

from filigree.drawing.scan.ink import Ink
from filigree.drawing.scan.strokes import Stroke
from filigree.geometry.types import FloatArray

FAINT = 0.33  # share of the darkest lines' darkness under which a line is none; pencil among ink is darker
DARKEST = 0.08  # share of the drawn length that is asked for it: squared paper has more ruling than drawing
LEAST = 0.04  # share of the length that must be left
EVERY = 2  # points of a stroke that are asked


def part_faint(drawn: list[Stroke], ink: Ink) -> tuple[list[Stroke], int]:
    """Leave out the faint strokes; also how many they are.

    A stroke is as dark as its middle is half way along its darkness, so that a break or a crossing
    with darker ink says nothing.
    """
    if not drawn:
        return drawn, 0
    count = [len(s.points[::EVERY]) for s in drawn]
    points = np.concatenate([s.points[::EVERY] for s in drawn])
    seen = np.split(_darkness(points, ink), np.cumsum(count)[:-1])
    each = np.array([float(np.median(v)) for v in seen])
    length = np.array([float(np.hypot(*np.diff(s.points, axis=0).T).sum()) for s in drawn])
    usual = _usual(each, length)
    dark = each >= FAINT * usual
    if length[dark].sum() < LEAST * length.sum():
        return drawn, 0  # what is left over would be no drawing
    kept = [s for s, keep in zip(drawn, dark.tolist(), strict=True) if keep]
    return kept, len(drawn) - len(kept)


def _darkness(points: FloatArray, ink: Ink) -> FloatArray:
    rows, columns = ink.calm.shape
    x = np.clip(np.rint(points[:, 0]), 0, columns - 1).astype(np.int64)
    y = np.clip(np.rint(points[:, 1]), 0, rows - 1).astype(np.int64)
    return np.asarray(ink.calm[y, x], np.float64)


def _usual(each: FloatArray, length: FloatArray) -> float:
    """Darkness that the darkest part of the drawn length reaches."""
    order = np.argsort(-each, kind="stable")
    walked = np.cumsum(length[order])
    return float(each[order][np.searchsorted(walked, DARKEST * walked[-1])])
