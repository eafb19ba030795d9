"""The tables of `job.toml` as frozen structs; a change makes a new one with `msgspec.structs.replace`.

Lengths are mm. A setting left at None follows the table of defaults.
"""

from typing import Annotated, Literal

from msgspec import Meta, Struct, field

from filigree.job.defaults import default
from filigree.units import Span, parse_thickness

ASSUMED_FACE = "5-6 oz"

Length = Annotated[float, Meta(ge=0, le=5000)]
Positive = Annotated[float, Meta(gt=0, le=5000)]
Share = Annotated[float, Meta(ge=0, le=1)]
Amount = Annotated[float, Meta(ge=0, le=1e6)]
Ratio = Annotated[float, Meta(gt=0, le=1e6)]  # a length over a width
Count = Annotated[int, Meta(ge=1, le=10_000_000)]
Name = Annotated[str, Meta(pattern=r"^[^\x00-\x1f\x7f]{1,100}\Z")]  # one line
Rim = Annotated[float, Meta(ge=0.1, le=5000)]
Side = Annotated[float, Meta(ge=1, le=5000)]  # of a sheet
Coordinate = Annotated[float, Meta(ge=-10_000, le=10_000)]  # mm; a page is 5 m at most
Place = tuple[Coordinate, Coordinate]  # from the page's top left
Pixel = Annotated[float, Meta(ge=-1_000_000, le=1_000_000)]
Spot = tuple[Pixel, Pixel]  # of a scan
FEW = Meta(max_length=1000)  # entries that are written by hand
Colour = Annotated[str, Meta(pattern=r"^(#[0-9a-fA-F]{6}|[A-Za-z][A-Za-z -]{0,39})?\Z")]
Way = Literal["knife", "laser"]
Tannage = Literal["", "veg", "chrome", "other"]
Kind = Literal[
    "",
    "armour",
    "bag",
    "belt",
    "book cover",
    "bracer",
    "case",
    "costume",
    "holster",
    "mask",
    "strap",
    "wall",
    "wallet",
]
Need = Literal["grip", "pale clothes", "metal", "body", "light", "supple", "draws a tool"]


class Section(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A table of `job.toml`; a misspelt key is refused."""


class Leather(Section, frozen=True, kw_only=True):
    """One ply's leather; `thickness` as written ("4-5 oz", "3.2 mm")."""

    thickness: str = "2-3 oz"
    leather: str = ""
    colour: Colour = ""
    tannage: Tannage = ""  # empty: as the table of leathers says for `leather`
    density: Annotated[float, Meta(ge=0.1, le=3)] | None = None  # g/cm3
    price: Amount | None = None  # per ft2, in the maker's money

    @property
    def span(self) -> Span:
        """Range of thickness, mm."""
        return parse_thickness(self.thickness)


class Face(Leather, frozen=True, kw_only=True):
    """The tooled top ply."""

    thickness: str = ""  # empty: 5-6 oz is assumed and said
    leather: str = "veg-tan tooling side"
    colour: Colour = "natural"
    tooled: bool = False

    @property
    def assumed(self) -> bool:
        """True when the maker has not said how thick the face is."""
        return not self.thickness

    @property
    def span(self) -> Span:
        """Range of thickness, mm."""
        return parse_thickness(self.thickness or ASSUMED_FACE)


class Inlay(Leather, frozen=True, kw_only=True):
    """The coloured ply seen through the openings."""

    leather: str = "pigskin suede"
    colour: Colour = "red"


class Stiffener(Leather, frozen=True, kw_only=True):
    """The hidden ply for body; `shrink` is linear and counts only when it is hardened by heat."""

    hardened: bool = False
    shrink: Annotated[float, Meta(ge=0, le=0.2)] = default("shrink")


class Backing(Stiffener, frozen=True, kw_only=True):
    """The ply behind the inlay."""

    leather: str = "veg-tan lining"
    colour: Colour = "natural"
    nap: Literal["out", "in"] = "out"  # of suede: away from the face, or toward it


class LeatherKind(Section, frozen=True, kw_only=True):
    """A leather of the maker's own, beside those of the table."""

    name: str
    tannage: Tannage = ""
    density: Annotated[float, Meta(ge=0.1, le=3)]  # g/cm3
    nap: bool = False
    stiffness: Amount | None = None  # N/mm2


class Cutting(Section, frozen=True, kw_only=True):
    """How the leather is cut."""

    way: Way = "knife"
    kerf: Annotated[float, Meta(ge=0, le=2)] | None = None  # None: by the way of cutting
    char: Annotated[float, Meta(ge=0, le=2)] | None = None  # per side; None: by the way of cutting
    bevel: Annotated[float, Meta(ge=0, le=10)] | None = (
        None  # None: of a tooled face, by its thickness
    )
    trim: Literal["after", "before"] = "after"
    stretch_along: Annotated[float, Meta(ge=0.9, le=1.1)] = 1.0
    stretch_across: Annotated[float, Meta(ge=0.9, le=1.1)] = 1.0


class LimitSettings(Section, frozen=True, kw_only=True):
    """Limits set by the maker; None keeps the rule of the defaults table."""

    bridge: Positive | None = None
    bridge_stop: Length | None = None
    bridge_lone: Annotated[float, Meta(ge=0, le=10)] | None = None  # times a bridge
    opening_min: Length | None = None
    opening_max: Length | None = None
    opening_area: Amount | None = None
    gap: Annotated[float, Meta(ge=0, le=5)] = default("gap")
    line: Annotated[float, Meta(ge=0, le=20)] = default("line")  # ink narrower than this is a line
    tone: Share = default("tone")  # lightness under which paint is ink
    sure: Share = default("sure")  # below it a guess is put to the maker
    corner: Length | None = None
    point: Annotated[float, Meta(ge=0, le=180)] | None = None  # degrees
    tongue: Ratio | None = None  # length over width
    tongue_glued: Ratio | None = None
    strand: Ratio | None = None
    island_area: Amount | None = None
    island_width: Length | None = None
    rim: Length | None = None
    stitch: Length | None = None
    hole: Length | None = None
    buckle: Length | None = None
    open_share: Share | None = None
    section: Share | None = None  # wanted share of full width at the weakest section
    change: Share | None = None  # most an opening may lose in mending


class InlayAt(Section, frozen=True, kw_only=True):
    """Colour behind the opening that holds the point."""

    at: Place
    inlay: Colour


class Choose(Section, frozen=True, kw_only=True):
    """Picks: points, mm, inside the fields meant; numbers are those on the proof, of one run only."""

    open: tuple[Place, ...] = ()
    keep: tuple[Place, ...] = ()
    open_numbers: tuple[Count, ...] = ()
    keep_numbers: tuple[Count, ...] = ()
    colours: tuple[InlayAt, ...] = ()
    colours_by: Literal["", "group", "fill"] = ""  # groups or fills of the drawing as inlay colours
    spread: Annotated[int, Meta(ge=0, le=12)] = 0  # so many colours, neighbours different
    dark: Literal["", "leather", "cut"] = ""


class Sheet(Section, frozen=True, kw_only=True):
    """Size of the drawing's page or of the drawn art, mm."""

    width: Side | None = None
    height: Side | None = None
    art_width: Side | None = None
    art_height: Side | None = None
    rim: Rim | None = None
    rim_shape: Literal["round", "rectangle"] = "round"


class Scan(Section, frozen=True, kw_only=True):
    """How a scan or photo is read."""

    marks: tuple[Side, Side] | None = (
        None  # width and height between the middles of the corner marks
    )
    scale: tuple[Spot, Spot, Positive] | None = None  # two points and their distance, mm
    straight: bool = True
    mirrored: bool = False


class Reading(Section, frozen=True, kw_only=True):
    """How much is read before a file is refused."""

    file_mb: Annotated[float, Meta(gt=0, le=4096)] = 64.0
    depth: Count = 256
    copies: Count = 10_000
    segments: Count = 1_000_000
    regions: Count = 100_000
    pixels_mp: Annotated[float, Meta(gt=0, le=1000)] = 100.0


class Zone(Section, frozen=True, kw_only=True):
    """A named rectangle with limits of its own; those at None are the piece's."""

    name: Name
    box: tuple[Coordinate, Coordinate, Coordinate, Coordinate]  # left, top, right, bottom
    bridge: Positive | None = None
    bridge_stop: Length | None = None
    bridge_lone: Annotated[float, Meta(ge=0, le=10)] | None = None
    opening_min: Length | None = None
    opening_max: Length | None = None
    opening_area: Amount | None = None
    corner: Length | None = None
    point: Annotated[float, Meta(ge=0, le=180)] | None = None
    tongue: Ratio | None = None
    tongue_glued: Ratio | None = None
    strand: Ratio | None = None
    island_area: Amount | None = None
    island_width: Length | None = None
    rim: Length | None = None
    stitch: Length | None = None
    hole: Length | None = None
    buckle: Length | None = None


class Hole(Section, frozen=True, kw_only=True):
    """A hole for hardware."""

    at: Place
    diameter: Positive


class Bend(Section, frozen=True, kw_only=True):
    """A fold or buckle bend, as a line."""

    start: Place
    end: Place
    kind: Literal["fold", "buckle"] = "fold"


class Use(Section, frozen=True, kw_only=True):
    """What the piece is for."""

    kind: Kind = ""
    carries: bool = False
    pull: str = "long"  # "long", "x", "y" or an angle in degrees from the x axis
    work: Literal["auto", "always", "never"] = "auto"  # what works hardest: auto while it is quick
    strength: Annotated[float, Meta(gt=0, le=1000)] | None = None  # N/mm2, the maker's own figure
    glued: bool = True  # inlay bonded behind the face
    curve: Positive | None = None  # diameter the piece is worn or bent on
    needs: tuple[Need, ...] = ()
    zones: Annotated[tuple[Zone, ...], FEW] = ()
    holes: Annotated[tuple[Hole, ...], FEW] = ()
    bends: Annotated[tuple[Bend, ...], FEW] = ()


class Stitch(Section, frozen=True, kw_only=True):
    """The stitch line; no `[stitch]` table, no stitching."""

    pitch: Annotated[float, Meta(ge=1, le=20)] = default("stitch.pitch")
    inset: Positive | None = None  # None: 1.25 x stack, at least 3 mm
    thread: Annotated[float, Meta(ge=0.1, le=3)] | None = None  # diameter; None: by the pitch
    tail: Length = default("stitch.tail")  # at each end of the thread


class Glue(Section, frozen=True, kw_only=True):
    """Cement."""

    kind: Literal["solvent", "water"] = "solvent"
    open_time: Annotated[float, Meta(ge=0, le=240)] = default("glue.open_time")  # minutes
    keep_out: Length = default("glue.keep_out")  # from openings
    coverage: Annotated[float, Meta(gt=0, le=100)] = default("glue.coverage")  # m2 a litre


class Mend(Section, frozen=True, kw_only=True):
    """One change made by mending; `as_drawn` leaves the place as it was.

    A tie that supports a strand runs from `at` to `end`.
    """

    how: str
    at: Place
    end: Place | None = None
    width: Length | None = None
    as_drawn: bool = False


class Close(Section, frozen=True, kw_only=True):
    """A line drawn by hand to close a gap in the drawing, mm."""

    start: Place
    end: Place


class Bridge(Section, frozen=True, kw_only=True):
    """A bridge drawn by hand across an opening, mm; without a width it gets what is wanted."""

    start: Place
    end: Place
    width: Positive | None = None


class Pins(Section, frozen=True, kw_only=True):
    """Blanks and pin holes."""

    margin: Annotated[float, Meta(ge=0, le=100)] = default("blank")
    diameter: Annotated[float, Meta(ge=0.5, le=10)] = default("pin")


class Paper(Section, frozen=True, kw_only=True):
    """Templates and job sheet on paper; the bars as measured on a print correct its scale."""

    size: str = "A4"
    units: Literal["mm", "in", "both"] = "mm"
    overlap: Annotated[float, Meta(ge=0, le=50)] = default("paper.overlap")
    bar_across: Annotated[float, Meta(ge=50, le=150)] | None = None
    bar_along: Annotated[float, Meta(ge=50, le=150)] | None = None
    yield_share: Annotated[float, Meta(gt=0, le=1)] = default("yield")  # of a hide, for the cost


class Colours(Section, frozen=True, kw_only=True):
    """Colourways to draw: names of the palette or `#rrggbb`."""

    faces: tuple[Colour, ...] = ()
    inlays: tuple[Colour, ...] = ()
    propose: Annotated[int, Meta(ge=0, le=24)] = 0


class Job(Section, frozen=True, kw_only=True):
    """Every setting of one piece, as in `job.toml`."""

    face: Face = field(default_factory=Face)
    inlay: Inlay = field(default_factory=Inlay)
    backing: Backing = field(default_factory=Backing)
    stiffener: Stiffener | None = None
    cut: Cutting = field(default_factory=Cutting)
    limits: LimitSettings = field(default_factory=LimitSettings)
    choose: Choose = field(default_factory=Choose)
    sheet: Sheet = field(default_factory=Sheet)
    scan: Scan = field(default_factory=Scan)
    reading: Reading = field(default_factory=Reading)
    use: Use = field(default_factory=Use)
    stitch: Stitch | None = None
    glue: Glue = field(default_factory=Glue)
    pins: Pins = field(default_factory=Pins)
    paper: Paper = field(default_factory=Paper)
    colours: Colours = field(default_factory=Colours)
    leathers: Annotated[tuple[LeatherKind, ...], FEW] = ()
    close: Annotated[tuple[Close, ...], FEW] = ()
    bridge: Annotated[tuple[Bridge, ...], FEW] = ()
    mend: tuple[Mend, ...] = ()
