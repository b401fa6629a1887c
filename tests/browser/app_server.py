"""Starts the app on a free port and opens Debian's Chromium on it."""

from __future__ import annotations

import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psutil
from playwright.sync_api import Browser, Locator, Page, expect, sync_playwright

ROOT = Path(__file__).resolve().parents[2]
CHROMIUM = "/usr/bin/chromium"

#: Longest wait for anything on a page, milliseconds; two busy cores are slow.
WAIT_MS = 30_000


def chromium_path() -> str | None:
    """Where Chromium is; None when it is not on this machine."""
    if Path(CHROMIUM).exists():
        return CHROMIUM
    return shutil.which("chromium")


def free_port() -> int:
    """A port that nothing listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def running_app(
    log: Path,
    port: int | None = None,
    *,
    killed: bool = False,
    script: str = "app.py",
    asked: int = 200,
) -> Iterator[str]:
    """The app's address while it runs, at a port of its own unless one is given; its output goes to `log`.

    In the end it is asked to stop, or killed as by a power cut. ``asked``: the status with which it answers
    once it is ready; 401 where it has a password.
    """
    port = port or free_port()
    command = [sys.executable, "-m", "streamlit", "run", script, f"--server.port={port}"]
    with log.open("wb") as out, subprocess.Popen(command, cwd=ROOT, stdout=out, stderr=out) as process:
        try:
            _wait_until_healthy(port, process, asked)
            yield f"http://localhost:{port}"
        finally:
            if killed:
                process.kill()
            else:
                process.terminate()


def _wait_until_healthy(port: int, process: subprocess.Popen[bytes], asked: int) -> None:
    address = f"http://localhost:{port}/_stcore/health"
    until = time.monotonic() + 60
    while time.monotonic() < until:
        if process.poll() is not None:
            raise RuntimeError("the app ended before it was ready")
        try:
            with urllib.request.urlopen(address, timeout=2) as answer:
                if answer.status == asked:
                    return
        except urllib.error.HTTPError as answer:
            if answer.code == asked:
                return
        except (urllib.error.URLError, OSError):
            time.sleep(0.1)
    raise RuntimeError("the app was not ready within a minute")


def processor_s() -> float:
    """Seconds of processor that the apps started here have used so far: where a machine is busy, it says more
    than the clock."""
    apps = [child for child in psutil.Process().children() if "streamlit" in child.cmdline()]
    return sum(times.user + times.system for times in (app.cpu_times() for app in apps))


@contextmanager
def running_browser() -> Iterator[Browser]:
    """Chromium without a window."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path(), args=["--no-sandbox"])
        try:
            yield browser
        finally:
            browser.close()


#: Milliseconds for which the app must run nothing to count as idle: a key pressed or a page loaded anew
#: reaches the server a moment later, and until then nothing runs either.
STEADY_MS = 250

_STEADY = """() => {
  const app = document.querySelector("[data-testid='stApp']"), now = performance.now();
  const idle = app && app.dataset.testScriptState === "notRunning"
    && app.dataset.testConnectionState === "CONNECTED";
  if (!idle) { window.idleSince = null; return false; }
  window.idleSince ??= now;
  return now - window.idleSince >= STEADY_MS;
}"""


def wait_idle(page: Page) -> None:
    """Until the app has drawn the page and has run nothing for a moment."""
    page.wait_for_function(_STEADY.replace("STEADY_MS", str(STEADY_MS)), polling=50, timeout=WAIT_MS)


def wait_drawn(page: Page) -> None:
    """Until the app runs nothing, for the first moment: for times measured."""
    expect(page.locator("[data-testid='stApp']")).to_have_attribute(
        "data-test-script-state", "notRunning", timeout=WAIT_MS
    )


def press(what: Locator, shows: Locator) -> None:
    """Click until what follows is to be seen.

    The page may be drawn anew just under the pointer and lose the press, as it may for a person: look, press
    again.
    """
    for _ in range(3):
        if what.is_visible():
            what.click(timeout=WAIT_MS)
        try:
            expect(shows.first).to_be_visible(timeout=10_000)
        except AssertionError:
            continue
        return
    expect(shows.first).to_be_visible(timeout=WAIT_MS)


def choose_cell(page: Page, row: int = 0) -> Locator:
    """Click the first cell of a row (from 0) of the page's table until the table takes it; the chosen cell.

    A table that is drawn anew under the pointer loses the click.
    """
    grid = page.locator("[data-testid='stDataFrame'] canvas[data-testid='data-grid-canvas']").first
    chosen = grid.locator("[role=gridcell][aria-selected='true']")
    for _ in range(3):
        expect(grid).to_be_visible(timeout=WAIT_MS)
        wait_idle(page)
        box = grid.bounding_box()
        assert box is not None
        # Just right of the column for ticking rows; the head and each row are 35 high.
        page.mouse.click(box["x"] + 60, box["y"] + 35 * (1 + row) + 17)
        try:
            expect(chosen).to_have_count(1, timeout=5_000)
        except AssertionError:
            continue
        break
    expect(chosen).to_have_count(1, timeout=WAIT_MS)
    return chosen


def open_sample(page: Page, address: str, stem: str) -> None:
    """Open the app in this tab and one of its samples."""
    page.goto(address)
    sample = page.locator(f".st-key-sample_{stem} button:visible")
    expect(sample).to_be_visible(timeout=WAIT_MS)
    press(sample, page.locator(".st-key-job_book button:visible"))
    wait_idle(page)


def open_page(page: Page, title: str) -> None:
    """Choose another page from the menu, opening it first where it is folded away."""
    narrow = (page.viewport_size or {"width": 1280})["width"] < 700
    if narrow:
        page.locator("[data-testid='stExpandSidebarButton']").click(timeout=WAIT_MS)
    page.locator("[data-testid='stSidebarNavLink']", has_text=title).first.click(timeout=WAIT_MS)
    expect(page.locator("h1")).to_have_text(title, timeout=WAIT_MS)


def go(page: Page, title: str) -> None:
    """Go to another page by the menu and wait until it is drawn."""
    open_page(page, title)
    wait_idle(page)


def set_limit(page: Page, seconds: int) -> None:
    """Give the search so many seconds."""
    field = page.locator(".st-key-seconds input")
    search = page.get_by_role("button", name="Time limit")
    press(search, field)
    field.fill(str(seconds), timeout=WAIT_MS)
    field.press("Enter")
    wait_idle(page)
    expect(field).to_have_value(str(seconds), timeout=WAIT_MS)
    page.keyboard.press("Escape")
    expect(field).to_be_hidden(timeout=WAIT_MS)


def plan(page: Page, seconds: int) -> None:
    """Set the time limit and press the button; returns while the scheduler works."""
    set_limit(page, seconds)
    begun = page.locator(".st-key-stop button:visible")
    if page.locator(".st-key-watchbill button:visible").count() == 0:
        # No plan was there before: one that is says as well that the search has begun.
        begun = begun.or_(page.locator(".st-key-watchbill button:visible"))
    press(page.locator(".st-key-plan button:visible"), begun)
