"""Job: every setting of one piece, and the one table of defaults.

Sections are frozen; a change makes a new one with `msgspec.structs.replace`. Lengths are mm. A limit left
at None follows the rule of the defaults table for the face's upper thickness and the way of cutting.
"""

from dataclasses import dataclass
from typing import Annotated, Literal

from msgspec import Meta, Struct, field

from filigree.geometry.types import XY
from filigree.units import Span, parse_thickness

Length = Annotated[float, Meta(ge=0, le=5000)]
Share = Annotated[float, Meta(ge=0, le=1)]
Way = Literal["knife", "laser"]


class Section(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A table of `job.toml`; a misspelt key is refused."""


class Leather(Section):
    """One ply's leather; `thickness` as written ("4-5 oz", "3.2 mm")."""

    thickness: str = "2-3 oz"
    leather: str = ""
    colour: str = ""

    @property
    def span(self) -> Span:
        """Range of thickness, mm."""
        return parse_thickness(self.thickness)


class Face(Leather):
    """The tooled top ply."""

    thickness: str = ""  # empty: 5-6 oz is assumed and said
    leather: str = "veg-tan tooling side"
    colour: str = "natural"
    tooled: bool = False

    @property
    def assumed(self) -> bool:
        """True when the maker has not said how thick the face is."""
        return not self.thickness

    @property
    def span(self) -> Span:
        """Range of thickness, mm."""
        return parse_thickness(self.thickness or ASSUMED_FACE)


class Inlay(Leather):
    """The coloured ply seen through the openings."""

    leather: str = "pigskin suede"
    colour: str = "red"


class Backing(Leather):
    """The ply behind the inlay."""

    thickness: str = "2-3 oz"
    leather: str = "veg-tan lining"
    colour: str = "natural"


class Cutting(Section):
    """How the leather is cut."""

    way: Way = "knife"
    kerf: Annotated[float, Meta(ge=0, le=2)] | None = None  # None: 0 by knife, 0.2 by laser
    char: Annotated[float, Meta(ge=0, le=2)] | None = None  # per side; None: 0 by knife, 0.2 by laser
    bevel: Annotated[float, Meta(ge=0, le=10)] = 0.0
    trim: Literal["after", "before"] = "after"
    stretch_along: Annotated[float, Meta(ge=0.9, le=1.1)] = 1.0
    stretch_across: Annotated[float, Meta(ge=0.9, le=1.1)] = 1.0


class LimitSettings(Section):
    """Limits set by the maker; None keeps the rule of the defaults table."""

    bridge: Length | None = None
    bridge_stop: Length | None = None
    opening_min: Length | None = None
    opening_max: Length | None = None
    opening_area: Annotated[float, Meta(ge=0)] | None = None
    gap: Annotated[float, Meta(ge=0, le=5)] = 1.0
    line: Annotated[float, Meta(ge=0, le=20)] = 1.2  # ink narrower than this is a line
    sure: Share = 0.8  # below it a guess is put to the maker
    corner: Length | None = None
    point: Annotated[float, Meta(ge=0, le=180)] | None = None  # degrees
    rim: Length | None = None
    open_share: Share | None = None
    change: Share | None = None  # most an opening may lose in mending


class InlayAt(Section):
    """Colour behind the opening that holds the point."""

    at: XY
    inlay: str


class Choose(Section):
    """Picks: points, mm, inside the fields meant."""

    open: tuple[XY, ...] = ()
    keep: tuple[XY, ...] = ()
    colours: tuple[InlayAt, ...] = ()
    dark: Literal["", "leather", "cut"] = ""


class Sheet(Section):
    """Size of the drawing's page or of the drawn art, mm."""

    width: Length | None = None
    height: Length | None = None
    art_width: Length | None = None
    art_height: Length | None = None
    rim: Length | None = None
    rim_shape: Literal["round", "rectangle"] = "round"


class Zone(Section):
    """A named rectangle with limits of its own."""

    name: str
    box: tuple[float, float, float, float]  # left, top, right, bottom
    bridge: Length | None = None
    bridge_stop: Length | None = None


class Hole(Section):
    """A hole for hardware."""

    at: XY
    diameter: Length


class Bend(Section):
    """A fold or buckle bend, as a line."""

    start: XY
    end: XY
    kind: Literal["fold", "buckle"] = "fold"


class Use(Section):
    """What the piece is for."""

    kind: str = ""
    carries: bool = False
    pull: str = "long"  # "long", "x", "y" or an angle in degrees from the x axis
    curve: Length | None = None  # diameter the piece is worn or bent on
    zones: tuple[Zone, ...] = ()
    holes: tuple[Hole, ...] = ()
    bends: tuple[Bend, ...] = ()


class Stitch(Section):
    """The stitch line; no `[stitch]` table, no stitching."""

    pitch: Annotated[float, Meta(ge=1, le=20)] = 4.0
    inset: Length | None = None  # None: 1.25 x stack, at least 3 mm


class Mend(Section):
    """One change made by mending; `as_drawn` leaves the place as it was."""

    how: str
    at: XY
    width: Length | None = None
    as_drawn: bool = False


class Pins(Section):
    """Blanks and pin holes."""

    margin: Annotated[float, Meta(ge=0, le=100)] = 8.0
    diameter: Annotated[float, Meta(ge=0.5, le=10)] = 2.0


class Job(Section):
    """Every setting of one piece, as in `job.toml`."""

    face: Face = field(default_factory=Face)
    inlay: Inlay = field(default_factory=Inlay)
    backing: Backing = field(default_factory=Backing)
    stiffener: Leather | None = None
    cut: Cutting = field(default_factory=Cutting)
    limits: LimitSettings = field(default_factory=LimitSettings)
    choose: Choose = field(default_factory=Choose)
    sheet: Sheet = field(default_factory=Sheet)
    use: Use = field(default_factory=Use)
    stitch: Stitch | None = None
    pins: Pins = field(default_factory=Pins)
    mend: tuple[Mend, ...] = ()


ASSUMED_FACE = "5-6 oz"


@dataclass(frozen=True, slots=True, kw_only=True)
class BridgeLimits:
    """Bridge widths, mm: `good` is wanted, under `stop` the piece must not be cut."""

    good: float
    stop: float
    why: str = ""

    @classmethod
    def for_face(cls, upper: float, *, way: Way, carries: bool = False) -> "BridgeLimits":
        """Limits of a face whose upper thickness is `upper` mm (handbook 2.1)."""
        raise ValueError("written by the job room")


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Every limit of one job, worked out: what the checks read. Lengths mm."""

    bridge: BridgeLimits
    zones: tuple[tuple[Zone, BridgeLimits], ...]
    thickness: float  # upper, mm
    way: Way
    opening_width: float
    opening_width_max: float | None
    opening_area_mm2: float
    corner: float  # smallest radius of an inside corner
    point_deg: float
    tongue: float  # length over width, unglued
    tongue_glued: float
    strand: float  # length over width between supports
    island_area_mm2: float
    island_width: float
    rim: float  # opening to cut edge
    stitch: float  # opening to stitch line
    hole: float  # opening to hardware and folds
    buckle: float  # opening to a buckle bend
    open_share: float
    sure: float
    change: float
