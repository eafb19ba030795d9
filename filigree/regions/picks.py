"""Picks by number: fields named by their number on the proof become points that survive edits."""

from collections.abc import Iterable
from dataclasses import dataclass

import msgspec
from shapely import Point

from filigree.errors import FiligreeError
from filigree.geometry.types import XY
from filigree.job import Job
from filigree.regions.model import Region, RegionMap


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbers:
    """Fields to open and to keep, by the numbers printed on the proof."""

    open: tuple[int, ...] = ()
    keep: tuple[int, ...] = ()


NO_NUMBERS = Numbers()


def with_numbers(job: Job, regions: RegionMap, numbers: Numbers) -> Job:
    """Write numbered picks into the job as points; points already in those fields give way.

    Raises:
        FiligreeError: a number is not on the drawing, or is both opened and kept.
    """
    if not numbers.open and not numbers.keep:
        return job
    both = sorted(set(numbers.open) & set(numbers.keep))
    if both:
        raise FiligreeError(
            f"field {both[0]} is both opened and kept",
            remedy="name it once",
            where="--open, --keep",
        )
    by_id = {r.id: r for r in regions.regions}
    opened = [_field(by_id, n, "--open") for n in dict.fromkeys(numbers.open)]
    kept = [_field(by_id, n, "--keep") for n in dict.fromkeys(numbers.keep)]
    named = [*opened, *kept]
    choose = msgspec.structs.replace(
        job.choose,
        open=(*_outside(job.choose.open, named), *(_rounded(r.at) for r in opened)),
        keep=(*_outside(job.choose.keep, named), *(_rounded(r.at) for r in kept)),
    )
    return msgspec.structs.replace(job, choose=choose)


def _field(by_id: dict[int, Region], number: int, option: str) -> Region:
    if number not in by_id:
        raise FiligreeError(
            f"there is no field {number}; the drawing has {len(by_id)}",
            remedy="take a number from the proof",
            where=option,
        )
    return by_id[number]


def _outside(points: Iterable[XY], named: list[Region]) -> list[XY]:
    return [p for p in points if not any(r.shape.intersects(Point(p)) for r in named)]


def _rounded(at: XY) -> XY:
    return round(at[0], 4), round(at[1], 4)
