"""Whoever comes from the network is asked for a password; without one the app serves this machine alone.

There is no password until an administrator makes one. Who has given it gets a token that his browser keeps
and shows with everything it asks for, the page's socket too; the server knows the tokens while it runs.
"""

from __future__ import annotations

import asyncio
import hashlib
import ipaddress
import os
import secrets
import sys
import time
from collections.abc import MutableMapping
from html import escape
from http.cookies import CookieError, SimpleCookie
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs

import streamlit as st

from planner import CAUTION
from planner.password import NoPassword, matches, read_kept
from planner.screens.visitors import App, Receive, Scope, Send

#: Names the file with the hash of the password (the command ``password`` writes it).
FILE_VARIABLE = "PLANNER_PASSWORD_FILE"

NOT_WITHOUT = (
    "The app is opened to the network only with a password. Make a file with it, "
    f"python -m planner password FILE, and name the file in {FILE_VARIABLE}."
)

_COOKIE = "planner_entry"

#: How long a token lets in, seconds: a long day.
ENTRY_S = 16 * 3600

#: Tokens known at once; the oldest is forgotten for one more.
_MOST_TOKENS = 500

#: Seconds that a wrong guess costs everybody who is guessing, and how many may wait for their turn.
WRONG_S, _MOST_WAITING = 1.0, 8

_MOST_BYTES = 4096


def beyond_this_machine(address: str | None) -> bool:
    """Whether a server at this address can be reached from outside; with none it listens everywhere."""
    if address is None or not address.strip():
        return True
    name = address.strip().lower().strip("[]")
    try:
        return not ipaddress.ip_address(name).is_loopback
    except ValueError:
        return name != "localhost"


def kept_password() -> str | None:
    """The line of the password file; None where the app serves this machine alone.

    Ends the program with a sentence where it is to listen beyond this machine and has no password, or a file
    that is none.
    """
    file = os.environ.get(FILE_VARIABLE)
    if file:
        try:
            return read_kept(Path(file))
        except NoPassword as wrong:
            sys.exit(str(wrong))
    if beyond_this_machine(st.get_option("server.address")):
        sys.exit(NOT_WITHOUT)
    return None


class OnlyWithPassword:
    """Asks for the password before anything is served (ASGI).

    Parameters
    ----------
    kept
        The line of the password file. With None only what reaches the server on this machine's own address is
        served, whatever it was told to listen to.
    """

    def __init__(self, app: App, kept: str | None) -> None:
        self.app, self.kept = app, kept
        self._tokens: dict[str, float] = {}
        self._guessing = asyncio.Lock()
        self._waiting = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or open one socket."""
        if scope["type"] not in ("http", "websocket") or self._may_enter(scope):
            await self.app(scope, receive, send)
        elif scope["type"] == "websocket":
            await receive()
            await send({"type": "websocket.close", "code": 1008})
        elif self.kept is None:
            await _answer(send, 403, NOT_WITHOUT.encode(), b"text/plain; charset=utf-8")
        elif scope["method"] == "POST":
            await self._guess(self.kept, scope, receive, send)
        else:
            await _ask(send, 401)

    def _may_enter(self, scope: Scope) -> bool:
        if self.kept is None:
            server = scope.get("server")
            return server is not None and not beyond_this_machine(str(server[0]))
        until = self._tokens.get(_digest(_token(scope)))
        return until is not None and time.monotonic() < until

    async def _guess(self, kept: str, scope: Scope, receive: Receive, send: Send) -> None:
        """Let in who gives the password; whoever does not waits, and so does the next guess."""
        body = await _body(receive)
        if body is None or self._waiting >= _MOST_WAITING:
            await _ask(send, 413 if body is None else 429, "Not now. Try again in a few seconds.")
            return
        password = parse_qs(body.decode("utf-8", "replace")).get("password", [""])[0]
        self._waiting += 1
        try:
            async with self._guessing:
                right = await asyncio.to_thread(matches, password, kept)
                if not right:
                    await asyncio.sleep(WRONG_S)
        finally:
            self._waiting -= 1
        if right:
            await _answer(send, 303, b"", b"text/plain", *self._let_in(scope))
        else:
            await _ask(send, 401, "That is not the password.")

    def _let_in(self, scope: Scope) -> list[tuple[bytes, bytes]]:
        """A new token for a browser, and the way back to the page that it had asked for."""
        now, token = time.monotonic(), secrets.token_urlsafe(32)
        known = [(t, until) for t, until in self._tokens.items() if until > now][1 - _MOST_TOKENS :]
        self._tokens = {**dict(known), _digest(token): now + ENTRY_S}
        secure = "; Secure" if scope.get("scheme") in ("https", "wss") else ""
        cookie = f"{_COOKIE}={token}; Path=/; Max-Age={ENTRY_S}; HttpOnly; SameSite=Strict{secure}"
        # one slash alone: two would name another server
        back = b"/" + bytes(scope.get("raw_path") or b"/").lstrip(b"/\\")
        query = bytes(scope.get("query_string", b""))
        return [(b"set-cookie", cookie.encode()), (b"location", back + (b"?" + query if query else b""))]


def _token(scope: Scope) -> str:
    """The token that a browser shows; blank without one."""
    sent = b"; ".join(value for name, value in scope["headers"] if name == b"cookie")
    try:
        found = SimpleCookie(sent.decode("latin-1")).get(_COOKIE)
    except CookieError:
        return ""
    return "" if found is None else found.value


def _digest(token: str) -> str:
    """What is looked up in place of a token, so that how long a look-up takes tells nothing of it."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


async def _body(receive: Receive) -> bytes | None:
    """What was sent with a request; None when it is more than a password takes."""
    body, more = b"", True
    while more:
        message = await receive()
        body += message.get("body", b"")
        more = message["type"] == "http.request" and message.get("more_body", False)
        if len(body) > _MOST_BYTES:
            return None
    return body


async def _ask(send: Send, status: int, said: str = "") -> None:
    page = _PAGE.format(caution=escape(CAUTION), said=escape(said))
    await _answer(send, status, page.encode(), b"text/html; charset=utf-8")


async def _answer(send: Send, status: int, body: bytes, kind: bytes, *more: tuple[bytes, bytes]) -> None:
    headers = [
        (b"content-type", kind),
        (b"content-length", b"%d" % len(body)),
        (b"cache-control", b"no-store"),
        *more,
    ]
    start: MutableMapping[str, Any] = {"type": "http.response.start", "status": status, "headers": headers}
    await send(start)
    await send({"type": "http.response.body", "body": body})


_PAGE = """<!doctype html>
<html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>Diving team planner</title>
<style>
body {{font: 1.1rem/1.5 sans-serif; max-width: 28rem; margin: 3rem auto; padding: 0 1rem; color: #16252d;
  background: #fcfbf8;}}
.caution {{border-left: 5px solid #c6482a; background: #fdece5; padding: .5rem .8rem; font-size: .95rem;}}
label, input, button {{display: block; width: 100%; box-sizing: border-box; font: inherit;}}
input, button {{padding: .7rem; margin: .4rem 0; border: 1px solid #55656c; border-radius: 4px;}}
button {{background: #0b5563; color: #fff;}}
.said {{color: #b3261e;}}
</style>
<p class="caution">{caution}</p>
<h1>Diving team planner</h1>
<form method="post"><label>Password
<input type="password" name="password" autocomplete="current-password" autofocus required></label>
<button>Open</button></form>
<p class="said" role="alert">{said}</p>
<p>Opened by http, the password can be read on the way: on a network the app belongs behind a proxy that
speaks TLS.</p>
</html>
"""
