"""A file is written whole or not at all, whatever ends the writing in the middle."""

from __future__ import annotations

import hashlib
import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook

from planner import files
from planner.errors import InputFaults
from planner.files import finish_writing, read_words, write_together, write_whole


def book(word: str) -> Workbook:
    made = Workbook()
    made.worksheets[0]["A1"] = word
    return made


def test_text_bytes_and_books_are_written(tmp_path: Path) -> None:
    """One writer for all three; a text is UTF-8, and nothing else is left in the folder."""
    write_whole("Zoë", tmp_path / "a.json")
    write_whole(b"\x00\x01", tmp_path / "b.bin")
    write_whole(book("north"), tmp_path / "c.xlsx")
    assert (tmp_path / "a.json").read_bytes() == "Zoë".encode()
    assert (tmp_path / "b.bin").read_bytes() == b"\x00\x01"
    assert load_workbook(tmp_path / "c.xlsx").worksheets[0]["A1"].value == "north"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.json", "b.bin", "c.xlsx"]


def test_a_full_disk_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the disk refuses in the middle, the old plan stands there whole and nothing lies beside it."""
    place = tmp_path / "plan.json"
    write_whole("old", place)

    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_whole("new " * 10_000, place)
    assert place.read_text(encoding="utf-8") == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["plan.json"]


def test_a_book_that_cannot_be_saved_leaves_the_old_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A workbook that fails half saved never reaches its place."""
    place = tmp_path / "watchbill.xlsx"
    write_whole(book("old"), place)

    def broken(self: Workbook, target: object) -> None:
        raise ValueError("a cell that cannot be written")

    monkeypatch.setattr(Workbook, "save", broken)
    with pytest.raises(ValueError, match="cannot be written"):
        write_whole(book("new"), place)
    monkeypatch.undo()
    assert load_workbook(place).worksheets[0]["A1"].value == "old"


def test_a_program_killed_in_the_middle_leaves_the_old_file(tmp_path: Path) -> None:
    """Killed once half of it is written, the program leaves the old file whole."""
    place = tmp_path / "plan.json"
    write_whole("old", place)
    program = (
        "import os, signal, sys\n"
        "from planner.files import write_whole\n"
        "os.fsync = lambda descriptor: os.kill(os.getpid(), signal.SIGKILL)\n"
        "write_whole('new ' * 100_000, sys.argv[1])\n"
    )
    ended = subprocess.run([sys.executable, "-c", program, str(place)], check=False)
    assert ended.returncode == -signal.SIGKILL
    assert place.read_text(encoding="utf-8") == "old"
    write_whole("new", place)
    assert place.read_text(encoding="utf-8") == "new"


_TOGETHER = (
    "import os, resource, signal, sys\n"
    "from pathlib import Path\n"
    "from planner.files import write_together\n"
    "folder, way = Path(sys.argv[1]), sys.argv[2]\n"
    "if way == 'full':\n"
    "    resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))\n"
    "left = [int(way) if way.isdigit() else -1]\n"
    "def until_killed(call):\n"
    "    def counted(*given, **more):\n"
    "        left[0] -= 1\n"
    "        return call(*given, **more) if left[0] else os.kill(os.getpid(), signal.SIGKILL)\n"
    "    return counted\n"
    "for name in ('open', 'fsync', 'replace', 'unlink'):\n"
    "    setattr(os, name, until_killed(getattr(os, name)))\n"
    "write_together({folder / 'plan.json': 'new', folder / 'watchbill.xlsx': b'new ' * 100_000})\n"
)


def test_files_that_belong_together_are_both_old_or_both_new(tmp_path: Path) -> None:
    """Killed before each of the steps in turn with which it asks the system to open, sync, rename or remove:
    who reads one of the files next finds both old or both new, and the next writer leaves nothing beside."""
    places = (tmp_path / "plan.json", tmp_path / "watchbill.xlsx")
    seen = []
    for step in range(1, 40):
        write_together(dict.fromkeys(places, "old"))
        assert sorted(tmp_path.iterdir()) == sorted(places)
        run = [sys.executable, "-c", _TOGETHER, str(tmp_path), str(step)]
        ended = subprocess.run(run, check=False, capture_output=True, text=True)
        assert ended.returncode in (0, -signal.SIGKILL), ended.stderr
        seen.append(read_words(places[0], "a plan file"))
        assert places[1].read_bytes().startswith(seen[-1].encode())
        assert not [*tmp_path.glob(".*.note")]
        if ended.returncode == 0:
            break
    assert ended.returncode == 0
    # from the note on all are new; before it none is
    assert seen == sorted(seen, reverse=True)
    assert min(seen.count("old"), seen.count("new")) >= 4


_ONE_AFTER_ANOTHER = (
    "import sys\n"
    "from itertools import count\n"
    "from pathlib import Path\n"
    "from planner.files import write_together\n"
    "folder = Path(sys.argv[1])\n"
    "for n in count(int(sys.argv[2])):\n"
    "    write_together({folder / 'plan.json': f'{n} ', folder / 'watchbill.xlsx': f'{n} ' * 9_999})\n"
    "    print(flush=True)\n"
)


@pytest.mark.parametrize("kills", [6, pytest.param(100, marks=pytest.mark.long)])
def test_kills_in_a_tight_loop_leave_a_pair(tmp_path: Path, kills: int) -> None:
    """A program that writes pair after pair is killed at any moment: what is read next is of one writing."""
    drawn = random.Random(kills)
    n = 0
    for _ in range(kills):
        run = [sys.executable, "-c", _ONE_AFTER_ANOTHER, str(tmp_path), str(n + 1)]
        with subprocess.Popen(run, stdout=subprocess.PIPE, text=True) as writer:
            assert writer.stdout is not None
            writer.stdout.readline()
            time.sleep(drawn.uniform(0, 0.05))
            writer.kill()
        one = read_words(tmp_path / "plan.json", "a plan file")
        assert int(one) > n
        n = int(one)
        assert (tmp_path / "watchbill.xlsx").read_text(encoding="utf-8") == one * 9_999
    write_whole("last", tmp_path / "plan.json")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["plan.json", "watchbill.xlsx"]


def test_a_full_disk_leaves_both_old(tmp_path: Path) -> None:
    """The system refuses to write in the second of two (RLIMIT_FSIZE): neither has taken its place."""
    places = (tmp_path / "plan.json", tmp_path / "watchbill.xlsx")
    write_together(dict.fromkeys(places, "old"))
    run = [sys.executable, "-c", _TOGETHER, str(tmp_path), "full"]
    ended = subprocess.run(run, check=False, capture_output=True, text=True)
    assert ended.returncode == 1
    assert "File too large" in ended.stderr
    assert [place.read_text(encoding="utf-8") for place in places] == ["old", "old"]
    assert sorted(tmp_path.iterdir()) == sorted(places)


def test_what_somebody_put_there_since_is_not_written_over(tmp_path: Path) -> None:
    """A writer is killed with its note written, and a person puts an older plan back by hand before anybody
    looks: that stays, and so does the watchbill beside it."""
    places = (tmp_path / "plan.json", tmp_path / "watchbill.xlsx")
    write_together(dict.fromkeys(places, "old"))
    steps = iter(range(1, 40))
    while not [*tmp_path.glob(".*.note")]:
        run = [sys.executable, "-c", _TOGETHER, str(tmp_path), str(next(steps))]
        subprocess.run(run, check=False)
    places[0].write_text("by hand", encoding="utf-8")
    finish_writing(tmp_path)
    assert [place.read_text(encoding="utf-8") for place in places] == ["by hand", "old"]
    write_whole("by hand", places[0])
    assert sorted(tmp_path.iterdir()) == sorted(places)


@pytest.mark.parametrize("name", ["../stolen", "plan.json/x", "", ".", ".."])
def test_a_note_that_leads_elsewhere_is_not_followed(tmp_path: Path, name: str) -> None:
    """A folder from a stranger moves no file out of it."""
    folder = tmp_path / "theirs"
    folder.mkdir()
    part = folder / ".plan.json.1-1.part"
    part.write_bytes(b"x")
    said = [[part.name, name, hashlib.sha256(b"x").hexdigest(), ""]]
    (folder / ".1-1.note").write_text(json.dumps(said), encoding="utf-8")
    finish_writing(folder)
    assert [p.name for p in tmp_path.iterdir()] == ["theirs"]
    assert [*folder.iterdir()] == [part]


@pytest.mark.parametrize("content", ["", "{}", "[1]", "[[1]]", "null", "\ud800"])
def test_a_note_of_nobody_is_taken_away(tmp_path: Path, content: str) -> None:
    """What is no note of ours says nothing."""
    (tmp_path / ".1-1.note").write_bytes(content.encode("utf-8", "surrogatepass"))
    write_whole("new", tmp_path / "plan.json")
    assert [p.name for p in tmp_path.iterdir()] == ["plan.json"]


def test_a_writer_at_work_is_waited_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """While another one writes in a folder its parts are not taken for left over; after a time it is told."""
    with files._alone_in(tmp_path) as held:
        assert held
        (tmp_path / ".plan.json.1-1.part").write_bytes(b"half")
        monkeypatch.setattr(files, "_WAIT_S", 0.1)
        with pytest.raises(OSError, match="Another program is writing here"):
            write_whole("new", tmp_path / "plan.json")
    assert [p.name for p in tmp_path.iterdir()] == [".plan.json.1-1.part"]


def test_without_a_lock_only_what_is_old_is_left_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the system has no lock for a folder, what is a minute old is taken for left over, no earlier."""
    monkeypatch.setitem(sys.modules, "fcntl", None)
    old, young = tmp_path / ".a.1-1.part", tmp_path / ".b.1-1.part"
    for part, age_s in ((old, 61), (young, 50)):
        part.write_bytes(b"half")
        os.utime(part, (time.time() - age_s,) * 2)
    write_whole("new", tmp_path / "plan.json")
    assert sorted(p.name for p in tmp_path.iterdir()) == [young.name, "plan.json"]


def test_ctrl_c_between_two_renames_is_heard_after_both(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where Ctrl-C comes as an exception between the two, both are there, nothing else, and it goes on."""
    places = (tmp_path / "plan.json", tmp_path / "watchbill.xlsx")
    write_together(dict.fromkeys(places, "old"))
    replace, pressed = os.replace, [places[1].name]

    def interrupted(part: str, place: str) -> None:
        if Path(place).name in pressed:
            pressed.clear()
            raise KeyboardInterrupt
        replace(part, place)

    monkeypatch.setattr(os, "replace", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_together(dict.fromkeys(places, "new"))
    assert [place.read_text(encoding="utf-8") for place in places] == ["new", "new"]
    assert sorted(tmp_path.iterdir()) == sorted(places)


def test_a_folder_in_the_place_of_one_keeps_both(tmp_path: Path) -> None:
    """A place that is a folder is found out before the first of them is renamed."""
    write_whole("old", tmp_path / "plan.json")
    (tmp_path / "watchbill.xlsx").mkdir()
    with pytest.raises(IsADirectoryError):
        write_together({tmp_path / "plan.json": "new", tmp_path / "watchbill.xlsx": b"new"})
    assert (tmp_path / "plan.json").read_text(encoding="utf-8") == "old"


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    """Writing through a link changes the file that it leads to."""
    real, link = tmp_path / "real.json", tmp_path / "link.json"
    write_whole("old", real)
    link.symlink_to(real)
    write_whole("new", link)
    assert link.is_symlink()
    assert real.read_text(encoding="utf-8") == "new"


def test_a_file_that_is_no_text_is_told(tmp_path: Path) -> None:
    """What cannot be opened, is not UTF-8 or goes on without end is a fault in a sentence, and of the last no
    more than the limit is read; a byte order mark is passed over."""
    (tmp_path / "endless").symlink_to("/dev/zero")
    (tmp_path / "bad").write_bytes(b"\xff\xfe\x00")
    (tmp_path / "good").write_bytes("\ufeffword".encode())
    for name, words in (("bad", "not UTF-8"), ("none", "cannot be read"), ("endless", "larger than any")):
        with pytest.raises(InputFaults, match=words):
            read_words(tmp_path / name, "a plan file")
    assert read_words(tmp_path / "good", "a plan file") == "word"
