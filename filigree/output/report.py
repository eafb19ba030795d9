"""Report: the nouns of `report.json`, version 1. Every number printed elsewhere is taken from here.

Lengths are mm rounded to 0.0001, bridges rounded down; places are mm from the page's top left, y down.
"""

import math
from typing import Annotated, Literal

import msgspec
from msgspec import Meta, Struct

from filigree.job import default

Place = tuple[float, float]


class Row(Struct, frozen=True, kw_only=True):
    """A JSON object of the report."""


class SkippedRow(Row, frozen=True, kw_only=True):
    """Something of the art that was left out."""

    what: str
    why: str


class GapRow(Row, frozen=True, kw_only=True):
    """A gap in the lines that was closed."""

    at: Place
    length_mm: float


class TidiedRow(Row, frozen=True, kw_only=True):
    """A doubled line merged, a sliver or a tail dropped."""

    what: str
    at: Place
    length_mm: float


class DrawingRow(Row, frozen=True, kw_only=True):
    """The art as it was read."""

    file: str
    width_mm: float
    height_mm: float
    scale_from: str
    skipped: tuple[SkippedRow, ...]
    gaps_closed: tuple[GapRow, ...]
    tidied: tuple[TidiedRow, ...]
    dark: Literal["", "leather", "cut"]
    dark_sure: float
    outlines: int


class FaceRow(Row, frozen=True, kw_only=True):
    """The leather and cut that the limits are for."""

    thickness: str
    thickness_mm: tuple[float, float]
    assumed: bool
    way: Literal["knife", "laser"]
    bridge_wanted_mm: float
    bridge_stop_mm: float
    why: str


class RegionRow(Row, frozen=True, kw_only=True):
    """One enclosed light field of the drawing, whatever becomes of it; dark shapes are `solids`.

    `edge` says where the field ends: in the middle of the strokes around it, or at their visible edge.
    """

    id: int
    kind: Literal["background", "motif", "rim"]
    area_mm2: float
    at: Place
    how: Literal["marked", "picked", "guessed"]
    sure: Annotated[float, Meta(ge=0, le=1)]
    edge: Literal["middle", "visible"]


class SolidRow(Row, frozen=True, kw_only=True):
    """One dark shape of the drawing: leather that stays (`motif`), or what comes out (`background`).

    Its number goes on from those of the regions.
    """

    id: int
    kind: Literal["background", "motif", "rim"]
    area_mm2: float
    at: Place
    how: Literal["marked", "picked", "guessed"]
    sure: Annotated[float, Meta(ge=0, le=1)]


class OpeningRow(Row, frozen=True, kw_only=True):
    """One opening as it is cut on the grain side of the face: a bevel sets it back from its line.

    `holes` is 1, more where the bevel parts it, and 0 where the bevel closes it.
    """

    id: int
    regions: tuple[int, ...]
    area_mm2: float
    at: Place
    inlay: str
    holes: int = 1


class BridgeRow(Row, frozen=True, kw_only=True):
    """The narrowest place of a neck of face; `between` holds opening ids or "edge"."""

    width_mm: float
    start: Place = msgspec.field(name="from")
    end: Place = msgspec.field(name="to")
    between: tuple[int | Literal["edge"], int | Literal["edge"]]


class IslandRow(Row, frozen=True, kw_only=True):
    """A piece of face tied to nothing."""

    area_mm2: float
    at: Place


class FindingRow(Row, frozen=True, kw_only=True):
    """One place that falls short of a limit; `measured_mm` and `wanted_mm` are in `unit`."""

    check: str
    severity: Literal["stop", "caution"]
    at: Place
    measured_mm: float
    wanted_mm: float
    say: str
    why: str
    unit: str


class SectionRow(Row, frozen=True, kw_only=True):
    """The least total width of leather on any cut across the pull."""

    width_mm: float
    share: float
    line: tuple[Place, ...]


class StrandRow(Row, frozen=True, kw_only=True):
    """One hard-worked strand; `share` is the part of the pull that it carries; equals share a `rank`."""

    at: Place
    share: float
    intensity: float
    rank: int = 1


class LoadRow(Row, frozen=True, kw_only=True):
    """Stiffness against the uncut face, and the strands that work hardest; `pull` says which way it is pulled."""

    pull: str = ""
    stiffness: float
    bonded: float
    hardest: tuple[StrandRow, ...]


class PlyRow(Row, frozen=True, kw_only=True):
    """One cut file."""

    ply: str
    file: str
    area_mm2: float
    width_mm: float
    height_mm: float
    cut_from: Literal["grain", "flesh"]
    mirrored: bool
    thickness_mm: tuple[float, float]


class LostRow(Row, frozen=True, kw_only=True):
    """What one opening lost to a change."""

    opening: int
    area_mm2: float


class ChangeRow(Row, frozen=True, kw_only=True):
    """One place that was mended."""

    how: Literal["widen", "tie", "fill", "support", "strengthen", "round", "blunt"]
    at: Place
    why: str
    before_mm: float
    after_mm: float
    lost: tuple[LostRow, ...]


class UnmendedRow(Row, frozen=True, kw_only=True):
    """One place that could not be mended within the limit of change."""

    at: Place
    why: str
    width_mm: float
    wanted_mm: float


class MendedRow(Row, frozen=True, kw_only=True):
    """What mending did and what it left."""

    changes: tuple[ChangeRow, ...]
    unmended: tuple[UnmendedRow, ...]
    filled: tuple[int, ...]
    advice: str


class SheetRow(Row, frozen=True, kw_only=True):
    """Leather for one ply: the blank as cut and the net area, in both units."""

    ply: str
    file: str
    leather: str
    tannage: str
    colour: str
    thickness: str
    width_mm: float
    height_mm: float
    gross_dm2: float
    gross_ft2: float
    net_dm2: float
    net_ft2: float
    mass_g: float
    cost: float | None


class StackRow(Row, frozen=True, kw_only=True):
    """The whole stack; stiffness against the bare face, plies sliding and bonded."""

    thickness_mm: tuple[float, float]
    plies: int
    mass_g: float
    loose: float
    bonded: float
    skive: bool
    lengths_mm: tuple[float, ...]
    cost: float | None


class StitchRow(Row, frozen=True, kw_only=True):
    """Stitching; the thread includes the tails, `in_openings` are the holes that fall into openings."""

    length_mm: float
    pitch_mm: float
    stitches: int
    holes: int
    in_openings: int = 0
    inset_mm: float
    thread_mm: float
    tails_mm: float
    thread_size_mm: float
    needle: str


class PunchRow(Row, frozen=True, kw_only=True):
    """One size of round punch; `trade` is the trade number or empty."""

    diameter_mm: float
    trade: str
    count: int


class JointRow(Row, frozen=True, kw_only=True):
    """Gluing of one joint: area once, and spread on both plies."""

    plies: tuple[str, str]
    area_dm2: float
    spread_dm2: float
    volume_ml: float
    roll_min: float


class GlueRow(Row, frozen=True, kw_only=True):
    """Gluing of all joints together: area once a joint, and spread on both sides."""

    area_dm2: float
    spread_dm2: float
    volume_ml: float
    open_min: float
    roll_min: float
    keep_out_mm: float
    set_h: float = default("glue.set")
    joints: tuple[JointRow, ...] = ()


class BenchRow(Row, frozen=True, kw_only=True):
    """Everything for the bench papers; of the tight `corners` that the findings tell, punches end all but some."""

    sheets: tuple[SheetRow, ...]
    stack: StackRow
    stitch: StitchRow | None
    punches: tuple[PunchRow, ...]
    hardware: tuple[PunchRow, ...] = ()
    corners: int = 0
    corners_by_blade: int = 0
    glue: GlueRow
    cautions: tuple[int, ...]


class Report(Row, frozen=True, kw_only=True):
    """Everything `filigree make` and `filigree check` found."""

    format: Literal["filigree-report"] = "filigree-report"
    version: Literal[1] = 1
    drawing: DrawingRow
    face: FaceRow
    regions: tuple[RegionRow, ...]
    solids: tuple[SolidRow, ...]
    openings: tuple[OpeningRow, ...]
    open_share: float
    open_area_dm2: float
    bevel_mm: float = 0.0
    holes: int = 0
    bridges: tuple[BridgeRow, ...]
    islands: tuple[IslandRow, ...]
    findings: tuple[FindingRow, ...]
    holds: bool
    verdict: str
    section: SectionRow | None
    load: LoadRow | None
    mended: MendedRow | None
    bench: BenchRow | None
    plies: tuple[PlyRow, ...]


def schema_text() -> str:
    """Give the JSON Schema of the report, as shipped in `report.schema.json`."""
    schema = msgspec.json.schema(Report)
    text = msgspec.json.format(msgspec.json.encode(schema, order="sorted"), indent=2)
    return text.decode() + "\n"


def report_json(report: Report) -> bytes:
    """Write the report as JSON, UTF-8, one final newline."""
    return msgspec.json.format(msgspec.json.encode(report), indent=1) + b"\n"


def read_report(data: bytes) -> Report:
    """Read a `report.json`; unknown fields are ignored.

    Raises:
        msgspec.ValidationError: it is not a version 1 report.
    """
    return msgspec.json.decode(data, type=Report)


def mm(value: float) -> float:
    """Round a length to 0.0001 mm; minus zero becomes zero."""
    return round(value, 4) + 0.0


def mm_floor(value: float) -> float:
    """Round a width down to 0.0001 mm, so that a bridge never looks wider than it is.

    >>> mm_floor(2.39999), mm_floor(3.0)
    (2.3999, 3.0)
    """
    return math.floor(value * 1e4 + 1e-6) / 1e4


def up(value: float, places: int = 1) -> float:
    """Round a need up: material, thread and glue are never short.

    >>> up(12.01), up(12.0)
    (12.1, 12.0)
    """
    scale = 10**places
    return float(math.ceil(value * scale - 1e-6) / scale)


def place(at: tuple[float, float]) -> Place:
    """Round a place to 0.0001 mm."""
    return mm(float(at[0])), mm(float(at[1]))
