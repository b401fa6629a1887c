"""The workbook of a comparison: every case's figures, the chart, the odds of drawn days, what was assumed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal

from openpyxl import Workbook
from openpyxl.chart import Reference, ScatterChart, Series
from openpyxl.chart.label import DataLabelList
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.legend import LegendEntry

from planner.charts.labels import sides_that_fit, with_room
from planner.check.rule import SUBJECT_TO
from planner.job import Job
from planner.sheets.layout import CellValue, Column, PrintedBook, Table, made_words, printed_book, wall
from planner.whatif.best import BEST_MARK, EARLIER_MARK, Knee, finish_words, knee_of, point_words
from planner.whatif.figures import EXAMPLE_COSTS, Figures
from planner.whatif.results import CaseResult, Sweep
from planner.whatif.spread import Spread
from planner.whatif.sure import ItemChance, Sure
from planner.workbook.style import SMALL, Look, Sheet, set_up_page

CASES, JOBS, CHART, ODDS, ASSUMED = "Cases", "Jobs", "Chance and cost", "Drawn days", "Assumed"

_WORD = Look(size=8.5, edges="b", shrink=True)
_WRAPPED = Look(size=8.5, edges="b", wrap=True)
_NUMBER = Look(size=8.5, edges="b", across="right", number_format="#,##0")
_CASE = _NUMBER.but(across="left")
_TENTH = _NUMBER.but(number_format="0.0")
_MONEY = _NUMBER.but(number_format="#,##0.00")
_TIME = _NUMBER.but(number_format="ddd hh:mm")

#: The plot of the chart on paper, pixels of the print beside its points.
_WIDE_PX, _HIGH_PX = 420.0, 290.0

_SENTENCE = Look(size=9.5, bold=True)


def compare_book(
    result: Sweep,
    job: Job,
    sure: Sure | None = None,
    *,
    at_least: int | None = None,
) -> Workbook:
    """The workbook of a sweep over a job, on A4, values only, not yet saved.

    Parameters
    ----------
    sure
        Drawn days of one plan in full, where there are any.
    at_least
        Per cent of the work whose chance is weighed, as in `planner.whatif.best.knee_of`.
    """
    title = f"Comparison, {job.site.name}"
    jobs = max((len(r.parts) for r in result.results), default=0)
    title += f" and {jobs - 1} more" if jobs > 1 else ""
    jobs_told = [part.case.job for one in result.results[:1] for part in one.parts] or [job]
    sets = " and ".join(dict.fromkeys(one.tables.printed for one in jobs_told))
    facts = f"{result.sentence} · {made_words(job.clock, None)} · {sets}"
    knee = knee_of(result.results, at_least)
    printed = printed_book(title, "A4", job.site.name, facts)
    _cases(printed, result, job, knee)
    if any(r.parts for r in result.results):
        _jobs(printed, result)
    _chart(printed, result, knee)
    if sure is not None:
        _odds(printed, sure, result.results[0].when)
    spread = next((r.sure.spread for r in result.results if r.sure), sure.spread if sure else None)
    _assumed(printed, spread)
    return printed.book


def _figure(head: str, width: float, of: Callable[[Figures], CellValue], look: Look) -> Column[CaseResult]:
    """A column with a figure of the cases that have any."""
    return Column(head, width, lambda one: of(one.figures) if one.figures else None, look)


def _cases(printed: PrintedBook, result: Sweep, job: Job, knee: Knee) -> None:
    marks = knee.marks

    def bold(one: CaseResult) -> dict[str, object]:
        return {"bold": marks.get(one.case.number) == BEST_MARK}

    chance: list[Column[CaseResult]] = []
    if knee.at_least is not None:
        head = f"Chance of {knee.at_least} % of the work, %"
        chance.append(Column(head, 17, lambda one: round(knee.gain(one)) if one.sure else None, _NUMBER))

    def margin(f: Figures) -> CellValue:
        return "–" if f.air_margin_scfm is None else f.air_margin_scfm

    table: Table[CaseResult] = Table(
        (
            Column("Case", 11, lambda one: one.case.number, _CASE, bold),
            Column("", 6, lambda one: marks.get(one.case.number, ""), _WORD),
            Column("Varied", 50, lambda one: one.case.varied, _WORD, bold),
            _figure("Work done, min", 18, lambda f: f.work_min, _NUMBER),
            _figure("Of all work, %", 15, lambda f: round(f.work_percent, 1), _TENTH),
            *chance,
            _figure("End", 20, lambda f: wall(job.clock, f.end_min), _TIME),
            _figure("On duty, h", 16, lambda f: round(f.people_min / 60, 1), _TENTH),
            _figure("Overtime, h", 16, lambda f: round(f.overtime_min / 60, 1), _TENTH),
            _figure(f"Cost, {result.currency}", 23, lambda f: f.total_cost, _MONEY),
            _figure("Dives", 12, lambda f: f.dives, _NUMBER),
            _figure("Dives a diver", 14, lambda f: round(f.dives_a_diver, 1), _TENTH),
            _figure("Bottom time a diver, min", 17, lambda f: round(f.bottom_min_a_diver, 0), _NUMBER),
            _figure("Least air margin, scfm", 19, margin, _TENTH),
            _figure("Work still to gain, %", 15, lambda f: round(f.gap_percent, 1), _TENTH),
            Column("How it came about", 58, lambda one: one.sentence, _WRAPPED.but(size=7.5, indent=1)),
        ),
        heads_points=26,
        head_size=7,
    )
    sheet = printed.listed(CASES, table, result.results, title="Comparison", frozen="D")
    sheet.gap()
    sheet.words(knee.sentence, _SENTENCE)
    note = (
        "★ no other case brings more for less or equal cost; ◇ only finishes earlier. Of all work "
        "and still to gain: weighted by priority; still to gain: how far the work may still be from the most "
        "there is. A diver: average over all who may dive. "
        f"A plan carried over from another case holds every rule here too. {SUBJECT_TO}"
    )
    sheet.words(note, SMALL)
    sheet.end()


def _jobs(printed: PrintedBook, result: Sweep) -> None:
    """Each case job by job: what the sums on the sheet of the cases are of."""
    parts = [part for one in result.results for part in one.parts]

    def chance(one: CaseResult) -> CellValue:
        return round(one.sure.day_percent) if one.sure is not None else None

    table: Table[CaseResult] = Table(
        (
            Column("Case", 11, lambda one: one.case.number, _CASE),
            Column("Varied", 50, lambda one: one.case.title, _WORD),
            Column("Job", 50, lambda one: one.case.job.site.name, _WORD),
            Column("First day", 20, lambda one: one.case.job.site.first_day.isoformat(), _WORD),
            _figure("Work done, min", 18, lambda f: f.work_min, _NUMBER),
            _figure("Of all work, %", 18, lambda f: round(f.work_percent, 1), _TENTH),
            Column("Chance as planned, %", 18, chance, _NUMBER),
            _figure("On duty, h", 18, lambda f: round(f.people_min / 60, 1), _TENTH),
            _figure("Dives", 18, lambda f: f.dives, _NUMBER),
            _figure("People", 18, lambda f: f.people, _NUMBER),
            Column("How it came about", 78, lambda one: one.sentence, _WRAPPED.but(size=7.5, indent=1)),
        ),
        heads_points=26,
        head_size=7,
    )
    printed.listed(JOBS, table, parts).end()


def _chart(printed: PrintedBook, result: Sweep, knee: Knee) -> None:
    """The scatter against cost, drawn by the spreadsheet program from the columns beside it."""
    marks = knee.marks
    found = sorted(
        (r for r in result.results if r.figures is not None),
        # the best ones first, so that one line joins them
        key=lambda r: (marks.get(r.case.number) != BEST_MARK, r.figures.total_cost if r.figures else 0),
    )

    def gain(head: str, shown: Callable[[CaseResult], bool]) -> Column[CaseResult]:
        """What the cases bring that are shown in this column; the others leave it blank."""
        return Column(head, 18, lambda r: round(knee.gain(r), 1) if shown(r) else None, _TENTH)

    table: Table[CaseResult] = Table(
        (
            Column("Case", 11, lambda r: r.case.number, _CASE),
            _figure(f"Cost, {result.currency}", 22, lambda f: f.total_cost, _MONEY),
            Column("Finish", 18, finish_words, _NUMBER),
            gain("Other cases, %", lambda r: r.case.number not in marks),
            gain("Best cases, %", lambda r: marks.get(r.case.number) == BEST_MARK),
            gain("Only earlier, %", lambda r: marks.get(r.case.number) == EARLIER_MARK),
            gain("The bend, %", lambda r: r is knee.bend),
        ),
        heads_points=22,
        points=13,
        head_size=7,
    )
    sheet = printed.sheet(CHART, [*table.widths, 142.0], landscape=True)
    sheet.words(knee.sentence, _SENTENCE)
    sheet.heads(table)
    first = sheet.row
    sheet.rows(table, found)
    if found:
        sheet.ws.add_chart(_scatter(sheet, first, found, knee), f"H{first - 1}")
    set_up_page(sheet, max(sheet.row - 1, first + 28))


def _scatter(sheet: Sheet, first: int, found: Sequence[CaseResult], knee: Knee) -> ScatterChart:
    chart, last = ScatterChart(), first + len(found) - 1
    chart.style = 1
    chart.scatterStyle = "lineMarker"
    chart.height, chart.width = 11.5, 13.4  # type: ignore[assignment]
    chart.x_axis.title, chart.y_axis.title = "cost", knee.gain_words
    chart.x_axis.number_format, chart.y_axis.number_format = "#,##0", "#,##0"
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.y_axis.scaling.min = 0.0
    chart.legend.position = "t"  # type: ignore[union-attr]
    chart.layout = Layout(manualLayout=ManualLayout(x=0.1, y=0.12, w=0.86, h=0.7))
    costs = Reference(sheet.ws, min_col=2, min_row=first, max_row=last)
    looks = [(4, "circle", "8D999E", 7), (5, "circle", "0B5563", 9)]
    looks += [(6, "diamond", "C77B4A", 10)] if knee.earlier else []
    looks += [(7, "square", "A3461F", 14)] if knee.bend is not None else []
    for column, symbol, colour, size in looks:
        values = Reference(sheet.ws, min_col=column, min_row=first - 1, max_row=last)
        series = Series(values, costs, title_from_data=True)
        series.marker.symbol, series.marker.size = symbol, size
        series.marker.graphicalProperties.line.solidFill = colour
        if column == 5:
            # the best cases are filled and joined by a line
            series.marker.graphicalProperties.solidFill = colour
            series.graphicalProperties.line.solidFill = colour
        else:
            series.marker.graphicalProperties.noFill = True
            series.graphicalProperties.line.noFill = True
        series.smooth = False
        chart.series.append(series)
    money = [float(r.figures.total_cost) if r.figures else 0.0 for r in found]
    low, high = with_room(money)
    chart.x_axis.scaling.min, chart.x_axis.scaling.max = low, high
    chart.y_axis.scaling.max = top = 110.0
    # case and finish beside each point with room: a series of one point, shown by its name alone
    spots = [
        ((cost - low) * _WIDE_PX / (high - low), knee.gain(r) * _HIGH_PX / top)
        for cost, r in zip(money, found, strict=True)
    ]
    words = [point_words(r) for r in found]
    for index, side in sides_that_fit(spots, words, _WIDE_PX, _HIGH_PX).items():
        row = first + index
        column = next(c for c in (5, 6, 4) if sheet.ws.cell(row, c).value is not None)
        gain, cost = (Reference(sheet.ws, min_col=c, min_row=row) for c in (column, 2))
        named = Series(gain, cost, title=words[index])
        named.marker.symbol = "none"
        named.graphicalProperties.line.noFill = True
        named.dLbls = DataLabelList(
            dLblPos=side, showSerName=True, showVal=False, showCatName=False, showLegendKey=False
        )
        unnamed = LegendEntry(idx=len(chart.series), delete=True)
        chart.legend.legendEntry.append(unnamed)  # type: ignore[union-attr]
        chart.series.append(named)
    return chart


def _odds(printed: PrintedBook, sure: Sure, when: Callable[[int], str]) -> None:
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
    sheet = printed.sheet(ODDS, table.widths, landscape=True)
    sheet.words(sure.sentence, _SENTENCE)
    sheet.heads(table)
    sheet.rows(table, sure.items)
    sheet.gap()
    for line in (
        f"All is over by {when(sure.end_p50_min)} in half of the draws, "
        f"by {when(sure.end_p90_min)} in nine of ten.",
        *(
            f"A spare {s.minutes} min {s.what}: {s.day_points:+.1f} points for the whole day, "
            f"{s.work_min:+.1f} minutes of work on average."
            for s in sure.spare
        ),
        *(f"Of the days that fail, {percent:.0f} % by: {what}." for what, percent in sure.breaks[:6]),
        f"{sure.draws} draws, seed {sure.seed}. {sure.spread.sentence}",
    ):
        sheet.words(line, Look(size=9))
    sheet.end()


def _assumed(printed: PrintedBook, spread: Spread | None) -> None:
    rates = EXAMPLE_COSTS
    currency = rates.pay.currency

    def money(amount: Decimal) -> str:
        return f"{amount:,.2f} {currency}"

    invented = "common practice; the length: invented example"
    rows: list[tuple[str, str, str]] = [
        ("Least paid day of everybody in the job", f"{rates.least_paid_min} min", invented),
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
    if spread is not None:
        rows.append(("How days go otherwise", spread.sentence, spread.source))
    table: Table[tuple[str, str, str]] = Table(
        (
            Column("What", 90, lambda r: r[0], _WORD),
            Column("Value", 60, lambda r: r[1], _WRAPPED),
            Column("Source", 130, lambda r: r[2], _WRAPPED),
        )
    )
    sheet = printed.sheet(ASSUMED, table.widths, landscape=True)
    sheet.heads(table)
    sheet.rows(table, rows)
    sheet.end()
