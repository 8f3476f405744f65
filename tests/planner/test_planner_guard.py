"""Who is let in: this machine, its own page, the printed token; over http and over the socket alike."""

from __future__ import annotations

import asyncio
from collections.abc import MutableMapping
from typing import Any

import pytest

from somsim.planner.guard import Guard

TOKEN = "a-token-of-many-letters"
HOST, ORIGIN = (b"host", b"127.0.0.1:8000"), (b"origin", b"http://127.0.0.1:8000")
COOKIE = (b"cookie", b"somsim-8000=" + TOKEN.encode())
Sent = list[dict[str, Any]]


def asked(kind: str, *headers: tuple[bytes, bytes], path: str = "/", query: bytes = b"") -> tuple[bool, Sent]:
    """Whether a request came through, and what was sent back."""
    came, sent = [], []

    async def behind(scope: Any, receive: Any, send: Any) -> None:
        came.append(scope)
        await send({"type": "http.response.start", "status": 200, "headers": []})

    async def send(message: MutableMapping[str, Any]) -> None:
        sent.append(dict(message))

    async def receive() -> dict[str, Any]:
        return {}

    scope = {"type": kind, "headers": list(headers), "path": path, "query_string": query}
    asyncio.run(Guard(behind, 8000, TOKEN)(scope, receive, send))
    return bool(came), sent


@pytest.mark.parametrize("kind", ["http", "websocket"])
def test_its_own_page_is_let_in(kind: str) -> None:
    assert asked(kind, HOST, ORIGIN, COOKIE)[0]


@pytest.mark.parametrize("kind", ["http", "websocket"])
@pytest.mark.parametrize(
    "headers",
    [
        (ORIGIN, COOKIE),
        ((b"host", b"evil.example"), ORIGIN, COOKIE),
        ((b"host", b"127.0.0.1:8001"), ORIGIN, COOKIE),
        (HOST, (b"origin", b"http://evil.example"), COOKIE),
        (HOST, (b"origin", b"http://127.0.0.1:9999"), COOKIE),
        (HOST, (b"origin", b"null"), COOKIE),
        (HOST, ORIGIN),
        (HOST, ORIGIN, (b"cookie", b"somsim-8000=guessed")),
        (HOST, ORIGIN, (b"cookie", b"somsim-8001=" + TOKEN.encode())),
        (HOST, ORIGIN, (b"cookie", b"\xff\x00;;=")),
    ],
    ids=range(10),
)
def test_others_are_not(kind: str, headers: tuple[tuple[bytes, bytes], ...]) -> None:
    came, sent = asked(kind, *headers)
    assert not came
    assert sent[0].get("status", 403) == 403
    assert TOKEN not in str(sent)


def test_a_socket_says_where_it_comes_from() -> None:
    assert not asked("websocket", HOST, COOKIE)[0]


def test_the_token_of_the_address_becomes_a_cookie_and_goes_out_of_the_address() -> None:
    came, sent = asked("http", HOST, query=b"token=" + TOKEN.encode())
    headers = dict(sent[0]["headers"])
    assert not came
    assert sent[0]["status"] == 303
    assert headers[b"location"] == b"/"
    assert headers[b"set-cookie"].endswith(b"Path=/; HttpOnly; SameSite=Strict")


@pytest.mark.parametrize("query", [b"", b"token=", b"token=guessed", b"token=%ff", b"x=" + TOKEN.encode()])
def test_no_token_is_no_entry(query: bytes) -> None:
    came, sent = asked("http", HOST, query=query)
    assert not came and sent[0]["status"] == 403


def test_the_token_opens_the_page_and_no_other_address() -> None:
    assert asked("http", HOST, path="/drawing.js", query=b"token=" + TOKEN.encode())[1][0]["status"] == 403


def test_what_is_let_through_may_ask_nobody_else() -> None:
    _, sent = asked("http", HOST, COOKIE)
    policy = dict(sent[0]["headers"])[b"content-security-policy"].decode()
    assert "default-src 'self'" in policy and "connect-src 'self' ws://127.0.0.1:8000" in policy
    assert "http:" not in policy and "*" not in policy
