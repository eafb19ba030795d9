"""Picks by number: fields named by their number on the proof become points that survive edits."""

from collections.abc import Iterable

import msgspec
from shapely import Point

from filigree.errors import FiligreeError
from filigree.geometry.types import XY
from filigree.job import Job
from filigree.regions.model import Region, RegionMap


def with_numbers(job: Job, regions: RegionMap) -> Job:
    """Turn numbered picks of the job into points; points already in those fields give way.

    Raises:
        FiligreeError: a number is not on the drawing, or is both opened and kept.
    """
    numbers = job.choose
    if not numbers.open_numbers and not numbers.keep_numbers:
        return job
    both = sorted(set(numbers.open_numbers) & set(numbers.keep_numbers))
    if both:
        raise FiligreeError(
            f"field {both[0]} is both opened and kept",
            remedy="name it once",
            where="--open, --keep",
        )
    by_id = {r.id: r for r in regions.regions}
    opened = [_field(by_id, n, "--open") for n in dict.fromkeys(numbers.open_numbers)]
    kept = [_field(by_id, n, "--keep") for n in dict.fromkeys(numbers.keep_numbers)]
    named = [*opened, *kept]
    choose = msgspec.structs.replace(
        numbers,
        open=(*_outside(numbers.open, named), *(_rounded(r.at) for r in opened)),
        keep=(*_outside(numbers.keep, named), *(_rounded(r.at) for r in kept)),
        open_numbers=(),
        keep_numbers=(),
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
