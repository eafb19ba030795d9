"""Plies: what is cut from which leather, finished geometry for the writers."""

from dataclasses import dataclass
from typing import Literal

from filigree.geometry.path import Path
from filigree.geometry.types import XY, Area
from filigree.units import Span


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cut:
    """One kind of line in a cut file; the order of `paths` is the order of cuts.

    Attributes:
        name: group id in the file: "openings", "outline", "blank", "stitch-holes", "pins", ...
        paths: closed paths, after kerf and mirroring.
        owners: opening id of each path of "openings", else empty.
    """

    name: str
    paths: tuple[Path, ...]
    owners: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ply:
    """One file to cut.

    Attributes:
        ply: "face", "trim", "inlay", "backing", "stiffener" or "gauge".
        file: file name, for example "inlay-red.svg".
        title: short name for people.
        note: one sentence: side to cut from, mirrored or not, when in the order of work.
        colour: colour of the leather, `#rrggbb` or a name, "" where none matters.
        thickness: range of the leather, mm.
        cut_from: side that lies up when it is cut.
        mirrored: True when the paths are already mirrored for cutting from the flesh side.
        cuts: the groups, in the order in which they are cut.
        shape: the finished ply in the drawing's own coordinates, for area and pictures.
        area_mm2: area of leather left (openings subtracted).
        size: width and height of the sheet of the file, mm.
        offset: where the drawing's page origin lies on that sheet, mm, before mirroring; paths are on the sheet.
    """

    ply: Literal["face", "trim", "inlay", "backing", "stiffener", "gauge", "glue", "transfer"]
    file: str
    title: str
    note: str
    colour: str
    thickness: Span
    cut_from: Literal["grain", "flesh"]
    mirrored: bool
    cuts: tuple[Cut, ...]
    shape: Area
    area_mm2: float
    size: tuple[float, float]
    offset: XY


Plies = tuple[Ply, ...]
