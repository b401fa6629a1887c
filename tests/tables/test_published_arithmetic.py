"""The shipped tables against the outside: their arithmetic, the physics behind them, table against table.

The checks are those made when the tables were copied out from the U.S. Navy Diving Manual, Revision 7. One
of them cannot be repeated here whole: two independent copyings-out were compared cell by cell, and of the
second only a part is kept (`test_outside_cases.py`). The checksums below hold the files to it.
"""

from __future__ import annotations

import hashlib
import math
from collections import Counter

import pytest
from manual_files import DATA, LETTERS, rows, stops

SHA256 = {
    "stops.csv": "6cfabb7de661e44ab17abd14899e11abb57db91714435c6c9fcda1306aee7ec1",
    "arrival_at_altitude.csv": "2571e5c7d760574189634ac1659c150612d901169619fc290f98d1e87d15ae1b",
    "no_stop.csv": "cc801cd17fa53e3ccf276d9811fcbaca928b3132c90eea587f2d276641c84b84",
    "no_stop_one_foot.csv": "0ac778dc562cf02ae77711c0ac753ab3defc2cf4d66e2f691cd99fafd154f825",
    "residual.csv": "957b214a096d6f00d6dc5ebfebf0feaaff7bc8448fc674f884ee5e0210a3e62f",
    "residual_one_foot.csv": "91f80cbabb7cae462c782476c0109e11d3b44517c57f061ccaffb0e674e440e3",
    "before_altitude.csv": "d01b06bc11020c38336b02920fd5c92a8f2576c091735dd02748e61abfe155f7",
    "intervals.csv": "3735e58331bd21b830afb989848a6d937e766717b6be695d1756f06592811b19",
}

NO_STOP_FILES = (
    ("no_stop.csv", "residual.csv"),
    ("no_stop_one_foot.csv", "residual_one_foot.csv"),
)


@pytest.mark.parametrize("name", sorted(SHA256))
def test_the_files_are_the_ones_that_were_checked(name: str) -> None:
    """No cell has changed since the comparison of two copyings-out (U.S. Navy Diving Manual, Rev. 7)."""
    assert hashlib.sha256((DATA / name).read_bytes()).hexdigest() == SHA256[name]


def oxygen_extra_s(row: dict[str, str]) -> int:
    """Seconds of table 9-9 beyond stops and travel: the shift to oxygen, and air breaks."""
    own = stops(row)
    if row["breathing"] == "air" or not own:
        return 0
    extra = 20 if max(own) > 30 else 0
    oxygen = own.get(30, 0) + own.get(20, 0)
    while oxygen > 35:
        extra += 300
        oxygen -= 30
    return extra


def test_every_row_of_9_9_adds_up() -> None:
    """First stop depth, stops in tens, and total ascent follow from each other in all 764 rows but one.

    Arithmetic of table 9-9, U.S. Navy Diving Manual. The row 170 fsw / 180 min on oxygen is printed 20 s
    short; it is an exceptional exposure that no plan may use.
    """
    wrong = []
    table = rows("stops.csv")
    for row in table:
        own = stops(row)
        depth, first_s = int(row["depth_fsw"]), int(row["time_to_first_stop_s"])
        if own:
            first = depth - 30 * first_s / 60
            assert sorted(own, reverse=True) == list(range(round(first), 10, -10)), row
            assert first == round(first)
            total = sum(own.values()) * 60 + first_s + 40 + oxygen_extra_s(row)
        else:
            assert first_s == depth * 2
            total = first_s
        if total != int(row["total_ascent_s"]):
            wrong.append(
                (depth, int(row["bottom_time_min"]), row["breathing"], total - int(row["total_ascent_s"]))
            )
    assert len(table) == 764
    assert wrong == [(170, 180, "air_o2", 20)]


def test_the_two_breathings_of_9_9_go_together() -> None:
    """Each depth and time stands twice, with the same stops down to 40 fsw, group, periods and class."""
    pairs: dict[tuple[str, str], list[dict[str, str]]] = {}
    for row in rows("stops.csv"):
        pairs.setdefault((row["depth_fsw"], row["bottom_time_min"]), []).append(row)
    for air, oxygen in pairs.values():
        assert (air["breathing"], oxygen["breathing"]) == ("air", "air_o2")
        for name in ("repetitive_group", "chamber_o2_periods", "exposure"):
            assert air[name] == oxygen[name]
        deep = [{d: m for d, m in stops(row).items() if d > 30} for row in (air, oxygen)]
        assert deep[0] == deep[1]
        assert sum(stops(oxygen).values()) <= sum(stops(air).values())


def test_the_first_row_of_each_depth_of_9_9_is_the_limit_of_9_7() -> None:
    """Tables 9-7 and 9-9 print the same no-stop limit and the same group at it."""
    first: dict[str, dict[str, str]] = {}
    for row in rows("stops.csv"):
        first.setdefault(row["depth_fsw"], row)
    seen = 0
    for limit in rows("no_stop.csv"):
        row = first.get(limit["depth_fsw"])
        if row is None:
            assert int(limit["depth_fsw"]) < 30
            continue
        assert not stops(row)
        assert row["bottom_time_min"] == limit["no_stop_limit_min"]
        assert limit[row["repetitive_group"]] == limit["no_stop_limit_min"]
        seen += 1
    assert seen == 20


def tension_range(depth_fsw: int, residual_min: int) -> tuple[float, float]:
    """Tensions p, low excluded, for which ceil(-120/ln 2 * ln(1 - p/D)) is the residual time."""
    return (
        depth_fsw * (1 - 2 ** (-(residual_min - 1) / 120)),
        depth_fsw * (1 - 2 ** (-residual_min / 120)),
    )


def fit(group: str) -> tuple[float, float]:
    """Tensions that give every printed residual nitrogen time of a group, in both tables."""
    low, high = 0.0, math.inf
    for _, name in NO_STOP_FILES:
        for row in rows(name):
            if row[group].isdigit():
                own_low, own_high = tension_range(int(row["depth_fsw"]), int(row[group]))
                low, high = max(low, own_low), min(high, own_high)
    return low, high


def test_one_compartment_of_120_minutes_gives_every_residual_nitrogen_time() -> None:
    """One tension a group explains all numbers of tables 9-8 and 2A-2 exactly.

    Physics: one compartment of 120 min half-time, D in fsw; A about 2.82 fsw, then about 1.578 fsw a group up
    to Z about 26.49 fsw.
    """
    fits = [fit(group) for group in LETTERS]
    assert all(low < high for low, high in fits)
    for rank, (low, high) in enumerate(fits):
        assert low - 0.02 < 2.82 + 1.578 * rank < high + 0.02
    assert fits[-1][0] - 0.02 < 26.49 < fits[-1][1] + 0.02
    printed = [row[g] for row in rows("residual.csv") for g in LETTERS if row[g].isdigit()]
    assert len(printed) == 358


def test_a_wrong_digit_leaves_no_tension_that_fits() -> None:
    """The check above has teeth: ten minutes off in any cell of 9-8 contradicts the rest of its group."""
    for row in rows("residual.csv"):
        for group in LETTERS:
            if not row[group].isdigit():
                continue
            low, high = fit(group)
            for wrong in (int(row[group]) + 10, int(row[group]) - 10):
                own_low, own_high = tension_range(int(row["depth_fsw"]), wrong)
                assert own_high <= low or own_low >= high, (row["depth_fsw"], group, wrong)


def test_9_7_and_9_8_are_the_same_curve() -> None:
    """Residual nitrogen time less the longest no-stop time is 0 to 3 min where the limit does not cap it.

    Tables 9-7 and 9-8, U.S. Navy Diving Manual: 214 cells can be compared. In 20, the last one of each
    depth from 30 fsw on, the no-stop limit cuts the curve short; there the difference is only never below 0.
    The one-foot tables 2A-1 and 2A-2 likewise.
    """
    compared, capped = Counter[str](), Counter[str]()
    for limits, residuals in NO_STOP_FILES:
        by_depth = {row["depth_fsw"]: row for row in rows(residuals)}
        for row in rows(limits):
            for group in LETTERS:
                cell, residual = row[group], by_depth[row["depth_fsw"]][group]
                if not (cell.isdigit() and residual.isdigit()):
                    continue
                compared[limits] += 1
                difference = int(residual) - int(cell)
                assert difference >= 0, (limits, row["depth_fsw"], group)
                if cell == row["no_stop_limit_min"]:
                    capped[limits] += 1
                else:
                    assert difference <= 3, (limits, row["depth_fsw"], group)
    assert (compared["no_stop.csv"], capped["no_stop.csv"]) == (214, 20)
    assert capped["no_stop_one_foot.csv"] == 21


def test_the_one_foot_tables_agree_with_the_others_where_they_meet() -> None:
    """2A-1 and 2A-2 print what 9-7 and 9-8 print at 30, 35, 40, 45 and 50 fsw."""
    for shallow, usual in (
        ("no_stop_one_foot.csv", "no_stop.csv"),
        ("residual_one_foot.csv", "residual.csv"),
    ):
        by_depth = {row["depth_fsw"]: row for row in rows(usual)}
        met = [row for row in rows(shallow) if row["depth_fsw"] in by_depth]
        assert [row["depth_fsw"] for row in met] == ["30", "35", "40", "45", "50"]
        for row in met:
            assert row == by_depth[row["depth_fsw"]]


def test_no_stop_tables_rise_with_the_group_and_fall_with_depth() -> None:
    """Within 9-7 and 2A-1 a higher group is never a shorter time, and a deeper row never a longer one."""
    for name, _ in NO_STOP_FILES:
        before: dict[str, int] = {}
        for row in rows(name):
            times = [int(row[g]) for g in LETTERS if row[g].isdigit()]
            assert times == sorted(set(times))
            for column in ("no_stop_limit_min", *LETTERS):
                if row[column].isdigit():
                    assert int(row[column]) <= before.get(column, 10_000)
                    before[column] = int(row[column])


def test_surface_interval_credit_has_no_gap() -> None:
    """Each row of table 9-8 starts at 10 min in its own group and runs without a gap down to A."""
    by_group: dict[str, list[dict[str, str]]] = {}
    for row in rows("intervals.csv"):
        by_group.setdefault(row["group_at_surfacing"], []).append(row)
    assert sorted(by_group) == sorted(LETTERS)
    for group, cells in by_group.items():
        after = [cell["group_after_interval"] for cell in cells]
        assert after == list(reversed(LETTERS[: LETTERS.index(group) + 1]))
        starts = [int(cell["interval_from_min"]) for cell in cells]
        ends = [int(cell["interval_to_min"]) for cell in cells]
        assert starts == [10, *(end + 1 for end in ends[:-1])]


def test_waits_before_altitude_rise_both_ways() -> None:
    """A higher group or altitude never waits less (9-6), nor arrives in a lower group (9-5)."""
    before: list[int] = [0] * 10
    for row in rows("before_altitude.csv"):
        waits = [int(row[f"{feet}_ft"]) for feet in range(1000, 11_000, 1000)]
        assert waits == sorted(waits)
        assert all(now >= then for now, then in zip(waits, before, strict=True))
        before = waits
    arrivals = [row["repetitive_group"] for row in rows("arrival_at_altitude.csv")]
    assert arrivals == sorted(arrivals)
    assert len(arrivals) == 10
