"""Colourways: sets of face, inlay and backing colours to look at side by side."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from filigree.colour.palette import hex_of
from filigree.colour.reading import Reading, propose, reading
from filigree.errors import FiligreeError
from filigree.job import Job

MOST = 60  # colourways on one sheet
OFFERED = 7  # proposals when the maker asks for nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class Colourway:
    """One set of colours.

    Attributes:
        face: colour of the face.
        inlays: colour of each group of openings, in the order of the groups.
        edge: colour of the backing, seen at the edge.
        readings: face against each inlay, in the same order.
    """

    face: str
    inlays: tuple[str, ...]
    edge: str
    readings: tuple[Reading, ...]

    @property
    def reads(self) -> bool:
        """True when every inlay reads for every eye."""
        return all(found.reads for found in self.readings)


def colourways(job: Job, groups: Sequence[str]) -> tuple[Colourway, ...]:
    """List the colourways that the job asks for, the piece as set first.

    Args:
        job: `[colours]` lists faces and inlays; `propose` asks for the best of the palette.
        groups: inlay colours of the pattern, one a group of openings, at least one.

    Raises:
        FiligreeError: a colour is not known, or more than 60 colourways are asked for.
    """
    for key, named in (("faces", job.colours.faces), ("inlays", job.colours.inlays)):
        for colour in named:
            hex_of(colour, where=f"[colours] {key}")  # told before any work
    faces = job.colours.faces or (job.face.colour,)
    wanted = job.colours.propose or (0 if job.colours.inlays else OFFERED)
    sets: list[tuple[str, tuple[str, ...]]] = []
    if not job.colours.inlays and not job.colours.faces:
        sets.append((job.face.colour, tuple(groups)))
    for face in faces:
        offered = propose(face, wanted) if wanted else ()
        pool = tuple(dict.fromkeys((*job.colours.inlays, *offered)))
        sets += [(face, inlays) for inlays in _sets(pool, len(groups))]
    distinct = list(dict.fromkeys(sets))
    if len(distinct) > MOST:
        raise FiligreeError(
            f"{len(distinct)} colourways are more than {MOST}",
            remedy="name fewer face or inlay colours",
            where="[colours]",
        )
    return tuple(
        Colourway(
            face=face,
            inlays=inlays,
            edge=job.backing.colour,
            readings=tuple(reading(face, inlay) for inlay in inlays),
        )
        for face, inlays in distinct
    )


def _sets(pool: Sequence[str], groups: int) -> list[tuple[str, ...]]:
    """Give every choice of `groups` colours of the pool; a short pool is gone round again."""
    if len(pool) < groups:
        return [tuple(itertools.islice(itertools.cycle(pool), groups))] if pool else []
    return list(itertools.combinations(pool, groups))
