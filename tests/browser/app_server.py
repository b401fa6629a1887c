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

from playwright.sync_api import Browser, Page, expect, sync_playwright

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
    log: Path, port: int | None = None, *, killed: bool = False, script: str = "app.py"
) -> Iterator[str]:
    """The app's address while it runs, at a port of its own unless one is given; its output goes to `log`.

    In the end it is asked to stop, or killed as by a power cut.
    """
    port = port or free_port()
    command = [sys.executable, "-m", "streamlit", "run", script, f"--server.port={port}"]
    with log.open("wb") as out, subprocess.Popen(command, cwd=ROOT, stdout=out, stderr=out) as process:
        try:
            _wait_until_healthy(port, process)
            yield f"http://localhost:{port}"
        finally:
            if killed:
                process.kill()
            else:
                process.terminate()


def _wait_until_healthy(port: int, process: subprocess.Popen[bytes]) -> None:
    address = f"http://localhost:{port}/_stcore/health"
    until = time.monotonic() + 60
    while time.monotonic() < until:
        if process.poll() is not None:
            raise RuntimeError("the app ended before it was ready")
        try:
            with urllib.request.urlopen(address, timeout=2) as answer:
                if answer.status == 200:
                    return
        except (urllib.error.URLError, OSError):
            time.sleep(0.1)
    raise RuntimeError("the app was not ready within a minute")


@contextmanager
def running_browser() -> Iterator[Browser]:
    """Chromium without a window."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path(), args=["--no-sandbox"])
        try:
            yield browser
        finally:
            browser.close()


def wait_idle(page: Page) -> None:
    """Until the app has drawn the page and runs nothing."""
    expect(page.locator("[data-testid='stApp']")).to_have_attribute(
        "data-test-script-state", "notRunning", timeout=WAIT_MS
    )


def open_sample(page: Page, address: str, stem: str) -> None:
    """Open the app in this tab and one of its samples."""
    page.goto(address)
    page.locator(f".st-key-sample_{stem} button").click(timeout=WAIT_MS)
    expect(page.locator(".st-key-job_book")).to_be_visible(timeout=WAIT_MS)
    wait_idle(page)


def go(page: Page, title: str) -> None:
    """Go to another page by the menu, opening it first where it is folded away."""
    narrow = (page.viewport_size or {"width": 1280})["width"] < 700
    if narrow:
        page.locator("[data-testid='stExpandSidebarButton']").click(timeout=WAIT_MS)
    page.locator("[data-testid='stSidebarNavLink']", has_text=title).first.click(timeout=WAIT_MS)
    expect(page.locator("h1")).to_have_text(title, timeout=WAIT_MS)
    wait_idle(page)


def plan(page: Page, seconds: int) -> None:
    """Set the time limit and press the button; returns while the scheduler works."""
    field = page.locator(".st-key-seconds input")
    field.fill(str(seconds), timeout=WAIT_MS)
    field.press("Enter")
    wait_idle(page)
    # The page may be drawn anew just as the button is pressed, and lose the press: look, press again.
    begun = page.locator(".st-key-stop button:visible, .st-key-watchbill button:visible").first
    for attempt in range(3):
        page.locator(".st-key-plan button").click(timeout=WAIT_MS)
        try:
            expect(begun).to_be_visible(timeout=15_000)
        except AssertionError:
            if attempt == 2:
                raise
        else:
            return
