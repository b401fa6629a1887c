"""Soundness of a table set: the shipped ones are sound, and one falsified cell convicts the set at its line.

What no true table can say is the same for every nation's; the numbers falsified are those of the U.S. Navy
Diving Manual, Revision 7, and of the no-decompression charts of the U.S. ocean agency.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from planner.cli.main import main
from planner.errors import InputFaults
from planner.table_sets import shelf
from planner.table_sets.shelf import SHIPPED, SetRefused, files_of, keep_set, set_ids, table_set
from planner.table_sets.soundness import Soundness, examine

NAVY, OCEAN = "us-navy-7", "noaa-no-decompression"

#: Set, file, what stands there once, what is put there, where the fault is told, a part of its sentence.
FALSIFIED: tuple[tuple[str, str, str, str, str, str], ...] = (
    # set.toml
    (OCEAN, "set.toml", 'name = "NOAA No', 'nom = "NOAA No', "set.toml, line 2", "no nom"),
    (OCEAN, "set.toml", 'edition = "groups A to N"', "", "set.toml", "does not say edition"),
    (OCEAN, "set.toml", 'units = "fsw"', 'units = "fathoms"', "set.toml, line", "units"),
    (OCEAN, "set.toml", 'units = "fsw"', 'units = "fsw', "set.toml, line", "not TOML"),
    (OCEAN, "set.toml", '"C", "D"', '"C", "C"', "set.toml, line", "group stands twice"),
    (OCEAN, "set.toml", "[40, 50, 60", "[40, 60, 50", "set.toml, line", "grid do not rise"),
    (
        OCEAN,
        "set.toml",
        "deepest_planned = 130",
        "deepest_planned = 140",
        "set.toml, line",
        "past the last depth",
    ),
    (OCEAN, "set.toml", 'ways_up = ["no-stop"]', 'ways_up = ["air"]', "set.toml, line", "name no-stop"),
    (OCEAN, "set.toml", 'ways_up = ["no-stop"]', 'ways_up = ["no-stop", "air"]', "set.toml, line", "classes"),
    (OCEAN, "set.toml", "altitude = false", "altitude = true", "set.toml, line", "arrival_at_altitude"),
    (
        OCEAN,
        "set.toml",
        'residual = "minutes by group and depth"',
        'residual = "factor"',
        "set.toml, line",
        "residual",
    ),
    (OCEAN, "set.toml", 'intervals = "chart 2"\n', "", "set.toml, line", "is not said: intervals"),
    (
        OCEAN,
        "set.toml",
        "last_updated = 2026-11-30",
        'last_updated = "lately"',
        "set.toml, line",
        "last_updated",
    ),
    (NAVY, "set.toml", 'row = "170, 180, air_o2"', 'row = "170, 180, air"', "set.toml", "named that is none"),
    (
        NAVY,
        "set.toml",
        "ascent_per_min = 30",
        "ascent_per_min = 60",
        "set.toml, line",
        "30 fsw a minute only",
    ),
    # the files as files
    (OCEAN, "no_stop.csv", "depth_fsw,no_stop", "depth_ft,no_stop", "no_stop.csv, line 1", "columns"),
    (
        OCEAN,
        "no_stop.csv",
        "100,25,,5,7,10,15,20,22,25,,,,,,",
        "100,25,,5,7,10,15",
        "no_stop.csv, line 8",
        "a cell for",
    ),
    (OCEAN, "residual.csv", "60,5,11,17", "60,5,l1,17", "residual.csv, line 4", "no whole number"),
    (OCEAN, "residual.csv", "60,5,11,17", "60,5,-11,17", "residual.csv, line 4", "no whole number"),
    (OCEAN, "intervals.csv", "D,C,70,158", "D,R,70,158", "intervals.csv, line", "no such group"),
    (OCEAN, "intervals.csv", "D,C,70,158", "D,D,70,158", "intervals.csv, line", "stands twice"),
    (NAVY, "stops.csv", "60,70,air,80", "60,70,helium,80", "stops.csv, line 214", "no such breathing"),
    (NAVY, "stops.csv", "60,70,air,80", "60,71,air,80", "stops.csv, line", "no fellow"),
    (
        NAVY,
        "stops.csv",
        "7,540,0.5,L,normal\n60,70",
        "7,540,0.3,L,normal\n60,70",
        "stops.csv, line 214",
        "halves",
    ),
    # no-stop limits
    (
        OCEAN,
        "no_stop.csv",
        "60,60,,10",
        "60,50,,10",
        "no_stop.csv, line 4",
        "longest time is not the no-stop limit",
    ),
    (OCEAN, "no_stop.csv", "60,60,,10", "65,60,,10", "no_stop.csv, line 4", "not one of the grid"),
    (
        OCEAN,
        "no_stop.csv",
        "30,40,50,55,60",
        "30,50,40,55,60",
        "no_stop.csv, line 4",
        "do not rise with the group",
    ),
    (OCEAN, "no_stop.csv", "70,50,,5,10,15", "70,50,,5,20,15", "no_stop.csv, line 5", "do not rise"),
    (
        OCEAN,
        "no_stop.csv",
        "80,40,,5,10,15,20,25,30,35,40",
        "80,60,,5,10,15,20,25,30,35,60",
        "no_stop.csv, line 6",
        "longer",
    ),
    (OCEAN, "no_stop.csv", "110,20,,,5,10,13", "110,20,,,5,,13", "no_stop.csv, line 9", "left out between"),
    (
        OCEAN,
        "no_stop.csv",
        "130,10,,,5,8,10",
        "130,10,,,7,8,10",
        "no_stop.csv, line 11",
        "later than at the depth before",
    ),
    (
        OCEAN,
        "no_stop.csv",
        "130,10,,,5,8,10",
        "130,,,,5,8,10",
        "no_stop.csv, line 11",
        "without a limit needs",
    ),
    (NAVY, "no_stop.csv", "15,,36,60", "15,500,36,60", "no_stop.csv, line 3", "star stands last"),
    (
        NAVY,
        "no_stop_one_foot.csv",
        "35,232,14",
        "35,232,13",
        "no_stop_one_foot.csv, line 7",
        "not that of no_stop.csv",
    ),
    # residual times
    (
        OCEAN,
        "residual.csv",
        "50,6,13,21",
        "50,6,9,21",
        "residual.csv, line 3",
        "less than the time that leads",
    ),
    (
        OCEAN,
        "residual.csv",
        "70,4,9,15,20",
        "70,4,9,20,20",
        "residual.csv, line 5",
        "no more than the group below",
    ),
    (
        OCEAN,
        "residual.csv",
        "80,4,8,13",
        "80,4,8,17",
        "residual.csv, line 6",
        "more than at the depth before",
    ),
    (OCEAN, "residual.csv", "90,3,7,11", "90,3,none,11", "residual.csv, line 7", "a lower group has none"),
    (OCEAN, "residual.csv", "60,5,11,17", "60,none,none,none", "residual.csv, line", ""),
    (
        OCEAN,
        "residual.csv",
        "120,3,6,9,12,none",
        "120,3,6,9,12,17",
        "residual.csv, line 10",
        "more than at the depth before",
    ),
    (
        NAVY,
        "residual.csv",
        "use_30_fsw,use_30_fsw",
        "use_20_fsw,use_30_fsw",
        "residual.csv, line 5",
        "does not answer",
    ),
    (NAVY, "residual.csv", "15,37,61,89", "15,37,61,undetermined", "residual.csv, line 3", "undetermined"),
    (OCEAN, "time_left.csv", "90,27,23,19", "90,27,22,19", "time_left.csv, line 7", "not the adjusted limit"),
    # intervals
    (OCEAN, "intervals.csv", "D,C,70,158", "D,C,71,158", "intervals.csv, line", "hole before"),
    (OCEAN, "intervals.csv", "D,C,70,158", "D,C,70,159", "intervals.csv, line", "overlap"),
    (OCEAN, "intervals.csv", "D,C,70,158\n", "", "intervals.csv, line", "group by group"),
    (OCEAN, "intervals.csv", "A,A,10,720", "A,A,12,720", "intervals.csv, line", "hole before"),
    (OCEAN, "intervals.csv", "A,A,10,720\n", "", "intervals.csv, line", "no intervals"),
    (OCEAN, "intervals.csv", "B,A,201,720", "B,A,201,800", "intervals.csv, line", "clean sooner"),
    (OCEAN, "intervals.csv", "M,G,126,154", "M,G,105,154", "intervals.csv, line", "sooner than group L"),
    # stops
    (
        NAVY,
        "stops.csv",
        "7,540,0.5,L,normal\n60,70",
        "8,540,0.5,L,normal\n60,70",
        "stops.csv, line 214",
        "add up",
    ),
    (
        NAVY,
        "stops.csv",
        "60,80,air,80,,,,,,,,,,,,14,960",
        "60,80,air,80,,,,,,,,,,,,5,420",
        "stops.csv, line 216",
        "less than",
    ),
    (
        NAVY,
        "stops.csv",
        "14,960,0.5,N,normal",
        "14,960,0.5,K,normal",
        "stops.csv, line 216",
        "group is less than",
    ),
    (NAVY, "stops.csv", "60,63,air,120", "60,64,air,120", "stops.csv, line", ""),
    (NAVY, "stops.csv", "60,65,air,80", "60,65,air,70", "stops.csv, line 212", "way over rate"),
    (
        NAVY,
        "stops.csv",
        "120,0.0,K,normal\n60,63,air_o2",
        "120,0.0,J,normal\n60,63,air_o2",
        "stops.csv, line",
        "group",
    ),
    # altitude
    (
        NAVY,
        "arrival_at_altitude.csv",
        "6000,E",
        "6000,A",
        "arrival_at_altitude.csv, line 7",
        "lower than further down",
    ),
    (NAVY, "arrival_at_altitude.csv", "6000,E\n", "", "arrival_at_altitude.csv, line 1", "every 1,000 ft"),
    (NAVY, "before_altitude.csv", "108,383", "108,83", "before_altitude.csv, line 4", "waits less"),
    (NAVY, "before_altitude.csv", "105,324,599", "105,324,300", "before_altitude.csv, line 5", "waits less"),
)


@cache
def shipped(id: str) -> dict[str, bytes]:
    return files_of(id)


def falsified(id: str, file: str, old: str, new: str) -> Soundness:
    """The report on a shipped set with one place changed."""
    text = shipped(id)[file].decode().replace("\r\n", "\n")
    assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {file}"
    return examine(id, {**shipped(id), file: text.replace(old, new).encode()})


@pytest.mark.parametrize("id", SHIPPED)
def test_a_shipped_set_is_sound(id: str) -> None:
    """Not one fault beside those of the print that the set itself names (one: 170 fsw, 180 min on oxygen)."""
    report = examine(id, shipped(id))
    assert report.faults == ()
    assert len(report.told) == (1 if id == NAVY else 0)


@pytest.mark.parametrize(("id", "file", "old", "new", "where", "says"), FALSIFIED)
def test_a_falsified_file_is_convicted_at_its_line(
    id: str, file: str, old: str, new: str, where: str, says: str
) -> None:
    """One place changed is a fault there, in words that say what is wrong; the set is not sound."""
    report = falsified(id, file, old, new)
    assert not report.sound
    assert any(one.where.startswith(where) and says in one.sentence for one in report.faults), report.faults


def test_a_folder_and_its_registration_are_all_a_shipped_set_needs() -> None:
    """The folders that are shipped are those registered; nothing else in the program names the second set."""
    folders = Path(shelf.__file__).parent / "shipped"
    assert {path.name for path in folders.iterdir() if path.is_dir()} == set(SHIPPED)
    program = folders.parents[1]
    naming = {path.name for path in program.rglob("*.py") if OCEAN in path.read_text(encoding="utf-8")}
    assert naming == {"shelf.py"}


def test_there_are_more_than_fifty() -> None:
    """Fifty falsified files at least, in every file of both sets."""
    assert len(FALSIFIED) >= 50
    assert {(id, file) for id, file, *_ in FALSIFIED} >= {(OCEAN, file) for file in shipped(OCEAN)}


@pytest.mark.parametrize("file", ["no_stop.csv", "residual.csv", "intervals.csv", "set.toml"])
def test_a_missing_file_is_told(file: str) -> None:
    """A folder without one of its files is no set; one with a file too many neither."""
    files = {name: content for name, content in shipped(OCEAN).items() if name != file}
    assert [one.where for one in examine(OCEAN, files).faults] == [f"{file}, line 1"]
    assert not examine(OCEAN, {**shipped(OCEAN), "stops.csv": b"x"}).sound


def test_a_set_of_this_place_is_used_only_when_sound(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A sound set is kept, found by its id; an unsound one is reported, not written; none is replaced."""
    monkeypatch.setenv(shelf.SETS_VARIABLE, str(tmp_path))
    good = shipped(OCEAN)
    assert keep_set("soundness-set", good).sound
    assert set_ids()[-1] == "soundness-set"
    assert table_set("soundness-set").checksum == table_set(OCEAN).checksum
    bad = {**good, "no_stop.csv": good["no_stop.csv"].replace(b"60,60,", b"60,50,")}
    assert not keep_set("other-set", bad).sound
    assert not (tmp_path / "other-set").exists()
    with pytest.raises(SetRefused, match="already"):
        keep_set(
            "soundness-set",
            {**good, "set.toml": good["set.toml"].replace(b"groups A to N", b"groups A to M")},
        )
    with pytest.raises(SetRefused, match="no id"):
        keep_set("../up", good)
    (tmp_path / "by-hand").mkdir()
    for name, content in bad.items():
        (tmp_path / "by-hand" / name).write_bytes(content)
    with pytest.raises(InputFaults, match=r"no_stop[.]csv, line 4"):
        table_set("by-hand")
    with pytest.raises(SetRefused, match="no table set"):
        table_set("nowhere")


def test_the_command_reports_and_its_status_says_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`tables check FOLDER`: 0 and the set's checksum, or 2 and each fault with file and line."""
    for name, content in shipped(OCEAN).items():
        (tmp_path / name).write_bytes(content)
    assert main(["tables", "check", str(tmp_path)]) == 0
    assert table_set(OCEAN).mark in capsys.readouterr().out
    (tmp_path / "time_left.csv").write_bytes(
        shipped(OCEAN)["time_left.csv"].replace(b"90,27,23", b"90,27,22")
    )
    assert main(["tables", "check", str(tmp_path)]) == 2
    assert "time_left.csv, line 7" in capsys.readouterr().out
