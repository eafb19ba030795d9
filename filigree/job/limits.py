"""Limits: every limit of one job, worked out from thickness, way of cutting, table and settings."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from filigree.geometry.types import XY
from filigree.job.defaults import ROWS, default
from filigree.job.sections import Job, Kind, Way, Zone

_SHARE_OF_USE: Mapping[Kind, str] = {
    "belt": "open.strap",
    "strap": "open.strap",
    "costume": "open.wall",
    "mask": "open.wall",
    "wall": "open.wall",
}  # any other use, or none named, as a bag


@dataclass(frozen=True, slots=True, kw_only=True)
class BridgeLimits:
    """Bridge widths, mm: `good` is wanted, under `stop` the piece must not be cut."""

    good: float
    stop: float
    why: str = ""

    @classmethod
    def for_face(cls, upper: float, *, way: Way, carries: bool = False) -> "BridgeLimits":
        """Limits of a face whose upper thickness is `upper` mm (handbook 2.1).

        A piece that carries load asks for more, never for less than its way of cutting does.

        >>> BridgeLimits.for_face(2.0, way="knife")
        BridgeLimits(good=3.0, stop=2.0, why='1.5 x 2.00 mm, by knife')
        """
        good, why = _rule(f"bridge.{way}.good", f"bridge.{way}.good_floor", upper, f"by {way}")
        stop, _ = _rule(f"bridge.{way}.stop", f"bridge.{way}.stop_floor", upper, f"by {way}")
        if carries:
            loaded, loaded_why = _rule("bridge.carries.good", None, upper, "carrying load")
            good, why = max((good, why), (loaded, loaded_why))
            stop = max(stop, default("bridge.carries.stop") * upper)
        return cls(good=good, stop=stop, why=why)

    def with_settings(self, good: float | None, stop: float | None, *, of: str) -> "BridgeLimits":
        """The same with what the maker has set in the table `of`; the one not set gives way."""
        wanted = self.good if good is None else good
        least = self.stop if stop is None else stop
        why = self.why if good is None else f"{of} bridge"
        if least > wanted and stop is None:
            least = wanted
        elif least > wanted:
            wanted, why = least, f"{of} bridge_stop"
        return BridgeLimits(good=wanted, stop=least, why=why)


@dataclass(frozen=True, slots=True, kw_only=True)
class CutLoss:
    """What cutting and bevelling take, mm: `kerf` whole, `char` and `bevel` on each side."""

    kerf: float
    char: float
    bevel: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Every limit of one job, worked out: what the checks read. Lengths mm.

    `why` says of each limit, by field name, where it comes from; bridges carry their own.
    """

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
    tongue_glued: float  # on an inlay glued behind the face
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
    glued: bool = True  # the inlay is glued behind the face
    lone: float = default("bridge.lone")  # times a bridge, for one that alone holds a part
    corner_better: float = 0.0  # radius wanted where there is room
    point_blunt: float = 0.5  # radius a sharp point of face is blunted to
    stitch_hole: float = 1.5  # opening to stitch line, however little is set for `stitch`
    rounding: bool = False  # tight corners are rounded in mending: the maker has set a radius
    blunting: bool = (
        False  # sharp points of face are blunted in mending: the maker has set an angle
    )
    supporting: bool = (
        False  # slender strands are tied in mending: the maker has set how long they may be
    )
    section: float | None = None  # wanted share of full width at the weakest section
    why: Mapping[str, str] = field(default_factory=dict)


def limits_of(job: Job) -> Limits:
    """Work out the limits of a job (handbook 2); the upper thickness counts, since thicker needs wider."""
    t, way, own = job.face.span.high, job.cut.way, job.limits
    bridge = BridgeLimits.for_face(t, way=way, carries=job.use.carries).with_settings(
        own.bridge, own.bridge_stop, of="[limits]"
    )
    why: dict[str, str] = {}

    def pick(name: str, setting: float | None, key: str, floor: str | None = None) -> float:
        if setting is not None:
            why[name] = f"[limits] {_SETTING_OF.get(name, name)}"
            return setting
        value, why[name] = _rule(key, floor, t, "")
        return value

    share, why["open_share"] = _open_share(job)
    return Limits(
        bridge=bridge,
        zones=tuple(
            (zone, bridge.with_settings(zone.bridge, zone.bridge_stop, of=f"zone {zone.name}"))
            for zone in job.use.zones
        ),
        thickness=t,
        way=way,
        lone=pick("lone", own.bridge_lone, "bridge.lone"),
        opening_width=pick(
            "opening_width", own.opening_min, f"opening.{way}", f"opening.{way}_floor"
        ),
        opening_width_max=own.opening_max,
        opening_area_mm2=pick("opening_area_mm2", own.opening_area, "opening.area"),
        corner=pick("corner", own.corner, "corner.floor"),
        corner_better=pick("corner_better", own.corner, "corner.better", "corner.floor"),
        point_deg=pick("point_deg", own.point, "point"),
        point_blunt=default("point.blunt"),
        tongue=pick("tongue", own.tongue, "tongue"),
        tongue_glued=pick("tongue_glued", own.tongue_glued, "tongue.glued"),
        glued=job.use.glued,
        strand=pick("strand", own.strand, "strand"),
        island_area_mm2=pick("island_area_mm2", own.island_area, "island.area"),
        island_width=pick("island_width", own.island_width, "island.width"),
        rim=pick("rim", own.rim, "rim", "rim.floor"),
        stitch=pick("stitch", own.stitch, "stitch.to_opening"),
        stitch_hole=default("stitch.hole_clear"),
        hole=pick("hole", own.hole, "hole"),
        buckle=pick("buckle", own.buckle, "buckle"),
        open_share=share,
        section=own.section,
        rounding=own.corner is not None,
        blunting=own.point is not None,
        supporting=own.strand is not None,
        sure=own.sure,
        change=pick("change", own.change, "change"),
        why=why,
    )


def limits_in(limits: Limits, at: XY) -> Limits:
    """Limits that hold at a place: those of the zones round it, the strictest where zones overlap."""
    zones = [
        (zone, own)
        for zone, own in limits.zones
        if zone.box[0] <= at[0] <= zone.box[2] and zone.box[1] <= at[1] <= zone.box[3]
    ]
    if not zones:
        return limits
    changes: dict[str, float] = {}
    why = dict(limits.why)
    for setting, name in _IN_ZONES.items():
        given = [(getattr(z, setting), z.name) for z, _ in zones if getattr(z, setting) is not None]
        if given:
            strictest = min if name in _AT_MOST else max
            changes[name], zone = strictest(given)
            why[name] = f"zone {zone} {setting}"
    bridges = [own for z, own in zones if z.bridge is not None or z.bridge_stop is not None]
    widest = max(bridges, key=lambda own: own.good, default=limits.bridge)
    bridge = replace(widest, stop=max((own.stop for own in bridges), default=widest.stop))
    return replace(limits, bridge=bridge, why=why, **changes)  # type: ignore[arg-type]


def most_in_zones(limits: Limits, name: str) -> float:
    """Largest value that a limit has anywhere on the piece; 0 where it has none."""
    setting = next(s for s, n in _IN_ZONES.items() if n == name)
    values = [getattr(limits, name), *(getattr(zone, setting) for zone, _ in limits.zones)]
    return max((v for v in values if v is not None), default=0.0)


def loss_of(job: Job) -> CutLoss:
    """Kerf, char and bevel of a job (handbook 2.3, 2.6)."""
    cut, way = job.cut, job.cut.way
    tooled, _ = _rule("bevel.tooled", "bevel.tooled_floor", job.face.span.high, "")
    bevel = tooled if job.face.tooled else 0.0
    return CutLoss(
        kerf=default(f"kerf.{way}") if cut.kerf is None else cut.kerf,
        char=default(f"char.{way}") if cut.char is None else cut.char,
        bevel=bevel if cut.bevel is None else cut.bevel,
    )


def open_share_of(kind: Kind) -> float:
    """Largest open share for a use (handbook 2.2); as a bag where nothing is said."""
    return default(_SHARE_OF_USE.get(kind, "open.bag"))


def stitch_inset(job: Job) -> float:
    """Stitch line to edge, mm: as set, else by the upper thickness of the whole stack (handbook 4)."""
    if job.stitch is not None and job.stitch.inset is not None:
        return job.stitch.inset
    plies = [job.face, job.inlay, job.backing, *([job.stiffener] if job.stiffener else [])]
    stack = sum(ply.span.high for ply in plies)
    return max(default("stitch.inset") * stack, default("stitch.inset_floor"))


_LIMIT_OF = {
    "bridge_lone": "lone",
    "opening_min": "opening_width",
    "opening_max": "opening_width_max",
    "opening_area": "opening_area_mm2",
    "point": "point_deg",
    "island_area": "island_area_mm2",
}
_SETTING_OF = {
    "lone": "bridge_lone",
    "opening_width": "opening_min",
    "opening_area_mm2": "opening_area",
    "corner_better": "corner",
    "point_deg": "point",
    "island_area_mm2": "island_area",
}


_IN_ZONES = {  # settings that a zone may have of its own, and the limits they set
    name: _LIMIT_OF.get(name, name)
    for name in (
        "bridge_lone",
        "opening_min",
        "opening_max",
        "opening_area",
        "corner",
        "point",
        "tongue",
        "tongue_glued",
        "strand",
        "island_area",
        "island_width",
        "rim",
        "stitch",
        "hole",
        "buckle",
    )
}
_AT_MOST = {"opening_width_max", "tongue", "tongue_glued", "strand"}  # less is stricter


def _rule(key: str, floor: str | None, upper: float, tail: str) -> tuple[float, str]:
    """Value of a row for this thickness, at least the floor's, and where it comes from."""
    value, unit = ROWS[key].value, ROWS[key].unit
    end = f", {tail}" if tail else ""
    if unit != "t":
        words = {
            "share": f"{100 * value:g} %",
            "widths": f"{value:g} x its width",
            "bridges": f"{value:g} x a bridge",
        }
        return value, words.get(unit, f"{value:g} {unit}") + end
    scaled = value * upper
    if floor is not None and default(floor) > scaled:
        return default(floor), f"never under {default(floor):.1f} mm{end}"
    return scaled, f"{value:g} x {upper:.2f} mm{end}"


def _open_share(job: Job) -> tuple[float, str]:
    """Largest open share and where it comes from."""
    if job.limits.open_share is not None:
        return job.limits.open_share, "[limits] open_share"
    return open_share_of(job.use.kind), f"use: {job.use.kind or 'not named'}"
