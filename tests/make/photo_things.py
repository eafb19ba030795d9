"""Tables a sheet may lie on, and things that lie or fall on it: shadows, rings, folds, holes, tape, ruling, fingers."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy import ndimage


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """One thing; `on` says whether it changes the paper, the whole picture, or is a hole in the sheet.

    Attributes:
        kind: "shadow", "ring", "fold", "hole", "tape", "ruled", "squared", "finger", "weight".
        at: its place, sheet mm; for a fold and a shadow's edge a point on it.
        turn: direction in degrees.
        size: radius, spacing or width, mm.
        dark: share of light it takes.
        soft: mm over which its edge fades.
    """

    kind: str
    on: Literal["paper", "all", "hole"]
    at: tuple[float, float] = (0.0, 0.0)
    turn: float = 0.0
    size: float = 10.0
    dark: float = 0.3
    soft: float = 1.0

    def laid(self, picture: np.ndarray, sx: np.ndarray, sy: np.ndarray, size) -> np.ndarray:
        """The picture with the thing on it."""
        return LAID[self.kind](self, picture, sx, sy)

    def cover(self, sx, sy) -> np.ndarray:
        """How much a hole takes of the sheet, 0 to 1."""
        r = np.hypot(sx - self.at[0], sy - self.at[1])
        return np.clip(0.5 - (r - self.size) / 0.15, 0, 1)


def _axes(thing: Thing, sx, sy):
    a = np.radians(thing.turn)
    x, y = sx - thing.at[0], sy - thing.at[1]
    return x * np.cos(a) + y * np.sin(a), -x * np.sin(a) + y * np.cos(a)


def _step(v, soft):
    return 1 / (1 + np.exp(-np.clip(v / max(soft, 1e-3) * 4, -50, 50)))


def _shadow(thing, picture, sx, sy):
    """A half plane in shade; with a size, a phone's or an arm's strip."""
    _, v = _axes(thing, sx, sy)
    inside = _step(v, thing.soft)
    if thing.size:
        inside = inside * _step(thing.size - v, thing.soft)
    return picture * (1 - thing.dark * inside)


def _ring(thing, picture, sx, sy):
    """A cup's ring: sharp outside, fading inwards, broken."""
    x, y = sx - thing.at[0], sy - thing.at[1]
    r, a = np.hypot(x, y), np.arctan2(y, x)
    wide = 1.2 + 0.5 * np.sin(3 * a + thing.turn)
    band = np.exp(-np.maximum(thing.size - r, 0) / wide) * _step(thing.size - r, thing.soft)
    strength = 0.75 + 0.25 * np.sin(2 * a + thing.turn)
    return picture * (1 - thing.dark * (band * strength + 0.12 * (r < thing.size)))


def _fold(thing, picture, sx, sy):
    """A fold: one side lit more, the other less, fading away, and a thin dark valley."""
    _, v = _axes(thing, sx, sy)
    slope = np.sign(v) * np.exp(-np.abs(v) / max(thing.size, 0.1))
    valley = np.exp(-((v / max(thing.soft, 0.05)) ** 2))
    return picture * (1 + 0.5 * thing.dark * slope - thing.dark * valley)


def _tape(thing, picture, sx, sy):
    """A strip of clear tape: a little darker, with thin edges."""
    u, v = _axes(thing, sx, sy)
    off = np.maximum(np.abs(u) - 2.2 * thing.size, np.abs(v) - thing.size)
    rim = np.exp(-((off / 0.12) ** 2))
    return picture * (1 - thing.dark * (off < 0) * 0.35 - thing.dark * rim)


def _ruled(thing, picture, sx, sy):
    _, v = _axes(thing, sx, sy)
    return picture * (1 - thing.dark * _rule(v, thing))


def _squared(thing, picture, sx, sy):
    u, v = _axes(thing, sx, sy)
    return picture * (1 - thing.dark * np.maximum(_rule(u, thing), _rule(v, thing)))


def _rule(v, thing):
    away = np.abs((v + thing.size / 2) % thing.size - thing.size / 2)
    return np.clip((thing.soft / 2 - away) / 0.06 + 0.5, 0, 1)


def _finger(thing, picture, sx, sy):
    u, v = _axes(thing, sx, sy)
    off = np.where(u > 0, np.hypot(u, v), np.abs(v)) - thing.size
    near = np.hypot(u * 0.8, v) / thing.size
    skin = 0.72 - 0.18 * np.clip(near, 0, 1) ** 3
    cover = _step(-off, 0.4)
    shade = 1 - 0.3 * np.exp(-np.maximum(off, 0) / 2)
    return cover * skin + (1 - cover) * picture * shade


def _weight(thing, picture, sx, sy):
    u, v = _axes(thing, sx, sy)
    off = np.maximum(np.abs(u), np.abs(v)) - thing.size
    cover = _step(-off, 0.15)
    shade = 1 - 0.45 * np.exp(-np.maximum(off, 0) / 1.5)
    return cover * thing.dark + (1 - cover) * picture * shade


LAID = {
    "shadow": _shadow,
    "ring": _ring,
    "fold": _fold,
    "tape": _tape,
    "ruled": _ruled,
    "squared": _squared,
    "finger": _finger,
    "weight": _weight,
}


def _grain(sx, sy, rng, along: float, across: float) -> np.ndarray:
    """Noise stretched along x, spread 1; `along` and `across` in mm."""
    step = max(0.25, across / 2)
    small = rng.normal(0, 1, (512, 512)).astype(np.float32)
    small = ndimage.gaussian_filter(small, (across / step / 2, along / step / 2), mode="wrap")
    small /= small.std()
    return ndimage.map_coordinates(small, [sy / step, sx / step], order=1, mode="grid-wrap")


def _wood(sx, sy, rng):
    fibre = _grain(sx, sy, rng, 60, 0.7)
    rings = np.sin(sy / 2.2 + 2.5 * _grain(sx, sy, rng, 90, 14))
    dark = np.clip(fibre - 1.2, 0, 2)
    return 0.5 + 0.05 * rings + 0.02 * fibre - 0.1 * dark


def _boards(sx, sy, rng):
    gap = np.abs((sy + 31) % 47 - 23.5)
    return (0.62 + 0.03 * _grain(sx, sy, rng, 50, 0.8)) * (1 - 0.75 * np.exp(-((gap / 0.7) ** 2)))


def _dark(sx, sy, rng):
    return 0.2 + 0.015 * _grain(sx, sy, rng, 1, 1)


def _white(sx, sy, rng):
    return 0.92 + 0.004 * _grain(sx, sy, rng, 3, 3)


def _pale(sx, sy, rng):
    return 0.76 + 0.02 * _grain(sx, sy, rng, 40, 0.6) + 0.015 * _grain(sx, sy, rng, 80, 9)


def _cloth(sx, sy, rng):
    check = np.sign(np.sin(sx * np.pi / 11)) + np.sign(np.sin(sy * np.pi / 11))
    return 0.55 + 0.14 * check + 0.03 * _grain(sx, sy, rng, 0.6, 0.6)


def _mat(sx, sy, rng):
    away = np.minimum(np.abs((sx + 5) % 10 - 5), np.abs((sy + 5) % 10 - 5))
    return 0.3 + 0.3 * np.exp(-((away / 0.25) ** 2)) + 0.01 * _grain(sx, sy, rng, 1, 1)


def _stone(sx, sy, rng):
    return np.clip(
        0.6 + 0.1 * _grain(sx, sy, rng, 2, 2) + 0.06 * _grain(sx, sy, rng, 9, 9), 0.2, 0.9
    )


TABLES = {
    "wood": _wood,
    "boards": _boards,
    "dark": _dark,
    "white": _white,
    "pale": _pale,
    "cloth": _cloth,
    "mat": _mat,
    "stone": _stone,
}


def table_of(name: str, sx, sy, rng) -> np.ndarray:
    """Brightness of a table at places in mm, sheet's top left at 0, 0."""
    return np.clip(TABLES[name](sx, sy, rng), 0.02, 1)
