"""Who may ask the server for anything: pages that were opened by its own address, in no other site's frame.

A page of a stranger's site can point a name of its own at this machine and read what is served here, unless
the name it asked by (``Host``) is looked at: RFC 9110, section 7.2. An address in figures cannot be pointed
elsewhere. A stranger's page can also open a socket to this machine by its true name; then ``Origin`` says
whose page it is (RFC 6455, section 10.2).
"""

from __future__ import annotations

import ipaddress
import os
from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from typing import Any

import streamlit as st

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

#: Further names by which the server may be asked, with commas between: that of a proxy before it.
HOSTS_VARIABLE = "PLANNER_HOSTS"

#: Sent with every answer. Everything of a page comes from this server: no picture, font or script of another.
POLICIES = {
    b"content-security-policy": b"default-src 'self' data: blob: 'unsafe-inline' 'unsafe-eval'; "
    b"frame-ancestors 'none'; object-src 'none'; base-uri 'self'",
    b"x-frame-options": b"DENY",
    b"x-content-type-options": b"nosniff",
    b"referrer-policy": b"no-referrer",
}
_REFUSED = (
    b"The app does not go by this name. An administrator adds it to " + HOSTS_VARIABLE.encode() + b".\n"
)


def known_names() -> frozenset[str]:
    """The names by which the server may be asked, beside addresses in figures."""
    configured = (st.get_option("browser.serverAddress"), st.get_option("server.address"))
    own = os.environ.get(HOSTS_VARIABLE, "").split(",")
    names = ("localhost", *configured, *own)
    return frozenset(name.strip().lower() for name in names if name)


def is_known(host: str, names: Iterable[str]) -> bool:
    """Whether a ``Host`` is this server's: a known name, or an address in figures; a port may follow."""
    name, address = _read(host)
    return address is not None or name in names


def is_own_page(origin: str, names: Iterable[str]) -> bool:
    """Whether the page that opens a socket is of a known name, or of this machine by its loopback address."""
    name, address = _read(_after_scheme(origin))
    return address.is_loopback if address is not None else name in names


def _read(host: str) -> tuple[str, ipaddress.IPv4Address | ipaddress.IPv6Address | None]:
    """The name without its port, and the address that it is if it is one."""
    name = host.strip().lower()
    name = name[1 : name.find("]")] if name.startswith("[") else name.partition(":")[0]
    try:
        return name, ipaddress.ip_address(name)
    except ValueError:
        return name.rstrip("."), None


def _after_scheme(origin: str) -> str:
    return origin.partition("://")[2].lower()


class OnlyKnownHosts:
    """Refuses what was asked by a name that is not the server's; sends `POLICIES` with all else (ASGI)."""

    def __init__(self, app: App) -> None:
        self.app = app
        self.names = known_names()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or open one socket."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        hosts, origins = _said(scope, b"host"), _said(scope, b"origin")
        if len(hosts) != 1 or not is_known(hosts[0], self.names):
            await _refuse(scope, receive, send)
            return
        same = [_after_scheme(origin) for origin in origins] == [hosts[0].lower()]
        if scope["type"] == "websocket" and not same:
            if not all(is_own_page(origin, self.names) for origin in origins):
                await _refuse(scope, receive, send)
                return
            # decided here: to decide about an origin that is not the host, streamlit would ask an outside
            # server for this machine's address
            scope = {**scope, "headers": [pair for pair in scope["headers"] if pair[0] != b"origin"]}

        async def with_policies(message: MutableMapping[str, Any]) -> None:
            if message["type"] == "http.response.start":
                kept = [pair for pair in message.get("headers", ()) if pair[0].lower() not in POLICIES]
                message = {**message, "headers": [*kept, *POLICIES.items()]}
            await send(message)

        await self.app(scope, receive, with_policies)


def _said(scope: Scope, header: bytes) -> list[str]:
    return [value.decode("latin-1") for name, value in scope["headers"] if name == header]


async def _refuse(scope: Scope, receive: Receive, send: Send) -> None:
    if scope["type"] == "websocket":
        await receive()
        # before it was accepted: the browser is told 403
        await send({"type": "websocket.close", "code": 1008})
        return
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", b"%d" % len(_REFUSED))]
    await send({"type": "http.response.start", "status": 421, "headers": headers})
    await send({"type": "http.response.body", "body": _REFUSED})
