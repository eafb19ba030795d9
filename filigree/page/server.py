"""Server: the requests of the page, each answered from the desk. Serves its own few files and nothing of the disk."""

import socket
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Annotated, Any, Literal

import msgspec
from msgspec import Meta
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from filigree.errors import FiligreeError
from filigree.page import edits, telling
from filigree.page.desk import Desk, Divided, StaleError, StoppedError
from filigree.page.guard import Guard

STATIC = Path(__file__).with_name("static")
FILES = {  # name in the address: kind; the page reads no other file
    "index.html": "text/html; charset=utf-8",
    "page.css": "text/css; charset=utf-8",
    "app.js": "text/javascript; charset=utf-8",
    "drawing.js": "text/javascript; charset=utf-8",
    "lists.js": "text/javascript; charset=utf-8",
    "talk.js": "text/javascript; charset=utf-8",
    "icon.svg": "image/svg+xml",
}
LARGEST = 1_000_000  # bytes of a request that is no drawing

XY = tuple[float, float]
Handler = Callable[[Request], Awaitable[Response]]


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

    fields: list[int]
    colour: Annotated[str, Meta(max_length=40)]


class Place(msgspec.Struct, forbid_unknown_fields=True):
    """A place that is left as drawn."""

    how: Annotated[str, Meta(max_length=20)]
    at: XY


class Mend(Asked, kw_only=True):
    """Show what mending would do, or accept it."""

    left: Annotated[list[Place], Meta(max_length=10_000)]
    accept: bool


class Scale(Asked, kw_only=True):
    """Two points, mm, and their distance in truth."""

    start: XY
    end: XY
    length: float


class Move(Asked, kw_only=True):
    """Undo or redo."""

    by: Literal[-1, 1]


def app_of(desk: Desk, *, host: str, token: str) -> Guard:
    """Build the app for one desk.

    Args:
        desk: the piece in hand.
        host: address and port that the page is served at, as browsers write it.
        token: first part of every path.
    """
    at = f"/{token}"
    routes = [
        Route(f"{at}/", _file("index.html")),
        *(Route(f"{at}/{name}", _file(name)) for name in FILES if name != "index.html"),
        Route(f"{at}/piece", _piece(desk)),
        Route(f"{at}/state", _state(desk)),
        Route(f"{at}/step", _step(desk)),
        Route(f"{at}/stop", _stop(desk), methods=["POST"]),
        Route(f"{at}/drawing", _drop(desk), methods=["POST"]),
    ]
    for name, kind, does in _changes(desk):
        routes.append(Route(f"{at}/{name}", _change(desk, kind, does), methods=["POST"]))
    return Guard(Starlette(routes=routes), host, token)


def listening() -> socket.socket:
    """Take a free port of this machine alone; whoever is early waits until the server runs."""
    taken = socket.socket()
    taken.bind(("127.0.0.1", 0))
    taken.listen(128)
    return taken


def _changes(desk: Desk) -> list[tuple[str, type[Asked], Callable[[Any], dict[str, Any] | None]]]:
    def pick(asked: Pick) -> None:
        desk.change(
            asked.turn, lambda job, on: edits.picked(job, on.regions, asked.fields, asked.kind)
        )

    def settings(asked: Set) -> None:
        desk.change(asked.turn, lambda job, _: edits.with_settings(job, asked.settings))

    def paint(asked: Paint) -> None:
        def edit(job: Any, on: Divided) -> Any:
            if not asked.fields:
                return edits.one_colour(job, asked.colour)
            drawn = desk.look.drawn
            first = {
                o.id
                for o in (drawn.openings if drawn else ())
                if set(o.regions) & set(asked.fields)
            }
            held = [r for r in on.regions.regions if r.id in first]
            return edits.coloured(job, held, asked.colour)

        desk.change(asked.turn, edit)

    def mend(asked: Mend) -> dict[str, Any] | None:
        left = [(place.how, place.at) for place in asked.left]
        return {"preview": telling.mending(desk.mend(asked.turn, left, accept=asked.accept))}

    def unmend(asked: Asked) -> None:
        desk.change(asked.turn, lambda job, _: edits.left_as_drawn(job, ()))

    def scale(asked: Scale) -> None:
        desk.scale(asked.turn, asked.start, asked.end, asked.length)

    def move(asked: Move) -> None:
        desk.move(asked.turn, asked.by)

    def save(asked: Asked) -> dict[str, Any] | None:
        folder, count = desk.save(asked.turn)
        return {"said": f"Saved: {count} files are in {folder}."}

    return [
        ("pick", Pick, pick),
        ("settings", Set, settings),
        ("colour", Paint, paint),
        ("mend", Mend, mend),
        ("unmend", Asked, unmend),
        ("scale", Scale, scale),
        ("move", Move, move),
        ("save", Asked, save),
    ]


def _change(desk: Desk, kind: type[Asked], does: Callable[[Any], dict[str, Any] | None]) -> Handler:
    async def answer(request: Request) -> Response:
        try:
            asked = msgspec.json.decode(await _body(request, LARGEST), type=kind)
        except msgspec.MsgspecError as error:
            return _json({"wrong": f"the page sent what cannot be read: {error}"}, 400)
        return await _done(desk, lambda: does(asked))

    return answer


async def _done(desk: Desk, work: Callable[[], dict[str, Any] | None]) -> Response:
    """Do the work off the event loop; what goes wrong is told in words, with the state as it is."""
    try:
        more = await run_in_threadpool(work) or {}
    except FiligreeError as error:
        return _json({"wrong": str(error), **desk.told()}, 422)
    except StaleError:
        words = "The piece was changed in another tab; what you see now is its newest state."
        return _json({"wrong": words, **desk.told()}, 409)
    except StoppedError:
        return _json({"wrong": "Stopped; nothing was changed.", **desk.told()}, 409)
    except OSError as error:
        words = f"The disk does not answer ({error.strerror}); the last change is not kept."
        return _json({"wrong": words, **desk.told()}, 507)
    return _json({**desk.told(), **more})


def _drop(desk: Desk) -> Handler:
    async def answer(request: Request) -> Response:
        most = int(desk.fallback.reading.file_mb * 1_000_000)
        try:
            data = await _body(request, most)
            turn = int(request.query_params.get("turn", "-1"))
        except FiligreeError as error:
            return _json({"wrong": str(error), **desk.told()}, 413)
        except ValueError:
            return _json({"wrong": "the page sent what cannot be read", **desk.told()}, 400)
        sent = request.query_params

        def drop() -> None:
            size = edits.scan_size(sent.get("width", ""), sent.get("marks", ""))
            desk.drop(turn, sent.get("name", ""), data, size)

        return await _done(desk, drop)

    return answer


async def _body(request: Request, most: int) -> bytes:
    """Read a request of at most so many bytes.

    Raises:
        FiligreeError: it is larger.
    """
    parts, size = [], 0
    async for part in request.stream():
        size += len(part)
        if size > most:
            raise FiligreeError(
                f"larger than {most / 1e6:g} MB", remedy="choose a smaller file", where="drawing"
            )
        parts.append(part)
    return b"".join(parts)


def _file(name: str) -> Handler:
    async def answer(request: Request) -> Response:  # noqa: ARG001  the framework passes it
        return Response((STATIC / name).read_bytes(), media_type=FILES[name])

    return answer


def _piece(desk: Desk) -> Handler:
    async def answer(request: Request) -> Response:  # noqa: ARG001
        return _json(desk.divided.told if desk.divided is not None else {})

    return answer


def _state(desk: Desk) -> Handler:
    async def answer(request: Request) -> Response:  # noqa: ARG001
        return _json(desk.told())

    return answer


def _step(desk: Desk) -> Handler:
    async def answer(request: Request) -> Response:  # noqa: ARG001
        return _json({"step": desk.step})

    return answer


def _stop(desk: Desk) -> Handler:
    async def answer(request: Request) -> Response:  # noqa: ARG001
        desk.stop()
        return _json({})

    return answer


def _json(value: Any, status: int = 200) -> Response:
    return Response(msgspec.json.encode(value), status, media_type="application/json")
