"""Desks at work beside the store: found by token, bounded, and a sentence where the file cannot be used."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from planner.files import data_folder
from planner.store import StoreRefused, url_of
from planner.store import kept_desks as module
from planner.store.kept_desks import FORM, MOST_DAYS, KeptDesks, desks_file

NOON = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
ROOT = Path(__file__).resolve().parents[2]


def test_a_record_is_found_by_its_token_and_written_over(tmp_path: Path) -> None:
    """The last one put is the one that is got; another token has none."""
    desks = KeptDesks(tmp_path / "desks.sqlite")
    desks.put("token", "one")
    desks.put("token", "two")
    assert desks.get("token") == "two"
    assert desks.get("other") is None
    assert len(desks) == 1
    desks.close()


def test_what_was_acknowledged_outlives_a_killed_program(tmp_path: Path) -> None:
    """A program that kills itself right after putting a record leaves the record whole."""
    file = tmp_path / "desks.sqlite"
    code = (
        "import os, signal, sys; from pathlib import Path; from planner.store.kept_desks import KeptDesks;"
        "KeptDesks(Path(sys.argv[1])).put('token', 'x' * 100_000); os.kill(os.getpid(), signal.SIGKILL)"
    )
    ended = subprocess.run([sys.executable, "-c", code, str(file)], cwd=ROOT, env=os.environ)
    assert ended.returncode == -signal.SIGKILL
    desks = KeptDesks(file)
    assert desks.get("token") == "x" * 100_000
    desks.close()


def test_the_token_itself_is_not_in_the_file(tmp_path: Path) -> None:
    """Whoever has a token has the work, so a copy of the file gives none away."""
    file = tmp_path / "desks.sqlite"
    desks = KeptDesks(file)
    desks.put("a-token-of-ours", "content")
    desks.close()
    written = b"".join(part.read_bytes() for part in tmp_path.iterdir())
    assert b"content" in written
    assert b"a-token-of-ours" not in written


def test_old_ones_and_too_many_are_cleared_away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A new desk clears away the one left alone longest of too many, and those past their days."""
    monkeypatch.setattr(module, "MOST_DESKS", 3)
    times = iter([NOON + timedelta(minutes=m) for m in range(6)])
    desks = KeptDesks(tmp_path / "desks.sqlite", clock=lambda: next(times))
    for token in ("a", "b", "c"):
        desks.put(token, token)
    desks.put("a", "again")
    desks.put("d", "d")
    assert [desks.get(token) for token in ("a", "b", "c", "d")] == ["again", None, "c", "d"]
    desks.close()
    later = KeptDesks(tmp_path / "desks.sqlite", clock=lambda: NOON + timedelta(days=MOST_DAYS + 1))
    later.put("e", "e")
    assert len(later) == 1
    later.close()


def test_a_damaged_record_is_told(tmp_path: Path) -> None:
    """A record that does not agree with its hash is not handed out."""
    file = tmp_path / "desks.sqlite"
    desks = KeptDesks(file)
    desks.put("token", "content")
    with sqlite3.connect(file) as raw:
        raw.execute("UPDATE desks SET content = 'contemt'")
    with pytest.raises(StoreRefused, match="damaged"):
        desks.get("token")
    desks.close()


def test_a_record_past_all_measure_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is told, and the record before it stays."""
    monkeypatch.setattr(module, "MOST_CHARACTERS", 10)
    desks = KeptDesks(tmp_path / "desks.sqlite")
    desks.put("token", "short")
    with pytest.raises(StoreRefused, match="too large"):
        desks.put("token", "much too long")
    assert desks.get("token") == "short"
    desks.close()


def test_files_that_are_none(tmp_path: Path) -> None:
    """Another program's database, one of a newer version, a text: a sentence, and the file as it was."""
    other, newer, text = (tmp_path / name for name in ("other", "newer", "text"))
    with sqlite3.connect(other) as raw:
        raw.execute("CREATE TABLE recipes (id INTEGER)")
    with sqlite3.connect(newer) as raw:
        raw.execute(f"PRAGMA user_version = {FORM + 1}")
    text.write_text("This is a letter, not a database. " * 50)
    for file, said in ((other, "another program"), (newer, "newer version"), (text, "not a store")):
        with pytest.raises(StoreRefused, match=said):
            KeptDesks(file)
    with sqlite3.connect(other) as raw:
        assert raw.execute("SELECT name FROM sqlite_master").fetchall() == [("recipes",)]


@pytest.mark.parametrize(
    ("place", "want"),
    [
        ("/quay/store.sqlite", Path("/quay/store.desks.sqlite")),
        ("sqlite:////quay/north.db", Path("/quay/north.desks.sqlite")),
        ("postgresql://office/planner", data_folder() / "desks.sqlite"),
        ("sqlite:///file:/quay/store.sqlite?mode=ro&uri=true", data_folder() / "desks.sqlite"),
    ],
)
def test_where_they_lie(place: str, want: Path) -> None:
    """Beside the store's file; on this machine where the store is a database that others share."""
    assert desks_file(url_of(place)) == want


def test_parts_beside_a_record(tmp_path: Path) -> None:
    """One that is not named goes, one named without a text stays; they go with their desk."""
    clock = [NOON]
    desks = KeptDesks(tmp_path / "desks.sqlite", clock=lambda: clock[0])
    desks.put("a", "record", {"one": "1", "two": "2"})
    desks.put("b", "record", {"one": "b1"})
    desks.put("a", "record", {"one": None, "three": "3"})
    found = [desks.part("a", name) for name in ("one", "two", "three")]
    assert found == ["1", None, "3"]
    assert desks.part("b", "one") == "b1"
    desks.put("a", "record", {"one": "1 again"})
    assert desks.part("a", "one") == "1 again"
    clock[0] += timedelta(days=MOST_DAYS + 1)
    desks.put("c", "record")
    assert desks.get("a") is None
    assert desks.part("a", "one") is None
    desks.close()


def test_parts_of_a_desk_that_was_cleared_away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Put again, the desk says which parts that should have stayed are gone; one handed over since stays."""
    monkeypatch.setattr(module, "MOST_DESKS", 3)
    times = iter([NOON + timedelta(minutes=m) for m in range(20)])
    desks = KeptDesks(tmp_path / "desks.sqlite", clock=lambda: next(times))
    assert desks.put("a", "record", {"one": "1", "two": "2"}) == ()
    assert desks.put("a", "record", {"one": None, "two": None}) == ()
    for token in ("b", "c", "d"):
        desks.put(token, "record")
    desks.put_part("a", "two", "2 again")
    assert desks.put("a", "record", {"one": None, "two": None}) == ("one",)
    assert desks.get("a") == "record"
    assert [desks.part("a", name) for name in ("one", "two")] == [None, "2 again"]
    desks.close()


def test_a_damaged_part_and_one_too_long(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A sentence each; the record stays as it was."""
    file = tmp_path / "desks.sqlite"
    desks = KeptDesks(file)
    desks.put("a", "record", {"one": "1"})
    monkeypatch.setattr(module, "MOST_CHARACTERS", 10)
    with pytest.raises(StoreRefused, match="too large"):
        desks.put("a", "later", {"one": "x" * 11})
    assert desks.get("a") == "record"
    with sqlite3.connect(file) as raw:
        raw.execute("UPDATE parts SET content = 'other'")
    with pytest.raises(StoreRefused, match="damaged"):
        desks.part("a", "one")
    assert desks.get("a") == "record"
    desks.close()
