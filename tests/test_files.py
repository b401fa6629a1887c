"""A file is written whole or not at all, whatever ends the writing in the middle."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook

from planner.errors import InputFaults
from planner.files import read_words, write_together, write_whole


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
    "synced, left = os.fsync, [int(way) if way.isdigit() else 9]\n"
    "def fsync(descriptor):\n"
    "    left[0] -= 1\n"
    "    synced(descriptor) if left[0] else os.kill(os.getpid(), signal.SIGKILL)\n"
    "os.fsync = fsync\n"
    "write_together({folder / 'plan.json': 'new', folder / 'watchbill.xlsx': b'new ' * 100_000})\n"
)


@pytest.mark.parametrize("way", ["1", "2", "full"])
def test_files_that_belong_together_are_both_old_or_both_new(tmp_path: Path, way: str) -> None:
    """Killed at the first or the second of two files, or with the disk full in the second (RLIMIT_FSIZE, at
    which the system refuses to write): neither has taken its place, so plan and watchbill never disagree."""
    places = (tmp_path / "plan.json", tmp_path / "watchbill.xlsx")
    for place in places:
        write_whole("old", place)
    run = [sys.executable, "-c", _TOGETHER, str(tmp_path)]
    ended = subprocess.run([*run, way], check=False, capture_output=True, text=True)
    assert ended.returncode == (1 if way == "full" else -signal.SIGKILL)
    assert [place.read_text(encoding="utf-8") for place in places] == ["old", "old"]
    if way == "full":
        assert "File too large" in ended.stderr
        assert sorted(p.name for p in tmp_path.iterdir()) == ["plan.json", "watchbill.xlsx"]
    subprocess.run([*run, "none"], check=True)
    assert places[0].read_text(encoding="utf-8") == "new"
    assert places[1].read_bytes().startswith(b"new new")


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
    """What cannot be opened, or is not UTF-8, is a fault in a sentence; a byte order mark is passed over."""
    (tmp_path / "bad").write_bytes(b"\xff\xfe\x00")
    (tmp_path / "good").write_bytes("\ufeffword".encode())
    for name, words in (("bad", "not UTF-8"), ("none", "cannot be read")):
        with pytest.raises(InputFaults, match=words):
            read_words(tmp_path / name, "a plan file")
    assert read_words(tmp_path / "good", "a plan file") == "word"
