"""Ten tabs plan at once. Run: python tests/bench/bench_tabs.py [--tabs 10] [--seconds 30]

Starts the app, opens a sample in each tab of a Chromium and presses *Plan the day* in all of them; prints
when each plan was finished and the server's memory before and after. Ends with status 1 when a mark is
missed, each for two cores with nothing else on them: a finished plan in every tab within three minutes, and
once the tabs are closed and their sessions gone, memory within a tenth of what it was before, when each page
and the solver had been used once.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory

import psutil
from playwright.sync_api import Browser, BrowserContext, Page, expect

sys.path.insert(0, str(Path(__file__).parents[1] / "browser"))

from app_server import WAIT_MS, go, open_sample, press, running_app, running_browser, set_limit, wait_idle

SAMPLE = "small_heavy_dress"
WITHIN_S, MEMORY_SHARE = 180.0, 0.1

#: Seconds after which the server forgets a tab that was closed, in this run.
FORGOTTEN_S = 5


def started() -> list[psutil.Process]:
    """All that this process has started, and what that has."""
    return psutil.Process().children(recursive=True)


def server() -> psutil.Process:
    """The server among them."""
    for process in started():
        with suppress(psutil.NoSuchProcess):
            if any("streamlit" in part for part in process.cmdline()):
                return process
    raise RuntimeError("the server is not there")


def memory_mb() -> float:
    """Resident memory of the server, MB."""
    return float(server().memory_info().rss) / 2**20


def cpu_all_s() -> tuple[float, float]:
    """Seconds of the cores that the server has had, and all that this run has started and is still there."""
    every = 0.0
    for process in started():
        with suppress(psutil.NoSuchProcess):
            every += sum(process.cpu_times()[:2])
    return sum(server().cpu_times()[:2]), every


def opened(browser: Browser, address: str) -> tuple[BrowserContext, Page]:
    """A tab with the sample on its page *Tomorrow*, nothing planned yet."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    open_sample(page, address, SAMPLE)
    go(page, "Tomorrow")
    return context, page


def begin(page: Page, seconds: int) -> None:
    """Set the time limit and press the button."""
    set_limit(page, seconds)
    press(page.locator(".st-key-plan button:visible"), page.locator(".st-key-stop button:visible"))


def finished(page: Page) -> bool:
    """Whether the search has ended and a plan is on show."""
    done = page.locator(".st-key-plan button:visible").count() > 0
    return done and page.locator(".st-key-watchbill button:visible").count() > 0


def main() -> int:
    """Measure once; 1 when a mark is missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tabs", type=int, default=10)
    parser.add_argument("--seconds", type=int, default=30)
    given = parser.parse_args()
    with TemporaryDirectory() as place:
        log = Path(place) / "app.log"
        os.environ["PLANNER_DB"] = str(Path(place) / "store.sqlite")
        os.environ["STREAMLIT_SERVER_DISCONNECTED_SESSION_TTL"] = str(FORGOTTEN_S)
        with running_app(log) as address, running_browser() as browser:
            context, page = opened(browser, address)
            begin(page, 5)
            expect(page.locator(".st-key-plan button:visible")).to_be_visible(timeout=4 * WAIT_MS)
            wait_idle(page)
            context.close()
            time.sleep(2 * FORGOTTEN_S)
            before_mb = memory_mb()
            tabs = [opened(browser, address) for _ in range(given.tabs)]
            at, (server_from_s, all_from_s) = time.monotonic(), cpu_all_s()
            for _, page in tabs:
                begin(page, given.seconds)
            pressed_s = time.monotonic() - at
            print(f"{given.tabs} tabs, all pressed after {pressed_s:.0f} s")
            waits = [page for _, page in tabs]
            peak_mb, took_s = before_mb, 0.0
            while waits and took_s < 3 * WITHIN_S:
                time.sleep(0.5)
                took_s = time.monotonic() - at
                peak_mb = max(peak_mb, memory_mb())
                for page in [p for p in waits if finished(p)]:
                    waits.remove(page)
                    print(f"{took_s:5.0f} s: {given.tabs - len(waits)} finished", flush=True)
            server_s, all_s = cpu_all_s()
            for context, _ in tabs:
                context.close()
            time.sleep(4 * FORGOTTEN_S)
            after_mb = memory_mb()
    print(f"memory before {before_mb:.0f} MB, at most {peak_mb:.0f} MB, after {after_mb:.0f} MB")
    server_s, all_s = server_s - server_from_s, all_s - all_from_s
    print(f"of the cores: {all_s:.0f} s, the server {server_s:.0f} s of them, the browser the rest")
    print(f"load of the machine in the last minutes: {os.getloadavg()[1]:.1f}")
    missed = bool(waits) or took_s > WITHIN_S or after_mb > before_mb * (1 + MEMORY_SHARE)
    return int(missed)


if __name__ == "__main__":
    raise SystemExit(main())
