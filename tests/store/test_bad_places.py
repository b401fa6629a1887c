"""Databases that cannot be used: a clear sentence, and nothing of what was stored is lost."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event

from planner.job import Job
from planner.store import NewRow, Store, StoreRefused
from tests.world.quay import with_air

JOB: Job = with_air()
NAME, DAY = JOB.site.name, JOB.site.first_day


def _filled(path: Path) -> None:
    with Store(str(path)) as store:
        store.save_job(JOB, "Ana Reyes")
        store.append(NAME, DAY, NewRow("depth", "{}", "Ana Reyes"))


def test_a_full_disk(tmp_path: Path) -> None:
    """SQLite may grow by no page more, as on a full disk: told so; what was stored is whole; with room again
    it goes on. Source: PRAGMA max_page_count in the SQLite documentation gives SQLITE_FULL."""
    path = tmp_path / "store.sqlite"
    _filled(path)
    with Store(str(path)) as store:

        def no_room(connection: Any, _record: object, _proxy: object) -> None:
            pages = connection.execute("PRAGMA page_count").fetchone()[0]
            connection.execute(f"PRAGMA max_page_count = {pages}")

        event.listen(store._database.engine, "checkout", no_room)
        with pytest.raises(StoreRefused, match="no room left on the disk"):
            for _ in range(50):
                store.append(NAME, DAY, NewRow("note", "x" * 4000, "Ana Reyes"))
    with Store(str(path)) as store:
        kept = store.log(NAME, DAY)
        assert kept[0].content == "{}"
        assert all(len(row.content) == 4000 for row in kept[1:])
        assert store.faults() == ()
        assert store.append(NAME, DAY, NewRow("note", "later", "Ana Reyes")).number == len(kept) + 1


def test_a_store_that_may_only_be_read(tmp_path: Path) -> None:
    """Opened read-only it can be read; an entry is refused with a sentence."""
    path = tmp_path / "store.sqlite"
    _filled(path)
    with Store(f"sqlite:///file:{path}?mode=ro&uri=true") as store:
        assert len(store.log(NAME, DAY)) == 1
        with pytest.raises(StoreRefused, match="may only be read"):
            store.append(NAME, DAY, NewRow("depth", "{}", "Ana Reyes"))
    with Store(str(path)) as store:
        assert len(store.log(NAME, DAY)) == 1


def test_a_store_of_a_newer_version(tmp_path: Path) -> None:
    """Its version is unknown here: not opened, not touched."""
    path = tmp_path / "store.sqlite"
    _filled(path)
    with sqlite3.connect(path) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '9999'")
    before = path.read_bytes()
    with pytest.raises(StoreRefused, match="newer version"):
        Store(str(path))
    assert path.read_bytes() == before


def _other_tables(path: Path) -> None:
    with sqlite3.connect(path) as raw:
        raw.execute("CREATE TABLE recipes (id INTEGER)")


def _without_version(path: Path) -> None:
    _filled(path)
    with sqlite3.connect(path) as raw:
        raw.execute("DELETE FROM alembic_version")


def _text(path: Path) -> None:
    path.write_text("This is a letter, not a database. " * 50)


def _folder(path: Path) -> None:
    path.mkdir()


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (_other_tables, "another program"),
        (_without_version, "lost its version"),
        (_text, "not a store"),
        (_folder, "cannot be opened"),
    ],
)
def test_a_file_that_is_no_store(tmp_path: Path, make: Callable[[Path], None], said: str) -> None:
    """Another program's database, a text, a folder: left as they are, with a sentence."""
    path = tmp_path / "thing"
    make(path)
    with pytest.raises(StoreRefused, match=said):
        Store(str(path))


def test_a_folder_that_cannot_be_made(tmp_path: Path) -> None:
    """A file stands where the folder should be."""
    (tmp_path / "file").write_text("x")
    with pytest.raises(StoreRefused, match="cannot be made"):
        Store(str(tmp_path / "file" / "below" / "store.sqlite"))


def test_a_server_that_does_not_answer() -> None:
    """Nothing listens there: a sentence, no traceback."""
    with pytest.raises(StoreRefused, match="does not answer"):
        Store("postgresql://planner@127.0.0.1:1/none")
