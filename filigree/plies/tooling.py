"""Tooling: a face that is cut before it is tooled is cut smaller, by as much as tooling stretches it."""

from dataclasses import replace

import numpy as np
import shapely
from shapely import Polygon

from filigree.geometry.curves import CurveTable
from filigree.geometry.types import FloatArray
from filigree.job import Job
from filigree.measure.pull import direction
from filigree.pattern import Pattern
from filigree.plies.lie import way_said


def before_tooling(
    pattern: Pattern, blank: Polygon, spots: FloatArray, job: Job
) -> tuple[Pattern, Polygon, FloatArray, str]:
    """Shrink a face by its stretch factors, along and across the piece (handbook 2.4).

    A factor is the length after tooling over the length before; the middle of the blank stays in place.

    Returns:
        Pattern, blank and the spots of round holes as they are cut, and a sentence that says so, empty with factors of 1.
    """
    along, across = job.cut.stretch_along, job.cut.stretch_across
    if along == 1 and across == 1:
        return pattern, blank, spots, ""
    unit = direction(job.use.pull, pattern.outline)
    turned = np.array([unit, [-unit[1], unit[0]]])
    matrix = turned.T @ np.diag([1 / along, 1 / across]) @ turned
    left, top, right, bottom = blank.bounds
    middle = np.array([(left + right) / 2, (top + bottom) / 2])

    def cut_size(points: FloatArray) -> FloatArray:
        x, y = points[..., 0] - middle[0], points[..., 1] - middle[1]
        return np.stack(
            [
                middle[0] + matrix[0, 0] * x + matrix[0, 1] * y,
                middle[1] + matrix[1, 0] * x + matrix[1, 1] * y,
            ],
            axis=-1,
        )

    openings = tuple(
        replace(o, shape=shapely.transform(o.shape, cut_size)) for o in pattern.openings
    )
    curves = CurveTable(
        cubics=cut_size(pattern.curves.cubics),
        starts=cut_size(pattern.curves.starts),
        ends=cut_size(pattern.curves.ends),
        curve=pattern.curves.curve,
        spans=pattern.curves.spans,
    )
    smaller = replace(
        pattern,
        outline=shapely.transform(pattern.outline, cut_size),
        openings=openings,
        land=shapely.transform(pattern.land, cut_size),
        curves=curves,
    )
    say = f" Drawn for tooling after cutting: divided by {along:g} along the piece ({way_said(unit)}) and {across:g} across it."
    return smaller, shapely.transform(blank, cut_size), cut_size(spots), say
