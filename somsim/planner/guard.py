"""Who may talk to a planner: this machine, its own page, and whoever has the address that was printed."""

from __future__ import annotations

import hmac
from collections.abc import Awaitable, Callable, MutableMapping
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qs

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
Application = Callable[[Scope, Receive, Send], Awaitable[None]]

HEADERS = (
    (b"referrer-policy", b"no-referrer"),
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
)
POLICY = (
    "default-src 'self'; script-src 'self' 'unsafe-inline' 'unsafe-eval'; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data:; font-src 'self' data:; connect-src 'self' ws://{host}; form-action 'self'; "
    "frame-ancestors 'none'; base-uri 'none'"
)
KEY = "token"


class Guard:
    """Stands before everything, pages and sockets alike.

    Host and Origin have to be this server's own; the token of the printed address is changed for a cookie that other
    sites' pages cannot make the browser send.  What is let through gets rules that keep the page from asking anybody
    but this server.
    """

    def __init__(self, application: Application, port: int, token: str) -> None:
        """Stand before an application that is served on a port of this machine."""
        self.application, self.token = application, token
        self.hosts = (f"127.0.0.1:{port}", f"localhost:{port}")
        self.cookie = f"somsim-{port}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or refuse it."""
        if scope["type"] not in ("http", "websocket"):
            await self.application(scope, receive, send)
            return
        said = {key.decode("latin-1").lower(): value.decode("latin-1") for key, value in scope["headers"]}
        host, origin = said.get("host", ""), said.get("origin")
        socket = scope["type"] == "websocket"
        if host not in self.hosts or (origin is None and socket) or (origin not in (None, f"http://{host}")):
            await _refuse(scope, send, 403, "This page is for this machine alone.")
        elif self._known(said.get("cookie", "")):
            await self.application(scope, receive, _with_headers(send, host))
        elif not socket and scope["path"] == "/" and self._fits(_asked(scope)):
            await self._welcome(send)
        else:
            await _refuse(scope, send, 403, "Open the address that somsim printed, with its token.")

    def _known(self, cookies: str) -> bool:
        try:
            found = SimpleCookie(cookies).get(self.cookie)
        except CookieError:
            return False
        return found is not None and self._fits(found.value)

    def _fits(self, offered: str) -> bool:
        return hmac.compare_digest(offered.encode("utf-8", "replace"), self.token.encode())

    async def _welcome(self, send: Send) -> None:
        cookie = f"{self.cookie}={self.token}; Path=/; HttpOnly; SameSite=Strict"
        headers = [(b"location", b"/"), (b"set-cookie", cookie.encode()), (b"cache-control", b"no-store"), *HEADERS]
        await send({"type": "http.response.start", "status": 303, "headers": headers})
        await send({"type": "http.response.body", "body": b""})


def _asked(scope: Scope) -> str:
    query: bytes = scope["query_string"]
    return parse_qs(query.decode("latin-1")).get(KEY, [""])[0]


def _with_headers(send: Send, host: str) -> Send:
    async def sending(message: MutableMapping[str, Any]) -> None:
        if message["type"] == "http.response.start":
            policy = (b"content-security-policy", POLICY.format(host=host).encode())
            message["headers"] = [*message.get("headers", ()), *HEADERS, policy]
        await send(message)

    return sending


async def _refuse(scope: Scope, send: Send, status: int, words: str) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008})
        return
    headers = [(b"content-type", b"text/plain; charset=utf-8"), *HEADERS]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": words.encode()})
