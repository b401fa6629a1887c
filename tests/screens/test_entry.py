"""The password of the app: how it is kept, who is let in, who is not, and what a server without one does."""

from __future__ import annotations

import asyncio
import os
import subprocess
import sys
from collections.abc import Iterator, MutableMapping
from io import StringIO
from pathlib import Path
from typing import Any

import pytest

from planner import password
from planner.cli.main import main
from planner.password import SHORTEST, NoPassword, hashed, matches, read_kept
from planner.screens import entry
from planner.screens.entry import (
    FILE_VARIABLE,
    NOT_WITHOUT,
    OnlyWithPassword,
    beyond_this_machine,
    kept_password,
)

Message = MutableMapping[str, Any]

PASSWORD = "slack at half past nine"
ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module", autouse=True)
def cheap() -> Iterator[None]:
    """A hash costs next to nothing here; what is shipped costs as much as its file says it does."""
    with pytest.MonkeyPatch.context() as patch:
        assert password._COST == (2**15, 8, 3)
        patch.setattr(password, "_COST", (2**4, 8, 1))
        yield


@pytest.fixture(scope="module")
def kept(cheap: None) -> str:
    """The line of a password file."""
    return hashed(PASSWORD)


@pytest.fixture(autouse=True)
def no_waiting(monkeypatch: pytest.MonkeyPatch) -> None:
    """A wrong guess costs no second of this test."""
    monkeypatch.setattr(entry, "WRONG_S", 0.0)


async def _page(scope: Message, receive: object, send: Any) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.accept"})
    else:
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b"the day"})


def _asked(door: OnlyWithPassword, kind: str = "http", body: bytes = b"", **more: Any) -> list[Message]:
    """What a request or a socket is answered."""
    sent: list[Message] = []

    async def receive() -> Message:
        return {"type": "http.request", "body": body} if kind == "http" else {"type": "websocket.connect"}

    async def send(message: Message) -> None:
        sent.append(message)

    scope = {"type": kind, "method": "GET", "headers": [], "server": ("192.0.2.7", 8501), **more}
    asyncio.run(door(scope, receive, send))
    return sent


def _headers(answer: list[Message]) -> dict[bytes, bytes]:
    return dict(answer[0]["headers"])


def _guess(door: OnlyWithPassword, password: str, **more: Any) -> list[Message]:
    body = f"password={password.replace(' ', '+')}".encode()
    return _asked(door, body=body, method="POST", **more)


def test_the_password_is_not_in_its_file(kept: str) -> None:
    """A salt of its own each time (RFC 7914); the password matches, another one and a longer one do not."""
    assert PASSWORD not in kept
    assert hashed(PASSWORD) != kept
    assert matches(PASSWORD, kept)
    assert not matches(PASSWORD + " ", kept)
    assert not matches("", kept)


def test_an_accent_typed_on_another_keyboard_is_the_same(kept: str) -> None:
    """One letter, or the letter and its accent (Unicode, NFC)."""
    assert matches("baixa-mar à" + "s nove", hashed("baixa-mar à" + "s nove"))


@pytest.mark.parametrize(
    "line",
    [
        "",
        "slack at half past nine",
        "scrypt$32768$8$3$c2hvcnQ=$c2hvcnQ=",
        "scrypt$32769$8$3$" + "A" * 22 + "==$" + "A" * 43 + "=",
        "scrypt$1073741824$8$3$" + "A" * 22 + "==$" + "A" * 43 + "=",
        "md5$32768$8$3$" + "A" * 22 + "==$" + "A" * 43 + "=",
    ],
)
def test_what_is_no_password_file_is_told(tmp_path: Path, line: str) -> None:
    """Empty, the bare password, a short salt, a cost that is none or takes too much memory, another kind."""
    file = tmp_path / "password"
    file.write_text(line)
    with pytest.raises(NoPassword, match="no password file"):
        read_kept(file)
    with pytest.raises(NoPassword, match="cannot be read"):
        read_kept(tmp_path / "none")


def test_nobody_enters_without_it(kept: str) -> None:
    """A page asks for the password, a socket is closed, whatever address the server has."""
    door = OnlyWithPassword(_page, kept)
    for server in (("192.0.2.7", 8501), ("127.0.0.1", 8501)):
        head, body = _asked(door, server=server)
        assert head["status"] == 401
        assert b"the day" not in body["body"]
        assert b"Planning aid only" in body["body"]
        assert [m["type"] for m in _asked(door, "websocket", server=server)] == ["websocket.close"]
    forged = [(b"cookie", b"planner_entry=" + b"A" * 43)]
    assert _asked(door, headers=forged)[0]["status"] == 401
    assert _asked(door, headers=[(b"cookie", b'planner_entry="')])[0]["status"] == 401


def test_who_gives_it_is_let_in_and_led_back(kept: str) -> None:
    """The browser keeps a token that no script and no other site reads; the page's socket opens by it."""
    door = OnlyWithPassword(_page, kept)
    assert b"not the password" in _guess(door, "slack at half past ten")[1]["body"]
    answer = _guess(door, PASSWORD, raw_path=b"/day-log", query_string=b"desk=1")
    assert (answer[0]["status"], _headers(answer)[b"location"]) == (303, b"/day-log?desk=1")
    cookie = _headers(answer)[b"set-cookie"]
    assert {b"HttpOnly", b"SameSite=strict"} <= set(cookie.split(b"; "))
    assert b"Secure" not in cookie
    shown = [(b"cookie", b"other=1; " + cookie.split(b";")[0])]
    assert _asked(door, headers=shown)[1]["body"] == b"the day"
    assert _asked(door, "websocket", headers=shown) == [{"type": "websocket.accept"}]
    assert _asked(OnlyWithPassword(_page, kept), headers=shown)[0]["status"] == 401


def test_the_way_back_leads_to_no_other_server(kept: str) -> None:
    """//evil.test would be another site's address (RFC 3986, 4.2)."""
    door = OnlyWithPassword(_page, kept)
    for path in (b"//evil.test/", b"/\\evil.test/"):
        answer = _guess(door, PASSWORD, raw_path=path, scheme="https")
        assert _headers(answer)[b"location"] == b"/evil.test/"
        assert _headers(answer)[b"set-cookie"].endswith(b"; Secure")


def test_a_token_ends(kept: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """After its hours it lets nobody in; of more than the most the oldest is forgotten."""
    monkeypatch.setattr(entry, "_MOST_TOKENS", 2)
    monkeypatch.setattr(entry, "matches", lambda password, line: password == PASSWORD)
    door = OnlyWithPassword(_page, kept)
    shown = []
    for _ in range(3):
        cookie = _headers(_guess(door, PASSWORD))[b"set-cookie"]
        shown.append([(b"cookie", cookie.split(b";")[0])])
    assert [_asked(door, headers=h)[0]["status"] for h in shown] == [401, 200, 200]
    clock = entry.time.monotonic() + entry.ENTRY_S
    monkeypatch.setattr(entry.time, "monotonic", lambda: clock)
    assert [_asked(door, headers=h)[0]["status"] for h in shown] == [401, 401, 401]


def test_a_flood_of_guesses_is_turned_away(kept: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Guesses wait for one another; more than a few are not let wait, nor more than a password is read."""
    monkeypatch.setattr(entry, "matches", lambda password, line: False)
    monkeypatch.setattr(entry, "WRONG_S", 0.01)
    door, statuses = OnlyWithPassword(_page, kept), []

    async def receive() -> Message:
        return {"type": "http.request", "body": b"password=a"}

    async def send(message: Message) -> None:
        if "status" in message:
            statuses.append(message["status"])

    async def flood() -> None:
        scope = {"type": "http", "method": "POST", "headers": []}
        await asyncio.gather(*(door(scope, receive, send) for _ in range(12)))

    asyncio.run(flood())
    assert (statuses.count(429), statuses.count(401)) == (4, 8)
    assert _asked(door, method="POST", body=b"a" * 5000)[0]["status"] == 413


@pytest.mark.parametrize(
    ("address", "beyond"),
    [
        ("localhost", False),
        ("127.0.0.1", False),
        ("127.8.8.8", False),
        ("::1", False),
        ("unix:///run/planner.sock", True),
        ("0.0.0.0", True),
        ("::", True),
        ("192.0.2.7", True),
        ("quay.example", True),
        ("", True),
        (None, True),
    ],
)
def test_what_lies_beyond_this_machine(
    address: str | None, beyond: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Loopback (RFC 5735, RFC 4291) serves this machine alone; there and nowhere else, a socket in the file
    system among the rest, the app starts without a password."""
    assert beyond_this_machine(address) is beyond
    monkeypatch.delenv(FILE_VARIABLE, raising=False)
    monkeypatch.setattr(entry.st, "get_option", lambda name: address)
    if beyond:
        with pytest.raises(SystemExit, match="only with a password"):
            kept_password()
    else:
        assert kept_password() is None


def test_without_a_password_only_this_machine_is_served() -> None:
    """Also where another server than streamlit's own was told to listen everywhere: by the address at which
    it was reached."""
    door = OnlyWithPassword(_page, None)
    assert _asked(door, server=("127.0.0.1", 8501))[1]["body"] == b"the day"
    head, body = _asked(door)
    assert (head["status"], body["body"]) == (403, NOT_WITHOUT.encode())
    assert _asked(door, server=None)[0]["status"] == 403
    assert [m["type"] for m in _asked(door, "websocket")] == ["websocket.close"]


def test_the_command_writes_the_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """From a line where nobody types; read by nobody else of the machine; too short is refused."""
    file = tmp_path / "password"
    monkeypatch.setattr(sys, "stdin", StringIO(PASSWORD[: SHORTEST - 1] + "\n"))
    assert main(["password", str(file)]) == 3
    assert "12 letters or more" in capsys.readouterr().err
    assert not file.exists()
    monkeypatch.setattr(sys, "stdin", StringIO(PASSWORD + "\n"))
    assert main(["password", str(file)]) == 0
    assert matches(PASSWORD, read_kept(file))
    assert file.stat().st_mode & 0o077 == 0
    monkeypatch.setenv(FILE_VARIABLE, str(file))
    assert kept_password() == read_kept(file)
    file.write_text("nothing")
    with pytest.raises(SystemExit, match="no password file"):
        kept_password()


def test_a_server_on_the_network_does_not_start_without_it() -> None:
    """The whole sentence, and no server."""
    environment = {k: v for k, v in os.environ.items() if k != FILE_VARIABLE}
    done = subprocess.run(
        [sys.executable, "-m", "streamlit", "run", "app.py", "--server.address=0.0.0.0", "--server.port=0"],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode != 0
    assert NOT_WITHOUT in done.stderr
