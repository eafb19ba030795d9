"""Asked: what the page may ask for, one struct a kind of change, and what is done for it."""

from collections.abc import Callable
from typing import Annotated, Any, Literal

import msgspec
from msgspec import Meta

from filigree.job import Job
from filigree.page import edits, telling
from filigree.page.desk import Desk, State

XY = tuple[float, float]
Told = dict[str, Any] | None
Name = Annotated[str, Meta(max_length=255)]


class Asked(msgspec.Struct, forbid_unknown_fields=True, kw_only=True):
    """What every change names: the state that it was meant for."""

    turn: int


class Pick(Asked, kw_only=True):
    """Open or keep fields."""

    fields: Annotated[list[int], Meta(min_length=1, max_length=10_000)]
    kind: Literal["open", "keep", "guess"]


class Set(Asked, kw_only=True):
    """Change settings."""

    settings: dict[str, str]


class Paint(Asked, kw_only=True):
    """Put a colour behind openings; behind all when `fields` is empty."""

    fields: Annotated[list[int], Meta(max_length=10_000)]
    colour: Annotated[str, Meta(max_length=40)]


class Place(msgspec.Struct, forbid_unknown_fields=True):
    """A place that is left as drawn."""

    how: Annotated[str, Meta(max_length=20)]
    at: XY


class Mend(Asked, kw_only=True):
    """Show what mending would do, or accept it."""

    left: Annotated[list[Place], Meta(max_length=10_000)]
    accept: bool


class Line(Asked, kw_only=True):
    """A line that closes a gap, mm."""

    start: XY
    end: XY


class Bridge(Line, kw_only=True):
    """A bridge across an opening; its width as written, "" for what is wanted."""

    width: Annotated[str, Meta(max_length=40)]


class Scale(Line, kw_only=True):
    """Two points, mm, and their distance in truth."""

    length: float


class Without(Asked, kw_only=True):
    """Take away a line or bridge, by its number from 0."""

    what: Literal["close", "bridge"]
    number: int


class Move(Asked, kw_only=True):
    """Undo or redo."""

    by: Literal[-1, 1]


class Choose(Asked, kw_only=True):
    """Open a drawing of the shelf."""

    name: Name
    inside: Name


def changes_of(desk: Desk) -> dict[str, tuple[type[Asked], Callable[[Any], Told]]]:
    """Give for each name in the address what it takes and what it does on a desk."""
    return {
        "pick": (Pick, lambda asked: _picked(desk, asked)),
        "settings": (Set, lambda asked: _set(desk, asked)),
        "colour": (Paint, lambda asked: _painted(desk, asked)),
        "close": (Line, lambda asked: _closed(desk, asked)),
        "bridge": (Bridge, lambda asked: _bridged(desk, asked)),
        "without": (Without, lambda asked: _without(desk, asked)),
        "mend": (Mend, lambda asked: _mended(desk, asked)),
        "unmend": (Asked, lambda asked: _unmended(desk, asked)),
        "anew": (Asked, lambda asked: _anew(desk, asked)),
        "scale": (Scale, lambda asked: _scaled(desk, asked)),
        "move": (Move, lambda asked: desk.move(asked.turn, asked.by)),
        "choose": (Choose, lambda asked: desk.choose(asked.turn, asked.name, asked.inside)),
        "save": (Asked, lambda asked: _saved(desk, asked)),
    }


def forgotten(desk: Desk) -> dict[str, Any]:
    """Say which places left as drawn the last change has done away with."""
    mended = desk.look.mended if desk.history else None
    if mended is None or not mended.gone:
        return {}
    places = "; ".join(f"{m.how} at {m.at[0]:.1f}, {m.at[1]:.1f} mm" for m in mended.gone)
    return {"said": f"No longer there to be left as drawn: {places}."}


def _picked(desk: Desk, asked: Pick) -> None:
    desk.change(
        asked.turn, lambda job, on: edits.picked(job, on.piece.regions, asked.fields, asked.kind)
    )


def _set(desk: Desk, asked: Set) -> None:
    desk.change(asked.turn, lambda job, _: edits.with_settings(job, asked.settings))


def _painted(desk: Desk, asked: Paint) -> Told:
    def edit(job: Job, on: State) -> Job:
        if not asked.fields:
            return edits.one_colour(job, asked.colour)
        openings = on.look.drawn.openings if on.look.drawn else ()
        wanted = set(asked.fields)
        first = {o.regions[0] for o in openings if set(o.regions) & wanted}
        return edits.coloured(
            job, [r for r in on.piece.regions.regions if r.id in first], asked.colour
        )

    desk.change(asked.turn, edit)
    return None


def _closed(desk: Desk, asked: Line) -> Told:
    before = len(desk.piece.regions.regions) if desk.history else 0
    desk.change(asked.turn, lambda job, _: edits.with_line(job, asked.start, asked.end))
    new = len(desk.piece.regions.regions) - before
    if new > 0:
        return {"said": f"Closed: {new} new field{'s' if new > 1 else ''}."}
    return {"said": "The line is drawn, but it closes no field yet."}


def _bridged(desk: Desk, asked: Bridge) -> None:
    desk.change(
        asked.turn,
        lambda job, on: edits.with_bridge(job, on.look.drawn, asked.start, asked.end, asked.width),
    )


def _without(desk: Desk, asked: Without) -> None:
    desk.change(asked.turn, lambda job, _: edits.without(job, asked.what, asked.number))


def _mended(desk: Desk, asked: Mend) -> Told:
    left = [(place.how, place.at) for place in asked.left]
    return {"preview": telling.mending(desk.mend(asked.turn, left, accept=asked.accept))}


def _unmended(desk: Desk, asked: Asked) -> None:
    desk.change(asked.turn, lambda job, _: edits.left_as_drawn(job, ()))


def _anew(desk: Desk, asked: Asked) -> None:
    desk.change(asked.turn, lambda job, _: edits.as_drawn(job))


def _scaled(desk: Desk, asked: Scale) -> None:
    desk.scale(asked.turn, asked.start, asked.end, asked.length)


def _saved(desk: Desk, asked: Asked) -> Told:
    folder, count = desk.save(asked.turn)
    return {"said": f"Saved: {count} files are in {folder}."}
