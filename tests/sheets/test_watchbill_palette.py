"""Colours and letters of duties: readable, told apart, the same every time."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.charts.palette import OWN_FILLS, contrast_ratio, duty_style, text_on
from planner.job import CrewNeed, Job, SurfaceItem
from planner.job.duties import BRIEFING, BUILT_IN_DUTIES, DUTIES, DUTY_LETTERS
from tests.world.pier import pier_job

#: Machado, Oliveira and Fernandes (2009), "A physiologically-based model for simulation of color vision
#: deficiency", severity 1.0, on linear RGB.
SEEN_BY = {
    "everyone": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "protanopia": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritanopia": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}


def _lab(colour_hex: str, matrix: tuple[tuple[float, ...], ...]) -> tuple[float, float, float]:
    """CIE L*a*b* (D65) of an sRGB colour as seen through a colour vision matrix."""
    linear = []
    for i in (1, 3, 5):
        part = int(colour_hex[i : i + 2], 16) / 255
        linear.append(part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4)
    red, green, blue = (
        min(1.0, max(0.0, sum(m * c for m, c in zip(row, linear, strict=True)))) for row in matrix
    )
    xyz = (
        (0.4124 * red + 0.3576 * green + 0.1805 * blue) / 0.95047,
        0.2126 * red + 0.7152 * green + 0.0722 * blue,
        (0.0193 * red + 0.1192 * green + 0.9505 * blue) / 1.08883,
    )
    x, y, z = (t ** (1 / 3) if t > 0.008856 else 7.787 * t + 16 / 116 for t in xyz)
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def _job_with(*duties: str) -> Job:
    items = tuple(
        SurfaceItem(name=f"Task {n}", duration_min=10, crew=(CrewNeed(duty=duty),))
        for n, duty in enumerate(duties)
    )
    return pier_job().replace(surface_items=items)


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [("#000000", "#FFFFFF", 21.0), ("#777777", "#FFFFFF", 4.48), ("#FF0000", "#FFFFFF", 4.0)],
)
def test_contrast_is_that_of_wcag(one: str, other: str, ratio: float) -> None:
    """Black on white is 21:1; #777 and red on white are 4.48 and 4.0 (WCAG 2.2)."""
    assert contrast_ratio(one, other) == pytest.approx(ratio, abs=0.005)
    assert contrast_ratio(other, one) == contrast_ratio(one, other)


@pytest.mark.parametrize("fill", [*(duty.fill_hex for duty in DUTIES), *OWN_FILLS])
def test_letters_read_on_every_fill(fill: str) -> None:
    """Letters on a fill have a contrast of 4.5 or more (WCAG 2.2, success criterion 1.4.3)."""
    assert contrast_ratio(fill, text_on(fill)) >= 4.5


@pytest.mark.parametrize("eye", SEEN_BY)
def test_built_in_duties_are_told_apart_by_every_eye(eye: str) -> None:
    """Any two built-in fills are 12 or more apart (CIE 1976) for each kind of colour vision."""
    seen = {duty.name: _lab(duty.fill_hex, SEEN_BY[eye]) for duty in DUTIES}
    for one, other in itertools.combinations(seen, 2):
        apart = sum((a - b) ** 2 for a, b in zip(seen[one], seen[other], strict=True)) ** 0.5
        assert apart >= 12, (one, other, apart)


def test_water_is_dark_and_deck_is_light() -> None:
    """On a grey printer a diver's cells stay darker than those of anyone on deck."""
    light = {duty.name: _lab(duty.fill_hex, SEEN_BY["everyone"])[0] for duty in DUTIES}
    wet = [light["diver"], light["diver at the entry"]]
    assert max(wet) + 30 < min(v for duty, v in light.items() if v not in wet)


def test_built_in_duties_keep_their_letters() -> None:
    """The built-in duties, the briefing among them, have the letters of the job's own list, in every job."""
    styles = duty_style(pier_job())
    assert {duty: styles[duty].letters for duty in (*BUILT_IN_DUTIES, BRIEFING)} == DUTY_LETTERS


def test_own_duties_look_the_same_in_any_order() -> None:
    """Which row of a workbook brings a duty in first makes no difference to its look."""
    assert duty_style(_job_with("rigger", "crane operator")) == duty_style(
        _job_with("crane operator", "rigger")
    )


def test_own_duties_take_initials() -> None:
    """Two words give their initials, one word its first letters; a taken pair moves on."""
    styles = duty_style(
        _job_with("crane operator", "cook's mate", "rigger", "rider", "суперкарго", "=SUM(A1)")
    )
    assert styles["crane operator"].letters == "CO"
    assert styles["rigger"].letters != styles["rider"].letters
    assert styles["суперкарго"].letters == "СУ"
    assert styles["=SUM(A1)"].letters == "SM"


@given(st.lists(st.text(min_size=1, max_size=12).filter(lambda t: t.strip()), max_size=25, unique=True))
def test_every_duty_is_unique_and_readable(duties: list[str]) -> None:
    """Whatever duties a job invents, letters and fills never repeat and letters stay readable."""
    styles = duty_style(_job_with(*duties))
    assert len({s.letters for s in styles.values()}) == len(styles)
    assert len({s.fill_hex for s in styles.values()}) == len(styles)
    for style in styles.values():
        assert contrast_ratio(style.fill_hex, style.text_hex) >= 4.5
        assert style.letters.strip() and not style.letters.startswith(("=", "+", "-", "@"))
