"""Choose: which regions are background and will be cut out. Picks first, then marks, then a guess."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from filigree.drawing.model import Drawing
from filigree.geometry.types import XY, BoolArray, FloatArray
from filigree.regions.background.frame import framed
from filigree.regions.background.guess import guess
from filigree.regions.background.look import Look, look
from filigree.regions.background.wishes import Wishes, wishes
from filigree.regions.model import Choice, How, Kind, RegionMap

ENOUGH = 0.3  # share of the likely background that strokes must mark to say that all else stays
RIM_SURE = 0.99  # of 1210 rims and bands found on generated drawings 5 were background
ALL_DARK = 0.9  # of a light field's wall on dark leather: it is a hole in that leather


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Answer:
    """One answer a row: open or not, how sure, and what said so."""

    opened: BoolArray
    sure: FloatArray
    how: npt.NDArray[np.object_]


def choose(
    map: RegionMap,  # noqa: A002 - the noun's own name
    drawing: Drawing,
    *,
    picks_open: Sequence[XY] = (),
    picks_keep: Sequence[XY] = (),
    sure: float = 0.8,
    seen: Look | None = None,
) -> tuple[Choice, ...]:
    """Say of every region whether it is background.

    Picks weigh most, then the drawing's own marks, then the guess. Where marks say what is open, or dark
    ink says what is cut, everything else stays. The rim stays unless it is picked or marked.

    Args:
        map: the divided drawing.
        drawing: its marks, and what its solids are.
        picks_open: points inside regions that the maker opens, mm.
        picks_keep: points inside regions that the maker keeps, mm.
        sure: guesses less sure than this, 0 to 1, follow look-alikes that are surer.
        seen: what `look` has seen of the same map before; it is looked at anew when None.

    Returns:
        One choice a region, in order of ids.

    Raises:
        FiligreeError: a pick lies in no region, or one region is picked both ways.
        ValueError: `sure` is not within 0 to 1.
    """
    if not 0 <= sure <= 1:
        raise ValueError(f"sure must be within 0 and 1, not {sure}")
    wish = wishes(map, drawing, picks_open, picks_keep)
    if not map.regions:
        return ()
    seen = look(map) if seen is None else seen
    frame = framed(seen.border, len(map.regions))
    answer = _answer(map, drawing, wish, seen, sure)
    return tuple(
        Choice(
            region=region.id,
            kind=_kind(opened=bool(answer.opened[row]), frame=bool(frame[row])),
            how=answer.how[row],
            sure=round(float(answer.sure[row]), 4),
            inlay=wish.inlay[row] if answer.opened[row] else "",
        )
        for row, region in enumerate(map.regions)
    )


def _kind(*, opened: bool, frame: bool) -> Kind:
    if opened:
        return "background"
    return "rim" if frame else "motif"


def _answer(map_: RegionMap, drawing: Drawing, wish: Wishes, seen: Look, follow: float) -> _Answer:
    """Settle what wishes, dark ink and the frame say; guess the rest."""
    count = len(map_.regions)
    asked = np.array([bool(s) for s in wish.says])
    opened = np.array([s == "open" for s in wish.says])
    sure = np.ones(count)
    how = np.full(count, "guessed", dtype=object)
    how[asked] = _word("marked")
    how[wish.picked] = _word("picked")
    solid = np.array([r.solid for r in map_.regions]) & ~asked
    frame = framed(seen.border, count) & ~asked & ~solid
    cut = drawing.dark == "cut" and bool(solid.any())
    if cut:
        opened |= solid
    sure[solid] = drawing.dark_sure
    rest = ~(asked | solid | frame)
    sure[frame] = RIM_SURE
    if wish.marked_open or cut:
        sure[~asked] = 1.0 if wish.marked_open else drawing.dark_sure
        how[~asked] = _word("marked")
        return _Answer(opened=opened, sure=sure, how=how)
    if drawing.dark == "leather":
        light = rest & (seen.dark_share > ALL_DARK)
        opened |= light
        sure[light] = drawing.dark_sure
        rest &= ~light
    if count == 1:  # a lone field is the piece itself
        rest &= False
    if rest.any():
        found = guess(seen, opened=opened, shut=~(opened | rest), follow=follow)
        guessed = np.where(rest, found.opened, opened)
        if wish.strokes_open and _speaks(map_, opened, guessed):
            return _Answer(
                opened=opened, sure=np.ones(count), how=np.full(count, "marked", dtype=object)
            )
        opened = guessed
        sure = np.where(rest, found.sure, sure)
    return _Answer(opened=opened, sure=sure, how=how)


def _speaks(map_: RegionMap, marked: BoolArray, guessed: BoolArray) -> bool:
    """Do hatched and shaded fields make up enough of the likely background to speak for all of it?"""
    area = np.array([r.area_mm2 for r in map_.regions])
    return bool(area[marked].sum() >= ENOUGH * area[guessed].sum())


def _word(how: How) -> How:
    """Hold a word to the nouns' list."""
    return how
