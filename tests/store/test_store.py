"""What the store keeps, on both databases: jobs by version, issued watchbills, the day log."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import create_engine, event, make_url, text
from sqlalchemy.exc import DBAPIError

from planner.files import data_folder
from planner.job import Job
from planner.plan import Plan, from_json
from planner.store import NewRow, Store, StoreRefused, canonical_json, job_from_json, url_of
from planner.store.schema import metadata
from tests.world.quay import a_plan, with_air

NOON = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def job() -> Job:
    return with_air()


@pytest.fixture(scope="module")
def plan(job: Job) -> Plan:
    return a_plan()


def _open(place: str) -> Store:
    return Store(place, clock=lambda: NOON)


def test_the_same_job_is_the_same_text_in_every_process(job: Job) -> None:
    """Sets of duties have no order of their own, and Python shuffles them anew in each process; the text of
    a job, and so its hash, does not change with it. Source: PYTHONHASHSEED in the Python documentation."""
    code = (
        "from tests.world.quay import with_air; from planner.store.records import canonical_json, sha256_of;"
        "print(sha256_of(job=canonical_json(with_air())))"
    )
    root = Path(__file__).resolve().parents[2]
    said = {
        subprocess.run(
            [sys.executable, "-c", code],
            cwd=root,
            env={**os.environ, "PYTHONHASHSEED": seed},
            check=True,
            capture_output=True,
            text=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(said) == 1
    assert job_from_json(canonical_json(job)) == job


def test_jobs_are_versioned(place: str, job: Job) -> None:
    """Each change is a version; the same job again is none; every version can be opened."""
    other = job.replace(people=job.people[:-1])
    with _open(place) as store:
        assert store.save_job(job, "Ana Reyes").version == 1
        assert not store.save_job(job, "Ana Reyes").fresh
        assert store.save_job(other, "Ben Okafor", note="one fewer").version == 2
        assert store.open_job(job.site.name) == other
        assert store.open_job(job.site.name, 1) == job
        assert [v.saved_by for v in store.versions(job.site.name)] == ["Ana Reyes", "Ben Okafor"]
        line = store.jobs()[0]
        assert (line.name, line.versions, line.saved_at) == (job.site.name, 2, NOON)
        with pytest.raises(StoreRefused, match="no version 9"):
            store.open_job(job.site.name, 9)


def test_an_older_version_saved_again_is_the_newest(place: str, job: Job) -> None:
    """Version 1 opened and saved is version 3; the list of versions reads no job's content."""
    other = job.replace(people=job.people[:-1])
    with _open(place) as store:
        store.save_job(job, "Ana Reyes")
        store.save_job(other, "Ben Okafor")
        asked: list[str] = []
        engine = store._database.engine
        event.listen(engine, "before_cursor_execute", lambda *told: asked.append(told[2]))
        assert store.save_job(store.open_job(job.site.name, 1), "Ana Reyes").version == 3
        del asked[:]
        versions = store.versions(job.site.name)
        assert asked
        assert not [text for text in asked if "content" in text]
        assert versions[0].sha256 == versions[2].sha256 != versions[1].sha256
        assert [store.open_job(job.site.name, n) for n in (1, 2, 3)] == [job, other, job]


def test_an_issued_watchbill_is_frozen(place: str, job: Job, plan: Plan) -> None:
    """Job, plan, report, ticks, card and sheets come back as they were issued, whatever is saved later."""
    with _open(place) as store:
        first = store.issue(
            job, plan, "Ana Reyes", ticked=("Weather",), card={"chamber": "x"}, printed=b"PK\x03"
        )
        second = store.issue(job, plan, "Ana Reyes", reason="late tide")
        store.save_job(job.replace(people=job.people[:-1]), "Ben Okafor")
        assert (first.revision, second.revision) == (1, 2)
        whole = store.open_issued(job.site.name, job.site.first_day, 1)
        assert (whole.job, whole.plan) == (job, plan)
        assert whole.check_report.startswith("0 breach(es)")
        assert (whole.ticked, whole.card, whole.printed) == (("Weather",), {"chamber": "x"}, b"PK\x03")
        assert from_json(whole.plan_json, whole.job) == plan
        assert store.open_issued(job.site.name, job.site.first_day).line.reason == "late tide"
        assert [i.revision for i in store.issued(job.site.name)] == [1, 2]
        assert store.faults() == ()


def test_a_plan_that_breaks_a_rule_is_not_issued(place: str, job: Job, plan: Plan) -> None:
    """The independent check stands before the stamp."""
    with _open(place) as store:
        with pytest.raises(StoreRefused, match="breaks a rule"):
            store.issue(job, plan.replace(duties=plan.duties[1:]), "Ana Reyes")
        with pytest.raises(StoreRefused, match="Say who you are"):
            store.issue(job, plan, "  ")
        assert store.issued(job.site.name) == ()


def test_the_log_only_grows(place: str, job: Job) -> None:
    """A correction names the entry it stands in for; both stay; a second one is told of the first."""
    name, day = job.site.name, job.site.first_day
    with _open(place) as store:
        store.save_job(job, "Ana Reyes")
        first = store.append(name, day, NewRow("depth", "{}", "Ana Reyes"))
        second = store.append(name, day, NewRow("depth", "[]", "Ben Okafor", corrects=first.number))
        assert store.log(name, day) == (first, second)
        assert second.corrects == first.number
        with pytest.raises(StoreRefused, match="corrected already by Ben Okafor"):
            store.append(name, day, NewRow("depth", "{}", "Ana Reyes", corrects=first.number))
        with pytest.raises(StoreRefused, match="no entry 99"):
            store.append(name, day, NewRow("depth", "{}", "Ana Reyes", corrects=99))
        with pytest.raises(StoreRefused, match="no job called"):
            store.append("elsewhere", day, NewRow("depth", "{}", "Ana Reyes"))
        assert store.log(name, date(2030, 1, 1)) == ()


def test_one_press_is_stored_once(place: str, job: Job) -> None:
    """The same token twice is one entry: a button pressed twice, or sent again after a lost answer."""
    name, day = job.site.name, job.site.first_day
    with _open(place) as store:
        store.save_job(job, "Ana Reyes")
        row = NewRow("depth", "{}", "Ana Reyes", token="press-1")
        assert store.append(name, day, row) == store.append(name, day, row)
        assert len(store.log(name, day)) == 1


@pytest.mark.parametrize("change", ["UPDATE {0} SET id = id", "DELETE FROM {0}"])
@pytest.mark.parametrize("table", metadata.tables)
def test_the_database_itself_refuses_changes(
    place: str, job: Job, plan: Plan, table: str, change: str
) -> None:
    """Whoever asks, with whatever program: no row is changed or removed (triggers of the database)."""
    with _open(place) as store:
        store.save_job(job, "Ana Reyes")
        store.issue(job, plan, "Ana Reyes")
        store.save_card(job.site.name, {"chamber": "x"}, "Ana Reyes")
        store.append(job.site.name, job.site.first_day, NewRow("depth", "{}", "Ana Reyes"))
    engine = create_engine(make_url(place))
    with pytest.raises(DBAPIError, match="only grows"), engine.begin() as connection:
        connection.execute(text(change.format(table)))
    engine.dispose()


def test_a_row_changed_behind_its_back_is_found(tmp_path: Path, job: Job, plan: Plan) -> None:
    """Someone takes the triggers away and edits an issued plan: its hash no longer agrees, it is refused."""
    place = f"sqlite:///{tmp_path / 'store.sqlite'}"
    with _open(place) as store:
        store.issue(job, plan, "Ana Reyes")
    engine = create_engine(place)
    with engine.begin() as connection:
        connection.exec_driver_sql("DROP TRIGGER issued_no_update")
        connection.exec_driver_sql("UPDATE issued SET issued_by = 'Someone Else'")
    engine.dispose()
    with _open(place) as store:
        assert "changed after it was issued" in store.faults()[0]
        with pytest.raises(StoreRefused, match="hash does not agree"):
            store.open_issued(job.site.name, job.site.first_day)


def test_migrations_make_the_tables_that_the_program_uses(place: str) -> None:
    """Alembic finds no difference between a store made by the steps and the tables in the program."""
    Store(place).close()
    engine = create_engine(make_url(place))
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []
    engine.dispose()


def test_two_programs_that_open_a_new_store_at_once(place: str, job: Job) -> None:
    """Both find it made; each saves its version, none is lost."""
    jobs = [job.replace(people=job.people[: len(job.people) - n]) for n in range(4)]
    failed: list[str] = []

    def work(own: Job) -> None:
        try:
            with Store(place) as store:
                store.save_job(own, "Ana Reyes")
        except StoreRefused as refused:
            failed.append(str(refused))

    threads = [threading.Thread(target=work, args=(own,)) for own in jobs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    with Store(place) as store:
        assert [v.version for v in store.versions(job.site.name)] == [1, 2, 3, 4]


def test_the_emergency_card_is_kept(place: str) -> None:
    """The last one counts."""
    with _open(place) as store:
        assert store.card("Pier") == {}
        store.save_card("Pier", {"chamber": "a"}, "Ana Reyes")
        store.save_card("Pier", {"chamber": "b"}, "Ana Reyes")
        assert store.card("Pier") == {"chamber": "b"}


@pytest.mark.parametrize(
    ("platform", "variables", "want"),
    [
        ("linux", {}, "/h/.local/share/diving-team-planner"),
        ("linux", {"XDG_DATA_HOME": "/d"}, "/d/diving-team-planner"),
        ("linux", {"XDG_DATA_HOME": "d"}, "/h/.local/share/diving-team-planner"),
        ("darwin", {}, "/h/Library/Application Support/diving-team-planner"),
        ("win32", {"LOCALAPPDATA": "/l"}, "/l/diving-team-planner"),
    ],
)
def test_data_folder(platform: str, variables: dict[str, str], want: str) -> None:
    """The folders that the systems name for a user's data. Source: XDG Base Directory Specification (a
    relative XDG_DATA_HOME is ignored); Windows and macOS: the documents of platformdirs."""
    assert data_folder(platform, Path("/h"), variables).as_posix() == want


@pytest.mark.parametrize(
    ("typed", "said"), [("mysql://x/y", "is neither"), ("sqlite://", "in memory"), ("://", "no|not")]
)
def test_places_that_are_none(typed: str, said: str) -> None:
    """A sentence for each."""
    with pytest.raises(StoreRefused, match=said):
        url_of(typed)
