"""Guard: who may ask. The right host, the token in the address, the right origin; all else is refused."""

import secrets
from dataclasses import dataclass
from typing import Final

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS: Final = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "no-referrer",
    "cache-control": "no-store",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}


@dataclass(frozen=True, slots=True)
class Guard:
    """Stands before the app and lets through what comes from its own page only."""

    app: ASGIApp
    host: str
    token: str

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse or pass on one request."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        why = self._refusal(scope)

        async def closed(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(HEADERS)
            await send(message)

        if why:
            await PlainTextResponse(why + "\n", status_code=403)(scope, receive, closed)
        else:
            await self.app(scope, receive, closed)

    def _refusal(self, scope: Scope) -> str:
        headers = Headers(scope=scope)
        if headers.get("host") != self.host:
            return "refused: this page answers to its own address only"
        first = scope["path"].split("/")[1] if "/" in scope["path"] else ""
        if not secrets.compare_digest(first.encode(), self.token.encode()):
            return "refused: this address belongs to another run of filigree page; open the one it printed"
        origin = headers.get("origin")
        own = f"http://{self.host}"
        if origin not in ((own,) if scope["method"] != "GET" else (own, None)):
            return "refused: the request came from another page"
        if headers.get("sec-fetch-site", "none") not in {"same-origin", "none"}:
            return "refused: the request came from another page"
        return ""
