"""Noding: cut every line where it meets another, with vertices that nothing cuts kept as exact floats."""

from collections.abc import Callable

import shapely
from shapely import Geometry, MultiLineString

from filigree.regions.arrangement import Arrangement, arrange, is_planar
from filigree.regions.chains import Chains, together, unpack
from filigree.regions.runs import Runs
from filigree.regions.settling import settle

GRID = 1e-6  # mm: where nothing else works, vertices are moved by up to this


def node(chains: Chains, part: Runs | None = None) -> Arrangement:
    """Cut chains at every crossing and touch and link them; pieces drawn twice are kept once.

    `shapely.node` is the fastest noder but gives up on some art ("noding failed to converge"), and may
    miss a crossing within rounding: then an overlay with nothing is tried, at last on a fine grid.

    Args:
        chains: lines, mm.
        part: their runs, where these are known.
    """
    if not len(chains):
        return arrange(chains)
    chains = settle(chains, part)
    lines = together(chains)
    for noder in NODERS[:-1]:
        try:
            graph = arrange(unpack(noder(lines)))
        except shapely.errors.GEOSException:
            continue
        if is_planar(graph):
            return graph
    return arrange(unpack(NODERS[-1](lines)))


def _overlay(lines: MultiLineString) -> Geometry:
    return shapely.union_all([lines])


def _overlay_on_grid(lines: MultiLineString) -> Geometry:
    return shapely.union_all([lines], grid_size=GRID)


NODERS: tuple[Callable[[MultiLineString], Geometry], ...] = (
    shapely.node,
    _overlay,
    _overlay_on_grid,
)
