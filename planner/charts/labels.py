"""Words beside the points of a chart: on every point where they fit, and on which side of it."""

from __future__ import annotations

from collections.abc import Sequence

#: Sides of a point. Tried are over it first, where no line of best cases passes, then right, left, under.
RIGHT, LEFT, OVER, UNDER = "r", "l", "t", "b"

#: A letter of the small print of a chart, its line, and a marker with the air around it, pixels: words stand
#: clear of the ring around a point as well.
LETTER_PX, LINE_PX, MARKER_PX = 6.0, 14.0, 10.0

Box = tuple[float, float, float, float]


def sides_that_fit(
    points: Sequence[tuple[float, float]], words: Sequence[str], wide: float, high: float
) -> dict[int, str]:
    """Which points get their words, and on which side: none covers another, a point, or the frame.

    Parameters
    ----------
    points
        Across from the left and up from the bottom of a plot, pixels; those that matter most first.
    words
        Beside each of them.
    wide, high
        The plot, pixels.

    Returns
    -------
    dict
        Index of a point → `OVER`, `RIGHT`, `LEFT` or `UNDER`; a point whose words fit nowhere is not in it.
    """
    half = MARKER_PX / 2
    markers = [(x - half, y - half, x + half, y + half) for x, y in points]
    taken: list[Box] = []
    found: dict[int, str] = {}
    for index, ((x, y), text) in enumerate(zip(points, words, strict=True)):
        long, away = LETTER_PX * len(text), MARKER_PX
        boxes = {
            OVER: (x - long / 2, y + away, x + long / 2, y + away + LINE_PX),
            RIGHT: (x + away, y - LINE_PX / 2, x + away + long, y + LINE_PX / 2),
            LEFT: (x - away - long, y - LINE_PX / 2, x - away, y + LINE_PX / 2),
            UNDER: (x - long / 2, y - away - LINE_PX, x + long / 2, y - away),
        }
        others = [box for k, box in enumerate(markers) if k != index and points[k] != (x, y)]
        for side, box in boxes.items():
            inside = box[0] >= 0 and box[1] >= 0 and box[2] <= wide and box[3] <= high
            if inside and not any(_meet(box, other) for other in (*taken, *others)):
                found[index] = side
                taken.append(box)
                break
    return found


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def with_room(values: Sequence[float]) -> tuple[float, float]:
    """Ends of an axis: with room for the words beside the first and the last point."""
    least, most = min(values, default=0.0), max(values, default=0.0)
    room = max(0.08 * (most - least), 1.0)
    return least - room, most + room
