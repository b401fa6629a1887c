"""Who may ask the server: its own names only, and the policies that go out with every answer."""

from __future__ import annotations

import asyncio
from collections.abc import MutableMapping
from typing import Any

import pytest

from planner.screens.visitors import HOSTS_VARIABLE, POLICIES, OnlyKnownHosts, is_known, known_names

Message = MutableMapping[str, Any]


async def _page(scope: Message, receive: object, send: Any) -> None:
    if scope["type"] == "websocket":
        origins = [value for name, value in scope["headers"] if name == b"origin"]
        await send({"type": "websocket.accept", "origins": origins})
    elif scope["type"] == "http":
        framed = (b"x-frame-options", b"SAMEORIGIN")
        await send({"type": "http.response.start", "status": 200, "headers": [(b"a", b"b"), framed]})
        await send({"type": "http.response.body", "body": b"the day"})


def answers(kind: str, *hosts: bytes, origins: tuple[bytes, ...] | None = None) -> list[Message]:
    """What a request (or a socket) with these ``Host`` headers is answered; out of its own pages, or those of
    ``origins``."""
    sent: list[Message] = []

    async def receive() -> Message:
        return {"type": "websocket.connect"}

    async def send(message: Message) -> None:
        sent.append(message)

    of_pages = tuple(b"http://" + h for h in hosts) if origins is None else origins
    scope = {
        "type": kind,
        "headers": [(b"origin", o) for o in of_pages] + [(b"host", h) for h in hosts],
    }
    asyncio.run(OnlyKnownHosts(_page)(scope, receive, send))
    return sent


@pytest.mark.parametrize(
    "host",
    [b"localhost", b"localhost:8501", b"LOCALHOST.:8501", b"127.0.0.1:8501", b"[::1]:8501", b"192.0.2.7"],
)
def test_its_own_names_are_answered_with_the_policies(host: bytes) -> None:
    """The machine's own name and addresses in figures, which no stranger can point elsewhere (RFC 9110, 7.2);
    every answer forbids frames and whatever is not this server's."""
    head, body = answers("http", host)
    assert (head["status"], body["body"]) == (200, b"the day")
    assert dict(head["headers"]) == {b"a": b"b", **{k.encode(): v.encode() for k, v in POLICIES.items()}}
    assert answers("websocket", host) == [{"type": "websocket.accept", "origins": [b"http://" + host]}]


@pytest.mark.parametrize(
    "hosts", [(b"evil.test",), (b"localhost.evil.test:8501",), (b"localhost", b"evil.test"), ()]
)
def test_a_rebound_name_gets_nothing(hosts: tuple[bytes, ...]) -> None:
    """A stranger's name that points here, as Host and Origin: neither a page nor a socket."""
    head, body = answers("http", *hosts)
    assert head["status"] == 421
    assert b"the day" not in body["body"]
    assert [m["type"] for m in answers("websocket", *hosts)] == ["websocket.close"]


@pytest.mark.parametrize(
    "origin",
    [
        b"http://evil.test",
        b"http://evil.test:8501",
        b"https://192.0.2.66",
        b"null",
        b"http://localhost.evil.test",
    ],
)
def test_a_strangers_page_opens_no_socket_by_the_true_name(origin: bytes) -> None:
    """ws://127.0.0.1:8501 out of a page of another site (RFC 6455, 10.2): refused at the door. Streamlit
    would ask an outside server whether the origin is this machine's own address, so it is never asked."""
    assert [m["type"] for m in answers("websocket", b"127.0.0.1:8501", origins=(origin,))] == [
        "websocket.close"
    ]
    two = (b"http://127.0.0.1:8501", origin)
    assert [m["type"] for m in answers("websocket", b"127.0.0.1:8501", origins=two)] == ["websocket.close"]


@pytest.mark.parametrize("origins", [(b"http://localhost:8501",), (b"http://[::1]:8501",), ()])
def test_its_own_pages_by_another_of_its_names_do(origins: tuple[bytes, ...]) -> None:
    """Opened by one of its names and asked by another: let in, and nobody further on has to decide again."""
    assert answers("websocket", b"127.0.0.1:8501", origins=origins) == [
        {"type": "websocket.accept", "origins": []}
    ]


def test_an_administrator_names_further_hosts(monkeypatch: pytest.MonkeyPatch) -> None:
    """The name of a proxy before the server is let in once it is set in the environment."""
    assert not is_known("dives.example:443", known_names())
    monkeypatch.setenv(HOSTS_VARIABLE, "office.example, Dives.example")
    assert is_known("dives.example:443", known_names())
