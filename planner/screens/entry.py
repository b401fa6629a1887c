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
from html import escape
from pathlib import Path
from urllib.parse import parse_qs

import streamlit as st
from starlette.requests import HTTPConnection, Request
from starlette.responses import HTMLResponse, PlainTextResponse, Response
from starlette.types import ASGIApp, Receive, Scope, Send
from starlette.websockets import WebSocketClose

from planner import CAUTION
from planner.password import NoPassword, matches, read_kept

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

_NEVER_KEPT = {"cache-control": "no-store"}


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

    def __init__(self, app: ASGIApp, kept: str | None) -> None:
        self.app, self.kept = app, kept
        self._tokens: dict[str, float] = {}
        self._guessing = asyncio.Lock()
        self._waiting = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or open one socket."""
        answer: ASGIApp = self.app
        if scope["type"] in ("http", "websocket") and not self._may_enter(scope):
            if scope["type"] == "websocket":
                answer = WebSocketClose(1008)
            elif self.kept is None:
                answer = PlainTextResponse(NOT_WITHOUT, 403, _NEVER_KEPT)
            elif scope["method"] == "POST":
                answer = await self._guess(self.kept, Request(scope, receive))
            else:
                answer = _ask(401)
        await answer(scope, receive, send)

    def _may_enter(self, scope: Scope) -> bool:
        if self.kept is None:
            server = scope.get("server")
            return server is not None and not beyond_this_machine(str(server[0]))
        until = self._tokens.get(_digest(HTTPConnection(scope).cookies.get(_COOKIE, "")))
        return until is not None and time.monotonic() < until

    async def _guess(self, kept: str, request: Request) -> Response:
        """Let in who gives the password; whoever does not waits, and so does the next guess."""
        body = b""
        async for part in request.stream():
            body += part
            if len(body) > _MOST_BYTES:
                break
        if len(body) > _MOST_BYTES or self._waiting >= _MOST_WAITING:
            return _ask(413 if len(body) > _MOST_BYTES else 429, "Not now. Try again in a few seconds.")
        password = parse_qs(body.decode("utf-8", "replace")).get("password", [""])[0]
        self._waiting += 1
        try:
            async with self._guessing:
                right = await asyncio.to_thread(matches, password, kept)
                if not right:
                    await asyncio.sleep(WRONG_S)
        finally:
            self._waiting -= 1
        return self._let_in(request.scope) if right else _ask(401, "That is not the password.")

    def _let_in(self, scope: Scope) -> Response:
        """A new token for a browser, and the way back to the page that it had asked for."""
        now, token = time.monotonic(), secrets.token_urlsafe(32)
        known = [(t, until) for t, until in self._tokens.items() if until > now][1 - _MOST_TOKENS :]
        self._tokens = {**dict(known), _digest(token): now + ENTRY_S}
        # one slash alone: two would name another server
        back = b"/" + bytes(scope.get("raw_path") or b"/").lstrip(b"/\\")
        query = bytes(scope.get("query_string", b""))
        where = (back + (b"?" + query if query else b"")).decode("latin-1")
        answer = Response(status_code=303, headers={**_NEVER_KEPT, "location": where})
        secure = scope.get("scheme") in ("https", "wss")
        answer.set_cookie(_COOKIE, token, ENTRY_S, secure=secure, httponly=True, samesite="strict")
        return answer


def _digest(token: str) -> str:
    """What is looked up in place of a token, so that how long a look-up takes tells nothing of it."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def _ask(status: int, said: str = "") -> Response:
    return HTMLResponse(_PAGE.format(caution=escape(CAUTION), said=escape(said)), status, _NEVER_KEPT)


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
