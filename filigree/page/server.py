"""Server: the requests of the page, each answered from the desk. Serves its own few files and nothing of the disk."""

import socket
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

import msgspec
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from filigree.errors import FiligreeError
from filigree.guides import TOPICS, guide
from filigree.output.terms import STYLE, terms_script
from filigree.page import edits
from filigree.page.aside import BrokenError, StoppedError
from filigree.page.asked import Asked, changes_of, forgotten
from filigree.page.desk import Desk, StaleError
from filigree.page.guard import Guard
from filigree.page.words import on_page

STATIC = Path(__file__).with_name("static")
KINDS = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
}
FILES = {  # name in the address: kind; the page reads no other file
    file.name: KINDS[file.suffix] for file in sorted(STATIC.iterdir()) if file.suffix in KINDS
}
SHARED = {  # what the pages of the output have too
    "terms.css": (STYLE.encode(), KINDS[".css"]),
    "terms.js": (terms_script().encode(), KINDS[".js"]),
}
LARGEST = 1_000_000  # bytes of a request that is no drawing

Handler = Callable[[Request], Awaitable[Response]]


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
        *(Route(f"{at}/{name}", _same(*what)) for name, what in SHARED.items()),
        Route(f"{at}/piece", _piece(desk)),
        Route(f"{at}/state", _state(desk)),
        Route(f"{at}/shelf", _shelf(desk)),
        Route(f"{at}/guides", _guides()),
        Route(f"{at}/guide", _guide()),
        Route(f"{at}/step", _step(desk)),
        Route(f"{at}/stop", _stop(desk), methods=["POST"]),
        Route(f"{at}/drawing", _drop(desk), methods=["POST"]),
    ]
    for name, (kind, does) in changes_of(desk).items():
        routes.append(Route(f"{at}/{name}", _change(desk, kind, does), methods=["POST"]))
    return Guard(Starlette(routes=routes), host, token)


def listening() -> socket.socket:
    """Take a free port of this machine alone; whoever is early waits until the server runs."""
    taken = socket.socket()
    taken.bind(("127.0.0.1", 0))
    taken.listen(128)
    return taken


def _change(desk: Desk, kind: type[Asked], does: Callable[[Any], dict[str, Any] | None]) -> Handler:
    async def answer(request: Request) -> Response:
        try:
            asked = msgspec.json.decode(
                await _body(request, LARGEST, remedy="choose fewer at once"), type=kind
            )
        except msgspec.MsgspecError as error:
            return _json({"wrong": f"the page sent what cannot be read: {error}"}, 400)
        except FiligreeError as error:
            return _json({"wrong": on_page(str(error)), **desk.told()}, 413)

        def change() -> dict[str, Any]:
            told = does(asked) or {}
            return forgotten(desk) | told

        return await _done(desk, change)

    return answer


async def _done(desk: Desk, work: Callable[[], dict[str, Any] | None]) -> Response:
    """Do the work off the event loop; what goes wrong is told in words, with the state as it is.

    A change is answered with what it has changed of the state that was told before it.
    """

    def answer() -> Response:
        before = desk.told()
        more = work() or {}
        return _json({**desk.told_since(before), **more})

    try:
        return await run_in_threadpool(answer)
    except FiligreeError as error:
        return _json({"wrong": on_page(str(error)), **desk.told()}, 422)
    except StaleError:
        words = "The piece was changed in another tab; what you see now is its newest state."
        return _json({"wrong": words, **desk.told()}, 409)
    except StoppedError:
        return _json({"wrong": "Stopped; nothing was changed.", **desk.told()}, 409)
    except BrokenError as error:
        words = f"This is a fault of filigree; {error}. Nothing was changed."
        return _json({"wrong": words, **desk.told()}, 500)
    except OSError as error:
        words = f"The disk does not answer ({error.strerror}); the last change is not kept."
        return _json({"wrong": words, **desk.told()}, 507)


def _drop(desk: Desk) -> Handler:
    async def answer(request: Request) -> Response:
        most = int(desk.fallback.reading.file_mb * 1_000_000)
        try:
            data = await _body(request, most, remedy="choose a smaller file")
            turn = int(request.query_params.get("turn", "-1"))
        except FiligreeError as error:
            return _json({"wrong": on_page(str(error)), **desk.told()}, 413)
        except ValueError:
            return _json({"wrong": "the page sent what cannot be read", **desk.told()}, 400)
        sent = request.query_params

        def drop() -> dict[str, Any] | None:
            size = edits.scan_size(sent.get("width", ""), sent.get("marks", ""))
            again = desk.drop(turn, sent.get("name", ""), data, size)
            return {"said": "Going on with the work kept on this drawing."} if again else None

        return await _done(desk, drop)

    return answer


async def _body(request: Request, most: int, *, remedy: str) -> bytes:
    """Read a request of at most so many bytes; a larger one is heard to its end, as a browser tells nothing sooner.

    Raises:
        FiligreeError: it is larger.
    """
    parts, size = [], 0
    async for part in request.stream():
        size += len(part)
        if size <= most:
            parts.append(part)
        else:
            parts.clear()
    if size > most:
        raise FiligreeError(f"larger than {most / 1e6:g} MB", remedy=remedy, where="what was sent")
    return b"".join(parts)


def _file(name: str) -> Handler:
    async def answer(request: Request) -> Response:  # noqa: ARG001  the framework passes it
        return Response((STATIC / name).read_bytes(), media_type=FILES[name])

    return answer


def _same(data: bytes, kind: str) -> Handler:
    async def answer(request: Request) -> Response:  # noqa: ARG001
        return Response(data, media_type=kind)

    return answer


def _piece(desk: Desk) -> Handler:
    async def answer(request: Request) -> Response:  # noqa: ARG001
        return _json(desk.piece.told if desk.history else {})

    return answer


def _shelf(desk: Desk) -> Handler:
    async def answer(request: Request) -> Response:  # noqa: ARG001
        try:
            return _json({"shelf": desk.shelf()})
        except OSError as error:
            return _json({"wrong": f"The disk does not answer ({error.strerror})."}, 507)

    return answer


def _guides() -> Handler:
    async def answer(request: Request) -> Response:  # noqa: ARG001
        return _json([{"name": name, "says": says} for name, says in TOPICS.items()])

    return answer


def _guide() -> Handler:
    async def answer(request: Request) -> Response:
        try:
            return _json({"text": guide(request.query_params.get("topic", ""))})
        except FiligreeError as error:
            return _json({"wrong": str(error)}, 404)

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
