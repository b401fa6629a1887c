"""The workbook of a comparison: every case's figures, the chart, the odds of drawn days, what was assumed."""

from __future__ import annotations

from datetime import datetime

from openpyxl import Workbook
from openpyxl.chart import Reference, ScatterChart, Series
from openpyxl.chart.layout import Layout, ManualLayout

from planner.check.rule import SUBJECT_TO
from planner.files import Target, workbook_bytes, write_whole
from planner.job import Job
from planner.whatif import EXAMPLE_COSTS, CaseResult, CostRates, Knee, Sure, Sweep, knee_of
from planner.workbook.style import (
    HEAD,
    SMALL,
    Look,
    Page,
    Sheet,
    Value,
    lines_needed,
    new_book,
    new_sheet,
    paper_named,
    set_up_page,
    write_head,
)

CASES, CHART, ODDS, ASSUMED = "Cases", "Work and cost", "Drawn days", "Assumed"

_WORD = Look(size=8.5, edges="b", shrink=True)
_NUMBER = Look(size=8.5, edges="b", across="right", number_format="#,##0")
_TENTH = _NUMBER.but(number_format="0.0")
_MONEY = _NUMBER.but(number_format="#,##0.00")
_TIME = _NUMBER.but(number_format="ddd hh:mm")

_COLUMNS: tuple[tuple[str, float], ...] = (
    ("Case", 11.0),
    ("", 6.0),
    ("Varied", 58.0),
    ("Work done, min", 18.0),
    ("Of all work, %", 15.0),
    ("End", 20.0),
    ("People-hours", 16.0),
    ("Overtime, h", 16.0),
    ("Cost", 23.0),
    ("Dives", 12.0),
    ("Dives a diver", 14.0),
    ("Bottom min a diver", 17.0),
    ("Least air margin, scfm", 19.0),
    ("Gap of work, %", 15.0),
    ("How it came about", 58.0),
)


def compare_book(
    result: Sweep,
    job: Job,
    sure: Sure | None = None,
    *,
    rates: CostRates = EXAMPLE_COSTS,
    paper: str = "A4",
    made_at: datetime | None = None,
) -> Workbook:
    """The workbook of a sweep, values only, not yet saved.

    Parameters
    ----------
    result, job
        The sweep and the job that was varied.
    sure
        Drawn days of one plan, where there are any.
    rates
        What the costs were worked out with.
    paper
        ``A4`` or ``Letter``.
    """
    page = Page(paper_named(paper), landscape=True)
    made = made_at or datetime.now(tz=job.clock.zone)
    facts = f"{result.sentence} · made {made:%Y-%m-%d %H:%M}"
    knee = knee_of(result.results)
    book = new_book(f"Comparison, {job.site.name}")
    _cases(book, result, job, knee, page, facts)
    _chart(book, result, job, knee, page, facts)
    if sure is not None:
        _odds(book, sure, job, page, facts)
    _assumed(book, job, rates, page, facts)
    return book


def write_compare_book(
    result: Sweep,
    job: Job,
    sure: Sure | None,
    target: Target,
    *,
    rates: CostRates = EXAMPLE_COSTS,
    paper: str = "A4",
) -> None:
    """Write the workbook to a path or an open binary file.

    Raises
    ------
    OSError
        The place cannot be written.
    """
    write_whole(compare_book(result, job, sure, rates=rates, paper=paper), target)


def compare_book_bytes(result: Sweep, job: Job, sure: Sure | None = None) -> bytes:
    """The workbook as bytes, for a download."""
    return workbook_bytes(compare_book(result, job, sure))


def _cases(book: Workbook, result: Sweep, job: Job, knee: Knee, page: Page, facts: str) -> None:
    sheet = new_sheet(book, CASES, page, [w for _, w in _COLUMNS])
    row = write_head(sheet, "Comparison", job.site.name, facts)
    currency = next((r.figures.cost.currency for r in result.results if r.figures), "")
    for column, (title, _) in enumerate(_COLUMNS, start=1):
        words = f"{title}, {currency}" if title == "Cost" else title
        left = column in (1, 2, 3, 15)
        sheet.put(
            row, column, words, HEAD.but(across="left" if left else "right", size=7, indent=int(column == 15))
        )
    sheet.tall(row, 26)
    sheet.title_rows = row
    sheet.ws.freeze_panes = f"D{row + 1}"
    best = {r.case.number for r in knee.best}
    for one in result.results:
        row += 1
        _case_row(sheet, row, one, job, one.case.number in best)
    row += 2
    notes = (
        knee.sentence,
        "★ no other case does more work for less or equal cost. Of all work and gap: weighted by priority; "
        "gap: how far the work may still be from the most there is. A diver: average over all who may dive. "
        f"A plan carried over from another case holds every rule here too. {SUBJECT_TO}",
    )
    for n, note in enumerate(notes):
        look = (
            Look(size=9.5, bold=True, wrap=True, down="top") if n == 0 else SMALL.but(wrap=True, down="top")
        )
        sheet.put(row, 1, note, look, wide=sheet.columns)
        sheet.tall(row, 13.0 * lines_needed(note, page.width_mm, 9.5) + 2)
        row += 1
    set_up_page(sheet, row)


def _case_row(sheet: Sheet, row: int, one: CaseResult, job: Job, best: bool) -> None:
    bold = {"bold": best}
    sheet.put(row, 1, one.case.number, _NUMBER.but(across="left", **bold))
    sheet.put(row, 2, "★" if best else "", _WORD)
    given = " (as given)" if one.case.as_given else ""
    sheet.put(row, 3, one.case.title + given, _WORD.but(**bold))
    f = one.figures
    cells: list[tuple[Value, Look]]
    if f is None:
        cells = [(None, _NUMBER)] * 11
    else:
        cells = [
            (f.work_min, _NUMBER),
            (round(f.work_percent, 1), _TENTH),
            (job.clock.at(f.end_min).replace(tzinfo=None), _TIME),
            (round(f.people_min / 60, 1), _TENTH),
            (round(f.overtime_min / 60, 1), _TENTH),
            (f.total_cost, _MONEY),  # type: ignore[list-item]
            (f.dives, _NUMBER),
            (round(f.dives_a_diver, 1), _TENTH),
            (round(f.bottom_min_a_diver, 0), _NUMBER),
            ("–" if f.air_margin_scfm is None else f.air_margin_scfm, _TENTH),
            (round(f.gap_percent, 1), _TENTH),
        ]
    for column, (value, look) in enumerate(cells, start=4):
        sheet.put(row, column, value, look)
    sheet.put(row, 15, one.sentence, Look(size=7.5, edges="b", wrap=True, indent=1))
    sheet.tall(row, max(15.0, 10.0 * lines_needed(one.sentence, sheet.width_mm(15) - 3, 7.5) + 4))


def _chart(book: Workbook, result: Sweep, job: Job, knee: Knee, page: Page, facts: str) -> None:
    """The scatter of work against cost, drawn by the spreadsheet program from the columns beside it."""
    sheet = new_sheet(book, CHART, page, (14.0, 24.0, 24.0, 24.0, 24.0, 160.0))
    row = write_head(sheet, "Work and cost", job.site.name, facts)
    sheet.put(row, 1, knee.sentence, Look(size=9.5, bold=True, wrap=True, down="top"), wide=6)
    sheet.tall(row, 13.0 * lines_needed(knee.sentence, page.width_mm, 9.5) + 4)
    row += 1
    heads = ("Case", "Cost", "Other cases, %", "Best cases, %", "The bend, %")
    for column, title in enumerate(heads, start=1):
        sheet.put(row, column, title, HEAD.but(across="right" if column > 1 else "left", size=7))
    sheet.tall(row, 22)
    best = {r.case.number for r in knee.best}
    bend = knee.bend.case.number if knee.bend is not None else None
    found = sorted(
        (r for r in result.results if r.figures), key=lambda r: r.figures.total_cost if r.figures else 0
    )
    first = row + 1
    for one in found:
        row += 1
        assert one.figures is not None
        number, work = one.case.number, round(one.figures.work_percent, 1)
        sheet.put(row, 1, number, _NUMBER.but(across="left"))
        sheet.put(row, 2, one.figures.total_cost, _MONEY)  # type: ignore[arg-type]
        sheet.put(row, 3, None if number in best else work, _TENTH)
        sheet.put(row, 4, work if number in best else None, _TENTH)
        sheet.put(row, 5, work if number == bend else None, _TENTH)
        sheet.tall(row, 13)
    if found:
        chart = _scatter(sheet, first, row, bend is not None)
        sheet.ws.add_chart(chart, f"F{first - 1}")
    set_up_page(sheet, max(row, first + 28))


def _scatter(sheet: Sheet, first: int, last: int, bend: bool) -> ScatterChart:
    chart = ScatterChart()
    chart.style = 1
    chart.scatterStyle = "lineMarker"
    chart.height, chart.width = 11.5, 15.5  # type: ignore[assignment]
    chart.x_axis.title, chart.y_axis.title = "cost", "work done, %"
    chart.x_axis.number_format, chart.y_axis.number_format = "#,##0", "#,##0"
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.y_axis.scaling.min = 0.0
    chart.legend.position = "t"  # type: ignore[union-attr]
    chart.layout = Layout(manualLayout=ManualLayout(x=0.1, y=0.12, w=0.86, h=0.7))
    costs = Reference(sheet.ws, min_col=2, min_row=first, max_row=last)
    looks = [(3, "circle", "5D6B70", 7, False), (4, "circle", "0B5563", 9, True)]
    if bend:
        looks.append((5, "diamond", "A3461F", 13, False))
    for column, symbol, colour, size, line in looks:
        values = Reference(sheet.ws, min_col=column, min_row=first - 1, max_row=last)
        series = Series(values, costs, title_from_data=True)
        series.marker.symbol, series.marker.size = symbol, size
        if column == 4:
            series.marker.graphicalProperties.solidFill = colour
        else:
            series.marker.graphicalProperties.noFill = True
        series.marker.graphicalProperties.line.solidFill = colour
        if line:
            series.graphicalProperties.line.solidFill = colour
        else:
            series.graphicalProperties.line.noFill = True
        series.smooth = False
        chart.series.append(series)
    return chart


def _odds(book: Workbook, sure: Sure, job: Job, page: Page, facts: str) -> None:
    sheet = new_sheet(book, ODDS, page, (70.0, 24.0, 24.0, 24.0, 24.0, 120.0))
    row = write_head(sheet, "Drawn days", job.site.name, facts)
    sheet.put(row, 1, sure.sentence, Look(size=9.5, bold=True, wrap=True, down="top"), wide=6)
    sheet.tall(row, 13.0 * lines_needed(sure.sentence, page.width_mm, 9.5) + 6)
    row += 1
    heads = (
        "Item",
        "Finished, %",
        "As planned, %",
        "Done, %",
        "Planned, %",
        "What it fails by, in % of all draws",
    )
    for column, title in enumerate(heads, start=1):
        sheet.put(
            row,
            column,
            title,
            HEAD.but(across="left" if column in (1, 6) else "right", indent=int(column == 6)),
        )
    sheet.tall(row, 16)
    for item in sure.items:
        row += 1
        sheet.put(row, 1, item.item, _WORD)
        values = (item.chance_percent, item.as_planned_percent, item.done_percent, item.planned_percent)
        for column, value in enumerate(values, start=2):
            sheet.put(row, column, round(value, 1), _TENTH)
        causes = "; ".join(f"{cause} {percent:.1f}" for cause, percent in item.causes[:3])
        sheet.put(row, 6, causes, Look(size=8, edges="b", wrap=True, indent=1))
        sheet.tall(row, max(15.0, 11.0 * lines_needed(causes, sheet.width_mm(6) - 3, 8) + 4))
    row += 2
    lines = [
        f"The day ends by {job.clock.hhmm(sure.end_p50_min)} in half of the draws, by "
        f"{job.clock.hhmm(sure.end_p90_min)} in nine of ten.",
        *(
            f"A spare {s.minutes} min {s.what}: {s.day_points:+.1f} points for the whole day, "
            f"{s.work_min:+.1f} minutes of work on average."
            for s in sure.spare
        ),
        *(f"Of the days that fail, {percent:.0f} % by: {what}." for what, percent in sure.breaks[:6]),
        f"{sure.draws} draws, seed {sure.seed}. {sure.spread.sentence}",
    ]
    for line in lines:
        sheet.put(row, 1, line, Look(size=9, wrap=True, down="top"), wide=6)
        sheet.tall(row, 12.5 * lines_needed(line, page.width_mm, 9) + 2)
        row += 1
    set_up_page(sheet, row)


def _assumed(book: Workbook, job: Job, rates: CostRates, page: Page, facts: str) -> None:
    sheet = new_sheet(book, ASSUMED, page, (90.0, 40.0, 150.0))
    row = write_head(sheet, "Assumed", job.site.name, facts)
    for column, title in enumerate(("What", "Value", "Source"), start=1):
        sheet.put(row, column, title, HEAD)
    currency = rates.pay.currency
    rows: list[tuple[str, str, str]] = [
        (
            "Least paid day of everybody in the job",
            f"{rates.least_paid_min} min",
            "common practice; the length: invented example",
        ),
        ("A station at work, a day", f"{rates.station_day:,.2f} {currency}", rates.source),
        ("A ready outfit, a day", f"{rates.outfit_day:,.2f} {currency}", rates.source),
        ("A compressor, a day", f"{rates.compressor_day:,.2f} {currency}", rates.source),
        ("A chamber within 5 min, a day", f"{rates.chamber_day:,.2f} {currency}", rates.source),
        *(
            (f"Hourly rate, {r.pay_class or 'everybody else'}", f"{r.per_hour:,.2f} {currency}", r.source)
            for r in rates.pay.rates
        ),
        *((str(o.kind), f"{o.times:f} past {o.after_min / 60:g} h", o.source) for o in rates.pay.overtime),
        *(
            (
                f"Depth premium over {b.over_fsw} to {b.to_fsw} fsw",
                f"{b.per_foot:,.2f} {currency} a foot",
                b.source,
            )
            for b in rates.pay.bands
        ),
        *((str(p.kind), f"{p.per_hour:,.2f} {currency} an hour", p.source) for p in rates.pay.premiums),
    ]
    for what, value, source in rows:
        row += 1
        sheet.put(row, 1, what, _WORD)
        sheet.put(row, 2, value, _WORD)
        sheet.put(row, 3, source, _WORD.but(wrap=True, shrink=False))
        sheet.tall(row, 11.0 * lines_needed(source, sheet.width_mm(3), 8.5) + 4)
    set_up_page(sheet, row)
