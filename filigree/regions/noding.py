"""Noding: cut every line where it meets another, with vertices that nothing cuts kept as exact floats."""

import shapely
from shapely import MultiLineString

from filigree.regions.chains import Chains, linestrings, unpack


def node(chains: Chains) -> Chains:
    """Cut chains at every crossing and touch; pieces drawn twice are kept once.

    `shapely.node` is the faster noder but gives up on some art ("noding failed to converge"); an
    overlay with nothing does not.
    """
    if not len(chains):
        return chains
    lines = MultiLineString(list(linestrings(chains)))
    try:
        return unpack(shapely.node(lines))
    except shapely.errors.GEOSException:
        return unpack(shapely.union_all([lines]))
