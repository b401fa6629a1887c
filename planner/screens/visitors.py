"""Who may ask the server for anything: pages that were opened by its own address, in no other site's frame.

A page of a stranger's site can point a name of its own at this machine and read what is served here, unless
the name it asked by (``Host``) is looked at: RFC 9110, section 7.2. An address in figures cannot be pointed
elsewhere. A stranger's page can also open a socket to this machine by its true name; then ``Origin`` says
whose page it is (RFC 6455, section 10.2).
"""

from __future__ import annotations

import ipaddress
import os
from collections.abc import Iterable

import streamlit as st
from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from starlette.websockets import WebSocketClose

#: Further names by which the server may be asked, with commas between: that of a proxy before it.
HOSTS_VARIABLE = "PLANNER_HOSTS"

#: Sent with every answer. Everything of a page comes from this server: no picture, font or script of another.
POLICIES = {
    "content-security-policy": "default-src 'self' data: blob: 'unsafe-inline' 'unsafe-eval'; "
    "frame-ancestors 'none'; object-src 'none'; base-uri 'self'",
    "x-frame-options": "DENY",
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
}
_REFUSED = PlainTextResponse(
    f"The app does not go by this name. An administrator adds it to {HOSTS_VARIABLE}.\n", status_code=421
)
#: A socket that is closed before it was opened: the browser is told 403.
_CLOSED = WebSocketClose(1008)


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

    def __init__(self, app: ASGIApp) -> None:
        self.app = app
        self.names = known_names()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or open one socket."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        refused = _CLOSED if scope["type"] == "websocket" else _REFUSED
        headers = Headers(scope=scope)
        hosts, origins = headers.getlist("host"), headers.getlist("origin")
        if len(hosts) != 1 or not is_known(hosts[0], self.names):
            await refused(scope, receive, send)
            return
        same = [_after_scheme(origin) for origin in origins] == [hosts[0].lower()]
        if scope["type"] == "websocket" and not same:
            if not all(is_own_page(origin, self.names) for origin in origins):
                await refused(scope, receive, send)
                return
            # decided here: to decide about an origin that is not the host, streamlit would ask an outside
            # server for this machine's address
            scope = {**scope, "headers": [pair for pair in scope["headers"] if pair[0] != b"origin"]}

        async def with_policies(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(POLICIES)
            await send(message)

        await self.app(scope, receive, with_policies)
