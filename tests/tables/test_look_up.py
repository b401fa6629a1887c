"""The look-up for people: data, words, command line."""

from __future__ import annotations

import pytest

from planner import CAUTION
from planner.cli.main import build_parser
from planner.cli.tables import whole_interval, whole_minutes
from planner.errors import TableRefusal
from planner.job import UnitSystem
from planner.tables import ExposureOptions, look_up, next_deeper_fsw, next_longer_min
from planner.words.look_up import look_up_text


def run(*arguments: str) -> int:
    """The command's exit status."""
    args = build_parser("tables").parse_args(["tables", *arguments])
    status = args.run(args)
    assert isinstance(status, int)
    return status


def test_everything_about_78_fsw_for_47_minutes() -> None:
    """80/50, then 90/50 next deeper and 80/55 next longer, group M, 18:00 before a flight (9-9, 9-6)."""
    found = look_up(78, 47)
    rows = [
        (card.first.schedule.depth_fsw, card.first.schedule.time_min)
        for card in (found.this_dive, found.next_deeper, found.next_longer)
        if card.first
    ]
    assert rows == [(80, 50), (90, 50), (80, 55)]
    assert [a.way_up for a in found.this_dive.answers] == ["air", "air and oxygen", "surface decompression"]
    assert (found.next_deeper.depth_fsw, found.next_longer.bottom_time_min) == (81, 51)
    assert (found.group_after, found.flight_wait_min, found.clean_after_min) == ("M", 18 * 60, 794)
    assert (found.no_stop_limit_min, found.no_stop_left_min) == (39, 39)
    assert found.tables == ("9-6", "9-9")


def test_a_dive_without_stops_has_one_way_up() -> None:
    """60/20: no stop; next longer is the first schedule with stops, 64 min (table 9-7 ends at 63)."""
    found = look_up(60, 20)
    assert [a.way_up for a in found.this_dive.answers] == ["no-stop"]
    assert found.next_longer.bottom_time_min == 64
    assert found.next_longer.first is not None and found.next_longer.first.schedule.time_min == 65


def test_group_and_interval() -> None:
    """K and 1:30 on the surface is J; RNT at 80 fsw 42 min (table 9-8)."""
    found = look_up(78, 20, group="K", interval_min=90)
    assert found.group_before == "J"
    assert found.this_dive.first is not None
    assert found.this_dive.first.residual_nitrogen_min == 42
    assert found.no_stop_left_min == 0
    assert "9-8" in found.tables
    assert look_up(78, 20, group="K", interval_min=700).group_before is None


def test_last_rows_have_no_neighbour() -> None:
    """190 fsw / 20 min: nothing deeper, nothing longer; each with its sentence."""
    found = look_up(190, 20)
    assert found.next_deeper.first is None and "deeper than the 190 fsw" in found.next_deeper.refusal
    assert found.next_longer.first is None and "exceptional exposure" in found.next_longer.refusal


def test_neighbours_follow_the_corrections() -> None:
    """At 5,000 ft 60 fsw is 72.1, so the next deeper row (90) begins at 67 fsw (66.6 × 1.202 = 80)."""
    assert next_deeper_fsw(60, ExposureOptions(altitude_ft=5000)) == 67
    assert next_deeper_fsw(60, ExposureOptions()) == 61
    assert next_deeper_fsw(33, ExposureOptions(one_foot_rows=True)) == 34
    assert next_deeper_fsw(33, ExposureOptions()) == 36
    assert next_longer_min(60, 20, "C", ExposureOptions()) == 63 - 19 + 1


def test_the_text_carries_what_an_officer_needs() -> None:
    """Schedule, neighbours, group, flight, tables and the caution."""
    text = look_up_text(look_up(78, 47))
    for words in (
        "80 fsw / 50 min (table 9-9)",
        "17 min at 20 fsw; ascent 19:40; group M",
        "9 min at 20 fsw on oxygen; ascent 11:40",
        "0.5 chamber oxygen period",
        "Next deeper: 81 fsw",
        "Next longer: 78 fsw for 51 min",
        "18:00 (table 9-6, 8,000 ft column)",
        "Tables: 9-6, 9-9",
        "partly from memory",
    ):
        assert words in " ".join(text.split()) or words in text
    assert CAUTION in " ".join(text.split())
    assert max(map(len, text.splitlines())) <= 100


def test_metric_rounds_to_the_safe_side_and_says_so() -> None:
    """18.2 m is 59.7 ft: 60 fsw; a 20 fsw stop is shown as 6.1 m (1 ft = 0.3048 m by definition)."""
    text = look_up_text(look_up(78, 47), units=UnitSystem.METRIC)
    assert "23.8 m (78 fsw)" in text
    assert "6.1 m (20 fsw)" in text
    assert "rounded up to 0.1 m" in text
    assert "metres counts as the next full fsw" in " ".join(text.split())


def test_special_cells_in_words() -> None:
    """Unlimited, undetermined, no group, altitude, one-foot rows: each said."""
    unlimited = look_up_text(look_up(18, 60, group="M"))
    assert "undetermined at this depth" in unlimited and "20 fsw / unlimited" in unlimited
    none_printed = look_up_text(look_up(30, 500))
    assert "no group: no repetitive dive until clean" in none_printed
    assert "48:00 (no group" in none_printed
    high = look_up_text(look_up(60, 45, options=ExposureOptions(altitude_ft=5000)), with_profile=True)
    assert "16.6 fsw (table 20)" in high
    assert "group D on arrival" in " ".join(high.split())
    assert "60 fsw to 16.6 fsw (table 20), air" in high
    assert "refused:" in high
    low = look_up_text(look_up(60, 20, options=ExposureOptions(altitude_ft=250)))
    assert "Up to 300 ft counts as sea level" in low
    shallow = look_up_text(look_up(33, 100, group="C", options=ExposureOptions(one_foot_rows=True)))
    assert "2A-1, 2A-2" in shallow
    rested = look_up_text(look_up(78, 20, group="C", interval_min=700))
    assert "so clean" in rested
    assert "from leave bottom to 50 fsw" in " ".join(look_up_text(look_up(30, 400)).split())


def test_the_command_prints_and_returns_0(capsys: pytest.CaptureFixture[str]) -> None:
    """`tables --depth 78 --bottom 47 --group k --interval 1:30` answers on standard output."""
    assert run("--depth", "78", "--bottom", "20", "--group", "k", "--interval", "1:30") == 0
    shown = capsys.readouterr()
    assert "group K, 1:30 on the surface, so group J" in shown.out
    assert shown.err == ""
    assert run("--depth", "18.2", "--bottom", "30", "--units", "metric", "--altitude", "1500") == 0
    assert "18.3 m (60 fsw) for 30 min, clean diver, at 1,501 m (4,922 ft)" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--depth", "-5", "--bottom", "10"), "A depth must be more than 0 fsw; -5 fsw is not."),
        (("--depth", "0", "--bottom", "10"), "A depth must be more than 0 fsw; 0 fsw is not."),
        (("--depth", "deep", "--bottom", "10"), "A depth must be a number, not 'deep'."),
        (("--depth", "nan", "--bottom", "10"), "A depth must be a number, not 'nan'."),
        (("--depth", "60", "--bottom", "-3"), "A bottom time cannot be negative (-3)."),
        (("--depth", "60", "--bottom", "0"), "A bottom time must be at least 1 min; 0 min is not."),
        (
            ("--depth", "60", "--bottom", "x"),
            "A bottom time (minutes, or hours:minutes such as 1:30) must be",
        ),
        (("--depth", "200", "--bottom", "5"), "200 fsw is deeper than the 190 fsw that the rules allow."),
        (("--depth", "60", "--bottom", "400"), "400 min at 60 fsw for a clean diver: that is an exceptional"),
        (("--depth", "60", "--bottom", "9", "--group", "Q"), "There is no repetitive group 'Q': the tables"),
        (("--depth", "60", "--bottom", "9", "--interval", "60"), "A surface interval needs the group"),
        (
            ("--depth", "60", "--bottom", "9", "--group", "B", "--interval", "-9"),
            "A surface interval cannot be",
        ),
        (
            ("--depth", "60", "--bottom", "9", "--group", "B", "--interval", "9"),
            "A surface interval of 9 min is",
        ),
        (
            ("--depth", "60", "--bottom", "9", "--group", "B", "--interval", "x"),
            "A surface interval (minutes",
        ),
        (
            ("--depth", "60", "--bottom", "9", "--altitude", "-4"),
            "The altitude tables run from 0 to 10,000 ft",
        ),
        (("--depth", "60", "--bottom", "9", "--altitude", "up"), "An altitude must be a number, not 'up'."),
        (("--depth", "60", "--bottom", "9", "--margin", "-4"), "A margin cannot be negative (-4)."),
    ],
)
def test_wrong_input_is_one_sentence_and_status_2(
    arguments: tuple[str, ...], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing on standard output, one line on standard error, exit status 2."""
    assert run(*arguments) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.startswith(sentence)
    assert shown.err.count("\n") == 1


def test_times_are_read_to_the_safe_side() -> None:
    """A part of a minute makes a bottom time longer and a surface interval shorter."""
    assert whole_minutes("46.2", "A bottom time") == 47
    assert whole_minutes("1:10", "A bottom time") == 70
    assert whole_interval("52.9") == 52
    assert whole_interval("1:30") == 90


def test_a_look_up_that_is_refused() -> None:
    """No way up at all: the sentence of the tables, not an empty answer."""
    with pytest.raises(TableRefusal, match="exceptional exposure"):
        look_up(60, 121)
    with pytest.raises(ValueError, match="needs the group"):
        look_up(60, 10, interval_min=60)
