"""The workbook of a comparison: every case's figures, the chart, the odds of drawn days, what was assumed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from decimal import Decimal

from openpyxl import Workbook
from openpyxl.chart import Reference, ScatterChart, Series
from openpyxl.chart.layout import Layout, ManualLayout

from planner.check.rule import SUBJECT_TO
from planner.job import Job
from planner.sheets.layout import (
    CellValue,
    Column,
    PrintedBook,
    Table,
    freeze,
    made_words,
    printed_book,
    wall,
    write_words,
)
from planner.whatif import EXAMPLE_COSTS, CaseResult, CostRates, Knee, Sure, Sweep, knee_of
from planner.whatif.figures import Figures
from planner.whatif.sure import ItemChance
from planner.workbook.style import SMALL, Look, Sheet, set_up_page

CASES, CHART, ODDS, ASSUMED = "Cases", "Work and cost", "Drawn days", "Assumed"

_WORD = Look(size=8.5, edges="b", shrink=True)
_WRAPPED = Look(size=8.5, edges="b", wrap=True)
_NUMBER = Look(size=8.5, edges="b", across="right", number_format="#,##0")
_CASE = _NUMBER.but(across="left")
_TENTH = _NUMBER.but(number_format="0.0")
_MONEY = _NUMBER.but(number_format="#,##0.00")
_TIME = _NUMBER.but(number_format="ddd hh:mm")
_SENTENCE = Look(size=9.5, bold=True)


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
    facts = f"{result.sentence} · {made_words(job.clock, made_at)}"
    knee = knee_of(result.results)
    printed = printed_book(f"Comparison, {job.site.name}", paper, job.site.name, facts)
    _cases(printed, result, job, knee)
    _chart(printed, result, knee)
    if sure is not None:
        _odds(printed, sure, job)
    _assumed(printed, rates)
    return printed.book


def _cases(printed: PrintedBook, result: Sweep, job: Job, knee: Knee) -> None:
    best = {r.case.number for r in knee.best}
    currency = next((r.figures.cost.currency for r in result.results if r.figures), "")

    def bold(one: CaseResult) -> dict[str, object]:
        return {"bold": one.case.number in best}

    def figure(head: str, width: float, of: Callable[[Figures], CellValue], look: Look) -> Column[CaseResult]:
        return Column(head, width, lambda one: of(one.figures) if one.figures else None, look)

    def margin(f: Figures) -> CellValue:
        return "–" if f.air_margin_scfm is None else f.air_margin_scfm

    table: Table[CaseResult] = Table(
        (
            Column("Case", 11, lambda one: one.case.number, _CASE, bold),
            Column("", 6, lambda one: "★" if one.case.number in best else "", _WORD),
            Column(
                "Varied",
                58,
                lambda one: one.case.title + (" (as given)" if one.case.as_given else ""),
                _WORD,
                bold,
            ),
            figure("Work done, min", 18, lambda f: f.work_min, _NUMBER),
            figure("Of all work, %", 15, lambda f: round(f.work_percent, 1), _TENTH),
            figure("End", 20, lambda f: wall(job.clock, f.end_min), _TIME),
            figure("People-hours", 16, lambda f: round(f.people_min / 60, 1), _TENTH),
            figure("Overtime, h", 16, lambda f: round(f.overtime_min / 60, 1), _TENTH),
            figure(f"Cost, {currency}", 23, lambda f: f.total_cost, _MONEY),
            figure("Dives", 12, lambda f: f.dives, _NUMBER),
            figure("Dives a diver", 14, lambda f: round(f.dives_a_diver, 1), _TENTH),
            figure("Bottom min a diver", 17, lambda f: round(f.bottom_min_a_diver, 0), _NUMBER),
            figure("Least air margin, scfm", 19, margin, _TENTH),
            figure("Gap of work, %", 15, lambda f: round(f.gap_percent, 1), _TENTH),
            Column("How it came about", 58, lambda one: one.sentence, _WRAPPED.but(size=7.5, indent=1)),
        ),
        heads_points=26,
        head_size=7,
    )
    sheet, row = printed.sheet(CASES, table.widths, landscape=True, title="Comparison")
    row = table.heads(sheet, row, on_each_page=True)
    freeze(sheet, "D")
    row = table.rows(sheet, row, result.results) + 1
    row = write_words(sheet, row, knee.sentence, _SENTENCE)
    note = (
        "★ no other case does more work for less or equal cost. Of all work and gap: weighted by priority; "
        "gap: how far the work may still be from the most there is. A diver: average over all who may dive. "
        f"A plan carried over from another case holds every rule here too. {SUBJECT_TO}"
    )
    row = write_words(sheet, row, note, SMALL)
    set_up_page(sheet, row)


def _chart(printed: PrintedBook, result: Sweep, knee: Knee) -> None:
    """The scatter of work against cost, drawn by the spreadsheet program from the columns beside it."""
    best = {r.case.number for r in knee.best}
    bend = knee.bend.case.number if knee.bend is not None else None
    found = sorted(
        ((r.case.number, r.figures) for r in result.results if r.figures), key=lambda pair: pair[1].total_cost
    )

    def work(head: str, shown: Callable[[int], bool]) -> Column[tuple[int, Figures]]:
        """Work of the cases that are shown in this column; the others leave it blank."""
        return Column(head, 24, lambda p: round(p[1].work_percent, 1) if shown(p[0]) else None, _TENTH)

    table = Table(
        (
            Column("Case", 14, lambda p: p[0], _CASE),
            Column("Cost", 24, lambda p: p[1].total_cost, _MONEY),
            work("Other cases, %", lambda number: number not in best),
            work("Best cases, %", lambda number: number in best),
            work("The bend, %", lambda number: number == bend),
        ),
        heads_points=22,
        points=13,
        head_size=7,
    )
    sheet, row = printed.sheet(CHART, [*table.widths, 160.0], landscape=True)
    first = table.heads(sheet, write_words(sheet, row, knee.sentence, _SENTENCE))
    row = table.rows(sheet, first, found)
    if found:
        sheet.ws.add_chart(_scatter(sheet, first, row - 1, bend is not None), f"F{first - 1}")
    set_up_page(sheet, max(row - 1, first + 28))


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
    looks = [(3, "circle", "5D6B70", 7), (4, "circle", "0B5563", 9), (5, "diamond", "A3461F", 13)]
    for column, symbol, colour, size in looks if bend else looks[:2]:
        values = Reference(sheet.ws, min_col=column, min_row=first - 1, max_row=last)
        series = Series(values, costs, title_from_data=True)
        series.marker.symbol, series.marker.size = symbol, size
        series.marker.graphicalProperties.line.solidFill = colour
        if column == 4:
            # the best cases are filled and joined by a line
            series.marker.graphicalProperties.solidFill = colour
            series.graphicalProperties.line.solidFill = colour
        else:
            series.marker.graphicalProperties.noFill = True
            series.graphicalProperties.line.noFill = True
        series.smooth = False
        chart.series.append(series)
    return chart


def _odds(printed: PrintedBook, sure: Sure, job: Job) -> None:
    def causes(item: ItemChance) -> str:
        return "; ".join(f"{cause} {percent:.1f}" for cause, percent in item.causes[:3])

    table: Table[ItemChance] = Table(
        (
            Column("Item", 70, lambda i: i.item, _WORD),
            Column("Finished, %", 24, lambda i: round(i.chance_percent, 1), _TENTH),
            Column("As planned, %", 24, lambda i: round(i.as_planned_percent, 1), _TENTH),
            Column("Done, %", 24, lambda i: round(i.done_percent, 1), _TENTH),
            Column("Planned, %", 24, lambda i: round(i.planned_percent, 1), _TENTH),
            Column("What it fails by, in % of all draws", 120, causes, _WRAPPED.but(size=8, indent=1)),
        ),
        heads_points=16,
    )
    sheet, row = printed.sheet(ODDS, table.widths, landscape=True)
    row = table.heads(sheet, write_words(sheet, row, sure.sentence, _SENTENCE))
    row = table.rows(sheet, row, sure.items) + 1
    for line in (
        f"The day ends by {job.clock.hhmm(sure.end_p50_min)} in half of the draws, by "
        f"{job.clock.hhmm(sure.end_p90_min)} in nine of ten.",
        *(
            f"A spare {s.minutes} min {s.what}: {s.day_points:+.1f} points for the whole day, "
            f"{s.work_min:+.1f} minutes of work on average."
            for s in sure.spare
        ),
        *(f"Of the days that fail, {percent:.0f} % by: {what}." for what, percent in sure.breaks[:6]),
        f"{sure.draws} draws, seed {sure.seed}. {sure.spread.sentence}",
    ):
        row = write_words(sheet, row, line, Look(size=9))
    set_up_page(sheet, row)


def _assumed(printed: PrintedBook, rates: CostRates) -> None:
    currency = rates.pay.currency

    def money(amount: Decimal) -> str:
        return f"{amount:,.2f} {currency}"

    rows: list[tuple[str, str, str]] = [
        (
            "Least paid day of everybody in the job",
            f"{rates.least_paid_min} min",
            "common practice; the length: invented example",
        ),
        ("A station at work, a day", money(rates.station_day), rates.source),
        ("A ready outfit, a day", money(rates.outfit_day), rates.source),
        ("A compressor, a day", money(rates.compressor_day), rates.source),
        ("A chamber within 5 min, a day", money(rates.chamber_day), rates.source),
        *(
            (f"Hourly rate, {r.pay_class or 'everybody else'}", money(r.per_hour), r.source)
            for r in rates.pay.rates
        ),
        *((str(o.kind), f"{o.times:f} past {o.after_min / 60:g} h", o.source) for o in rates.pay.overtime),
        *(
            (f"Depth premium over {b.over_fsw} to {b.to_fsw} fsw", f"{money(b.per_foot)} a foot", b.source)
            for b in rates.pay.bands
        ),
        *((str(p.kind), f"{money(p.per_hour)} an hour", p.source) for p in rates.pay.premiums),
    ]
    table: Table[tuple[str, str, str]] = Table(
        (
            Column("What", 90, lambda r: r[0], _WORD),
            Column("Value", 40, lambda r: r[1], _WORD),
            Column("Source", 150, lambda r: r[2], _WRAPPED),
        )
    )
    sheet, row = printed.sheet(ASSUMED, table.widths, landscape=True)
    row = table.rows(sheet, table.heads(sheet, row), rows)
    set_up_page(sheet, row - 1)
