"""The one table of trade numbers: value, unit, how well it is known, and where it stands.

Marks: "S: key" a source was seen, "CP" common practice without a source, "M" from memory, "measured" found
by trying. Nothing here is a standard; every row can be set in `job.toml` or follows from what stands there.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Default:
    """One trade number; `unit` "t" means times the upper thickness of the face."""

    key: str
    value: float
    unit: str
    mark: str
    source: str


DEFAULTS: tuple[Default, ...] = (
    # bridges: good at least factor x t and floor; stop under factor x t or floor
    Default("bridge.knife.good", 1.5, "t", "CP", "handbook 2.1"),
    Default("bridge.knife.good_floor", 2.0, "mm", "CP", "handbook 2.1"),
    Default("bridge.knife.stop", 1.0, "t", "CP", "handbook 2.1"),
    Default("bridge.knife.stop_floor", 1.2, "mm", "CP", "handbook 2.1"),
    Default("bridge.laser.good", 1.0, "t", "S: laser-shop", "handbook 2.1"),
    Default("bridge.laser.good_floor", 1.2, "mm", "CP", "handbook 2.1"),
    Default("bridge.laser.stop", 0.7, "t", "CP", "handbook 2.1"),
    Default("bridge.laser.stop_floor", 0.8, "mm", "CP", "handbook 2.1"),
    Default("bridge.carries.good", 3.0, "t", "CP", "handbook 2.1"),
    Default("bridge.carries.stop", 2.0, "t", "CP", "handbook 2.1"),
    Default("bridge.lone", 2.0, "bridges", "CP", "a bridge that alone holds a part of the face"),
    # openings, corners, points
    Default("opening.knife", 1.0, "t", "CP", "handbook 2.2"),
    Default("opening.knife_floor", 1.5, "mm", "CP", "handbook 2.2"),
    Default("opening.laser", 0.0, "t", "CP", "handbook 2.2"),
    Default("opening.laser_floor", 0.8, "mm", "CP", "handbook 2.2"),
    Default("opening.area", 4.0, "mm2", "CP", "handbook 2.2"),
    Default("corner.floor", 0.5, "mm", "CP", "handbook 2.2"),
    Default("corner.better", 0.5, "t", "CP", "handbook 2.2"),
    Default("point", 30.0, "deg", "CP", "handbook 2.2"),
    Default("point.blunt", 0.5, "mm", "CP", "handbook 2.2"),
    # tongues, strands, islands; length over width
    Default("tongue", 4.0, "widths", "CP", "handbook 2.2"),
    Default("tongue.glued", 8.0, "widths", "CP", "handbook 2.2"),
    Default("strand", 10.0, "widths", "CP", "handbook 2.2"),
    Default("island.area", 25.0, "mm2", "CP", "handbook 2.2"),
    Default("island.width", 2.0, "t", "CP", "handbook 2.2"),
    # open share by use
    Default("open.strap", 0.30, "share", "CP", "handbook 2.2"),
    Default("open.bag", 0.40, "share", "CP", "handbook 2.2"),
    Default("open.wall", 0.50, "share", "CP", "handbook 2.2"),
    # margins
    Default("rim", 2.0, "t", "CP", "handbook 2.3"),
    Default("rim.floor", 6.0, "mm", "CP", "handbook 2.3"),
    Default("stitch.to_opening", 3.0, "mm", "CP", "handbook 2.3"),
    Default("stitch.hole_clear", 1.5, "mm", "CP", "handbook 4"),
    Default("hole", 2.0, "t", "CP", "handbook 2.3"),
    Default("buckle", 10.0, "mm", "CP", "handbook 2.3"),
    Default("bevel.tooled", 0.75, "t", "CP", "handbook 2.3"),
    Default("bevel.tooled_floor", 1.5, "mm", "CP", "handbook 2.3"),
    # what the cut takes
    Default("kerf.knife", 0.0, "mm", "CP", "handbook 2.6"),
    Default("kerf.laser", 0.2, "mm", "S: laser-shop", "handbook 2.6"),
    Default("char.knife", 0.0, "mm", "CP", "handbook 2.6"),
    Default("char.laser", 0.2, "mm", "CP", "handbook 2.6, 0.1 to 0.5 each side"),
    # punches of a metric set
    Default("punch.least", 1.0, "mm", "CP", "handbook 2.5"),
    Default("punch.most", 10.0, "mm", "CP", "handbook 2.5"),
    Default("punch.step", 0.5, "mm", "CP", "handbook 2.5"),
    # plies
    Default("skive.plies", 3.0, "plies", "CP", "handbook 3.2, from here on an edge wants skiving"),
    Default("blank", 8.0, "mm", "CP", "handbook 3.1, 6 to 10"),
    Default("pin", 2.0, "mm", "CP", "handbook 3.1"),
    Default("patch.land", 4.0, "mm", "CP", "inlay under the land round an opening"),
    Default("patch.seam", 1.5, "mm", "CP", "inlay under each side of a seam, at least"),
    Default("shrink", 0.10, "share", "S: hot76", "handbook 3.5, linear, hardened ply"),
    Default("bend.k", 0.5, "share", "M", "handbook 5, neutral surface from the inside"),
    # glue
    Default("glue.keep_out", 2.0, "mm", "CP", "handbook 3.1"),
    Default("glue.keep_out_share", 0.25, "share", "CP", "of the local width of land"),
    Default("glue.open_time", 5.0, "min", "CP", "handbook 3.1"),
    Default("glue.roll", 2.0, "ft2/min", "CP", "handbook 3.1"),
    Default("glue.coverage", 2.5, "m2/l", "M", "handbook 3.1, 2 to 3"),
    Default("glue.set", 24.0, "h", "CP", "handbook 3.1"),
    # stitching
    Default("stitch.hole", 1.0, "mm", "CP", "diameter, for a thread of 0.8 mm"),
    Default("stitch.pitch", 4.0, "mm", "CP", "handbook 4"),
    Default("stitch.inset", 1.25, "stack", "CP", "handbook 4, 1 to 1.5"),
    Default("stitch.inset_floor", 3.0, "mm", "S: stitch-edge", "handbook 4"),
    Default("stitch.tail", 100.0, "mm", "S: calc", "handbook 4, 75 to 150 at each end"),
    # paper and cost
    Default("paper.overlap", 10.0, "mm", "CP", "handbook 8"),
    Default("paper.bar", 100.0, "mm", "CP", "handbook 8"),
    Default("paper.bar_reject", 0.005, "share", "CP", "handbook 8"),
    Default("yield", 0.70, "share", "CP", "handbook 11.1, 0.60 to 0.85"),
    # colour
    Default("colour.difference", 20.0, "dE00", "CP", "handbook 7.2"),
    Default("colour.difference_warn", 10.0, "dE00", "CP", "handbook 7.2"),
    Default("colour.lightness", 15.0, "L*", "CP", "handbook 7.2"),
    # reading and mending
    Default("gap", 1.0, "mm", "CP", "handbook 12"),
    Default("line", 1.2, "mm", "CP", "ink narrower than this is a line"),
    Default("tone", 0.5, "share", "measured", "lightness that parts ink from paper"),
    Default("sure", 0.8, "share", "measured", "88 % of wrong guesses lie under it"),
    Default("change", 0.12, "share", "CP", "area an opening may lose in mending"),
)

ROWS = {row.key: row for row in DEFAULTS}


def default(key: str) -> float:
    """Value of one row of the table.

    >>> default("bridge.knife.good")
    1.5
    """
    return ROWS[key].value
