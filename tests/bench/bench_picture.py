"""Draw what `bench_schedule.py --csv` measured: seconds against size, both on logarithmic axes, as an SVG.

python tests/bench/bench_picture.py tests/bench/measured.csv docs/pictures/scheduler_cost.svg
"""

from __future__ import annotations

import csv
import math
import sys
from html import escape
from pathlib import Path

WIDTH, HEIGHT = 760, 420
LEFT, RIGHT, TOP, BOTTOM = 64, 230, 20, 52

#: Column of the figures → (words, mark, colour). Marks differ too, so that colour is not needed.
SERIES = {
    "work_s": ("final work reached", "square", "#332288"),
    "work_proven_s": ("work proven best", "triangle", "#AA4499"),
    "all_s": ("all stages ended", "cross", "#666666"),
    "plain_s": ("plain formulation: same work", "ring", "#CC6677"),
    "first_s": ("first checked plan", "circle", "#44BB99"),
}


def mark(kind: str, x: float, y: float, colour: str) -> str:
    """One point of a series."""
    if kind == "circle":
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="2.8" fill="{colour}" stroke="white"/>'
    if kind == "square":
        return f'<rect x="{x - 4:.1f}" y="{y - 4:.1f}" width="8" height="8" fill="{colour}"/>'
    if kind == "triangle":
        return f'<path d="M{x:.1f} {y - 5.5:.1f}l5 9h-10z" fill="{colour}"/>'
    if kind == "cross":
        path = f"M{x - 4:.1f} {y - 4:.1f}l8 8m0 -8l-8 8"
        return f'<path d="{path}" stroke="{colour}" stroke-width="2" fill="none"/>'
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4.5" fill="none" stroke="{colour}" stroke-width="2"/>'


def picture(rows: list[dict[str, str]]) -> str:
    """The SVG of the rows of the file that the benchmark wrote."""
    sizes = [float(r["dives"]) for r in rows]
    times = [max(0.05, float(r[c])) for r in rows for c in SERIES if float(r[c]) >= 0]
    x_low, x_high = math.log10(min(sizes) * 0.85), math.log10(max(sizes) * 1.15)
    y_low, y_high = math.log10(min(times) * 0.8), math.log10(max(times) * 1.3)

    def x(size: float) -> float:
        return LEFT + (math.log10(size) - x_low) / (x_high - x_low) * (WIDTH - LEFT - RIGHT)

    def y(seconds: float) -> float:
        part = (math.log10(max(0.05, seconds)) - y_low) / (y_high - y_low)
        return HEIGHT - BOTTOM - part * (HEIGHT - TOP - BOTTOM)

    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" '
        'font-family="sans-serif" font-size="12" fill="#222">',
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="white"/>',
    ]
    for seconds in (0.1, 0.3, 1, 3, 10, 30, 100):
        if y_low <= math.log10(seconds) <= y_high:
            out.append(f'<path d="M{LEFT} {y(seconds):.1f}H{WIDTH - RIGHT}" stroke="#ddd"/>')
            out.append(
                f'<text x="{LEFT - 8}" y="{y(seconds) + 4:.1f}" text-anchor="end">{seconds:g} s</text>'
            )
    for size in (5, 10, 20, 50, 100, 150):
        if x_low <= math.log10(size) <= x_high:
            out.append(f'<path d="M{x(size):.1f} {TOP}V{HEIGHT - BOTTOM}" stroke="#eee"/>')
            out.append(
                f'<text x="{x(size):.1f}" y="{HEIGHT - BOTTOM + 18}" text-anchor="middle">{size}</text>'
            )
    middle = (LEFT + WIDTH - RIGHT) / 2
    out.append(
        f'<text x="{middle:.0f}" y="{HEIGHT - 12}" text-anchor="middle">possible dives in the model</text>'
    )
    for number, (column, (words, kind, colour)) in enumerate(SERIES.items()):
        own = sorted((float(r["dives"]), float(r[column])) for r in rows if float(r[column]) >= 0)
        out += [mark(kind, x(size), y(seconds), colour) for size, seconds in own]
        at = TOP + 20 + 22 * number
        out.append(mark(kind, WIDTH - RIGHT + 22, at, colour))
        out.append(f'<text x="{WIDTH - RIGHT + 34}" y="{at + 4}">{escape(words)}</text>')
    out.append("</svg>")
    return "\n".join(out) + "\n"


def main(source: str, target: str) -> None:
    with Path(source).open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    Path(target).write_text(picture(rows), encoding="utf-8")


if __name__ == "__main__":
    main(*sys.argv[1:3])
