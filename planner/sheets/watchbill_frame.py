"""What frames the watchbill's grid: the day's few figures above it, letters and signatures below it."""

from __future__ import annotations

from planner.charts.palette import DutyStyle
from planner.job import Job
from planner.plan.model import Plan
from planner.sheets.watchbill_facts import work_words
from planner.workbook.style import SOFT, Look, Sheet, text_width_mm

#: Heights in points.
LEGEND_POINTS, NOTE_POINTS, SIGN_POINTS = 12.0, 11.5, 28.0
LEGEND_A_ROW = 6


def points_below(plan: Plan) -> float:
    """Height of everything below the grid, in points."""
    duties = len({spell.duty for spell in plan.duties})
    return LEGEND_POINTS * -(-duties // LEGEND_A_ROW) + NOTE_POINTS + SIGN_POINTS


def write_key_figures(sheet: Sheet, row: int, plan: Plan, job: Job) -> int:
    """A strip of the day's few figures that a tired reader looks for first."""
    many = len(job.day_windows) > 1

    def at(minute: int) -> str:
        return job.clock.hhmm(minute, with_day=many)

    figures: list[tuple[str, str]] = []
    if plan.duties:
        figures.append(("First call", at(min(s.start_min for s in plan.duties))))
    if plan.dives:
        figures.append(("First diver leaves surface", at(min(d.leave_surface_min for d in plan.dives))))
        figures.append(("Last diver at the surface", at(max(d.reach_surface_min for d in plan.dives))))
    if plan.duties:
        figures.append(("Last hand free", at(max(s.end_min for s in plan.duties))))
    figures.append(("Dives", str(len(plan.dives))))
    figures.append(("People on duty", f"{len({s.person for s in plan.duties})} of {len(job.people)}"))
    figures.append(("Work planned", work_words(plan, job)))
    figures.append(("Items left over", str(len(plan.leftovers))))
    widths = [max(text_width_mm(label, 7.5), text_width_mm(value, 14.5)) + 5 for label, value in figures]
    edges = [1, 3]
    for index in range(1, len(figures)):
        part = sum(widths[1 : index + 1]) / sum(widths[1:])
        edges.append(3 + round((sheet.columns - 2) * part))
    for (label, value), first, after in zip(figures, edges, edges[1:], strict=False):
        sheet.put(row, first, label, Look(size=7.5, ink=SOFT, shrink=True), wide=after - first)
        sheet.put(row + 1, first, value, Look(size=13, bold=True, shrink=True), wide=after - first)
    sheet.tall(row, 11)
    sheet.tall(row + 1, 18)
    sheet.tall(row + 2, 5)
    return row + 3


def write_legend(sheet: Sheet, row: int, plan: Plan, job: Job, styles: dict[str, DutyStyle]) -> int:
    """The letters and colours of the duties on this watchbill."""
    seen = {s.duty for s in plan.duties}
    shown = [d for d in styles if d in seen]
    sheet.put(row, 1, "Letters", Look(size=8, bold=True))
    per_row = LEGEND_A_ROW
    room = sheet.columns - 1
    chip_wide = 2 if sheet.columns > 40 else 1
    for index, duty in enumerate(shown):
        line, place = divmod(index, per_row)
        first = 2 + round(room * place / per_row)
        after = 2 + round(room * (place + 1) / per_row)
        style = styles[duty]
        chip = Look(size=7, bold=True, ink=style.text_hex, fill=style.fill_hex, across="center", edges="lrtb")
        wide = chip_wide if place else 1
        sheet.put(row + line, first, style.letters, chip, wide=wide)
        text = Look(size=8, shrink=True, indent=1)
        sheet.put(row + line, first + wide, duty, text, wide=max(1, after - first - wide))
        sheet.tall(row + line, LEGEND_POINTS)
    row += -(-len(shown) // per_row)
    note = (
        "A quarter hour with two duties shows the letters of both and the colour of the longer one; a heavy "
        "line is where the duty or the dive changes. Minutes to the exact one: Each person's day. "
        f"Times are local ({job.site.time_zone})."
    )
    sheet.put(row, 1, note, Look(size=7.5, ink=SOFT, wrap=True, down="top"), wide=sheet.columns)
    sheet.tall(row, NOTE_POINTS)
    return row + 1


def write_signatures(sheet: Sheet, row: int) -> int:
    """Room for the hands that make a plan a watchbill."""
    sheet.tall(row, SIGN_POINTS - 12)
    columns = sheet.columns
    edges = [1, round(columns * 0.3), round(columns * 0.62), columns + 1]
    words = ("Person in charge", "Supervisor", "Issued at, revision")
    for word, first, after in zip(words, edges, edges[1:], strict=False):
        look = Look(size=7.5, ink=SOFT, down="top", edges="t")
        sheet.put(row + 1, first, word, look, wide=max(1, after - first - 1))
    sheet.tall(row + 1, 12)
    return row + 1
