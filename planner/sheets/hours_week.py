"""A person's week in the hours workbook: times, shifts, pay, lines to sign. All its sums are live.

Each row of the times is typed as start and end by the clock on the wall; where the clocks change a row ends
and another begins, so that end less start is always the time that passed. Everything else on the sheet is
worked out from those rows, from the figures of the dives, and from the sheet of the pay rules.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from itertools import chain, repeat

from openpyxl.utils import get_column_letter
from openpyxl.utils.datetime import WINDOWS_EPOCH
from openpyxl.worksheet.datavalidation import DataValidation

from planner.check.rest import ShortRest
from planner.files import Reckoned
from planner.hours.pay_rules import (
    SHEET,
    DepthBand,
    HourPremium,
    OvertimeKind,
    OvertimeStep,
    PayRules,
    PremiumKind,
)
from planner.hours.shifts import BREAK, Shift, ShiftPart, night_min, walls, weekend_min
from planner.hours.timesheets import Timesheets
from planner.hours.weeks import LineKind, PayLine, PersonWeek, is_seventh
from planner.hours.worked import in_metres
from planner.job.base import MINUTES_A_DAY, Clock
from planner.job.duties import PaidAs
from planner.job.units import METRES_PER_FOOT
from planner.sheets.hours_rules import RuleCells
from planner.sheets.layout import Cell, CellValue, Column, Formula, PrintedBook, Table
from planner.workbook.letters import CELL_EDGES_MM, POINTS_PER_MM, lines_needed, text_width_mm
from planner.workbook.style import MIST, SMALL, SOFT, Look

NUMBER = Look(across="right", edges="b", number_format="#,##0;-#,##0;–", size=8.5)
MONEY = Look(across="right", edges="b", number_format="#,##0.00", size=8.5)
IN_METRES = NUMBER.but(number_format="0.0#;-0.0#;–")
WORD = Look(edges="b", size=8.5, shrink=True)
DATE = Look(edges="b", size=8.5, number_format="ddd d mmm yyyy", shrink=True)
_TYPED = Look(edges="b", size=8.5, across="center", number_format="ddd hh:mm", shrink=True, fill=MIST)
_TOLD = _TYPED.but(fill=None)
_SOURCE = Look(size=6.5, ink=SOFT, wrap=True, edges="b")
_TITLE = Look(size=10, bold=True)

NO_BREACH = "No rest rule is broken in the hours given here."
_LIVE = (
    "Live: type over a grey cell, and every sum here and on the Summary follows. A gap above 0 is not paid, "
    "below 0 paid twice. Rest is judged when the workbook is made and does not follow."
)


@dataclass(frozen=True)
class WeekCells:
    """Where the sums of a week stand, as references that other sheets use."""

    week: PersonWeek
    sheet: str
    cells: dict[str, str]
    """The cell of a sum by its head."""

    def reference(self, head: str, value: Reckoned) -> Formula:
        """A formula that takes a sum of this sheet."""
        quoted = self.sheet.replace("'", "''")
        return Formula(f"='{quoted}'!{self.cells[head]}", value)


@dataclass(frozen=True)
class _Row:
    """A stretch in the list of times; ``seam_min``: by how much the clock jumps where it begins."""

    stretch: ShiftPart
    day: date
    first: bool
    seam_min: int


@dataclass(frozen=True)
class _ShiftRows:
    """A shift in the list of shifts, with the rows of its times."""

    shift: Shift
    number: int
    first: int
    last: int

    def over(self, letter: str) -> str:
        """Its cells of a column of the times."""
        return f"{letter}{self.first}:{letter}{self.last}"

    def where(self, letter: str, words: str) -> str:
        """The minutes of its rows that say those words in a column."""
        return f"SUMPRODUCT(({self.over(letter)}={words})*{self.over(_MIN)})"


#: Columns of the times, from left to right, by their place on the sheet.
_START, _END, _WHAT, _MIN, _NIGHT, _WEEKEND, _COUNTS = "B", "C", "D", "G", "H", "I", "J"


def write_week(
    printed: PrintedBook, sheets: Timesheets, week: PersonWeek, name: str, rules: RuleCells
) -> WeekCells:
    """Write the sheet of a person's week; returns where its sums stand."""
    return _Week(printed, sheets, week, name, rules).write()


#: Head of a column that is there where a job is kept in metres.
METRES = "Depth, m"
_BEFORE = ("Day", "Start", "End", "Worked, min", "Breaks, min")
_AFTER = (
    "1 on the seventh day",
    "Overtime of the shift, min",
    "Overtime of the week, min",
    "Night, min",
    "Weekend, min",
    "By the chamber, min",
    "Bottom time, min",
    "Depth, fsw",
    METRES,
    "Dives",
)
_NO_WORK = "no work"
#: Height of a row of the tables, and of one that stands closer, in points.
_ROW_POINTS, _CLOSE_POINTS = 12.0, 10.5
#: Widths in millimetres of the first columns, a date and two times, and the least of one with a figure; type
#: of the heads in points.
_FIRST_MM, _LEAST_MM, _HEAD_SIZE = (25.0, 17.0, 17.0), 11.0, 7.0
#: What the tables of times and of pay have over the columns after these: the widest of heads and figures.
_OTHER_HEADS = (
    "",
    "Quantity",
    "Unit",
    "1000.0000",
    "Night,",
    "Weekend, 10,000.00",
    "Counts base",
    "",
    "Gap,",
)
_SIGN = ("Worked so: the person, date", "Seen: the person in charge, date", "Taken up: the office, date")


def _column_mm(*heads: str) -> float:
    """The width at which no word of the heads that stand over a column is broken, and a sum has room."""
    words = (text_width_mm(word, _HEAD_SIZE, bold=True) + CELL_EDGES_MM for word in " ".join(heads).split())
    return max(_LEAST_MM, *words)


class _Week:
    """The sheet being written: times, shifts, pay, rest, lines to sign."""

    def __init__(
        self, printed: PrintedBook, sheets: Timesheets, week: PersonWeek, name: str, rules: RuleCells
    ) -> None:
        self.sheets, self.week, self.name, self.rules = sheets, week, name, rules
        self.duties = list(dict.fromkeys(duty for shift in week.shifts for duty, _ in shift.by_duty))
        class_words = f" · pay class {week.pay_class}" if week.pay_class else ""
        starts = f"Week from {week.starts:%A} {week.starts.day} {week.starts:%B %Y}{class_words}"
        self.metric = in_metres(sheets.records)
        after = [head for head in _AFTER if self.metric or head != METRES]
        heads = [*_BEFORE, *(f"{duty}, min" for duty in self.duties), *after]
        letters = [*map(get_column_letter, range(1, len(heads) + 1))]
        self.at = dict(zip(_BEFORE, letters, strict=False))
        self.at |= dict(zip(reversed(after), reversed(letters), strict=False))
        self.duty_at = dict(zip(self.duties, letters[len(_BEFORE) :], strict=False))
        self.sheet = printed.sheet(
            name,
            [
                *_FIRST_MM,
                *map(_column_mm, heads[len(_FIRST_MM) :], chain(_OTHER_HEADS, ("From",), repeat(""))),
            ],
            landscape=True,
            title=week.person,
            facts=f"{starts} · {printed.facts}",
        )
        self.lines: list[_ShiftRows] = []

    def write(self) -> WeekCells:
        """The whole sheet, from the times down to the lines to sign."""
        self._times()
        sheet = self.sheet
        began = sheet.row
        self._title("Shifts")
        self.heads_row = sheet.row
        table = self._shift_table()
        sheet.heads(table)
        first = sheet.row
        self.first, self.last, self.total = first, first + len(self.lines) - 1, first + len(self.lines)
        sheet.rows(table, self.lines)
        sheet.totals(table, first, "Week")
        self._check()
        cells = {head: f"{letter}{self.total}" for head, letter in self.at.items()}
        cells["Pay"] = self._pay()
        self._rest()
        sheet.signatures(_SIGN)
        self._close_up()
        sheet.keep_together(began, sheet.row - 1)
        sheet.end()
        return WeekCells(self.week, self.name, cells)

    def _title(self, words: str) -> None:
        self.sheet.across(words, _TITLE, 15)

    def _close_up(self) -> None:
        """Set the rows of the tables closer where that makes one page of two."""
        sheet = self.sheet
        tall = {
            row: sheet.height_mm(row, row) * POINTS_PER_MM for row in range(sheet.title_rows + 1, sheet.row)
        }
        closer = [row for row, points in tall.items() if _CLOSE_POINTS < points < _ROW_POINTS + 1]
        if 0 > sheet.room >= sum(_CLOSE_POINTS - tall[row] for row in closer):
            for row in closer:
                sheet.tall(row, _CLOSE_POINTS)

    # --- the times ------------------------------------------------------------------------------------

    def _times(self) -> None:
        rows, at = [], 0
        table = self._times_table()
        self._title("Times")
        self.sheet.heads(table)
        first = at = self.sheet.row
        for number, shift in enumerate(self.week.shifts):
            before: ShiftPart | None = None
            for stretch in shift.stretches:
                rows.append(_Row(stretch, shift.day, before is None, self._seam(before, stretch)))
                before = stretch
            self.lines.append(_ShiftRows(shift, number, at, at + len(shift.stretches) - 1))
            at = self.lines[-1].last + 1
        self.sheet.rows(table, rows)
        self.times = first, self.sheet.row - 1
        kinds = DataValidation("list", formula1=f'"{",".join((*PaidAs, _NO_WORK))}"', allow_blank=False)
        kinds.add(f"{_COUNTS}{first}:{_COUNTS}{self.times[1]}")
        self.sheet.ws.add_data_validation(kinds)
        self.sheet.words(_LIVE)

    def _seam(self, before: ShiftPart | None, stretch: ShiftPart) -> int:
        if before is None:
            return 0
        (_, ended), (begins, _) = (walls(self.sheets.clock, s) for s in (before, stretch))
        return round((begins - ended).total_seconds() / 60)

    def _times_table(self) -> Table[_Row]:
        clock, pay = self.sheets.clock, self.sheets.rules

        def live(head: str, text: str, value: Callable[[_Row], int]) -> Column[_Row]:
            return Column(head, 1, lambda r: Formula(f"=ROUND({MINUTES_A_DAY}*{text},0)", value(r)), NUMBER)

        def gap(row: _Row) -> CellValue:
            jump = f"{-row.seam_min:+d}" if row.seam_min else ""
            text = f"=ROUND({MINUTES_A_DAY}*({_START}{{row}}-{_END}{{above}}),0){jump}"
            return None if row.first else Formula(text, 0)

        def worked(minutes: Callable[[Clock, ShiftPart, PayRules], int]) -> Callable[[_Row], int]:
            return lambda r: minutes(clock, r.stretch, pay) if r.stretch.is_work else 0

        word = WORD.but(fill=MIST, indent=1)
        return Table(
            (
                Column("Shift of", 1, lambda r: midnight(r.day) if r.first else None, DATE),
                Column("Start", 1, lambda r: walls(clock, r.stretch)[0], _TYPED),
                Column("End", 1, lambda r: walls(clock, r.stretch)[1], _TYPED),
                Column("What", 3, lambda r: r.stretch.duty, word),
                live("Length, min", f"({_END}{{row}}-{_START}{{row}})", lambda r: r.stretch.minutes),
                live("Night, min", self._night_words(), worked(night_min)),
                live("Weekend, min", self._weekend_words(), worked(weekend_min)),
                Column("Counts as", 2, lambda r: r.stretch.paid_as if r.stretch.is_work else _NO_WORK, word),
                Column("Gap, min", 1, gap, NUMBER),
                Column("From", 1, lambda r: "log" if r.stretch.from_log else "plan", NUMBER),
            ),
            heads_points=22,
            head_size=_HEAD_SIZE,
            points=_ROW_POINTS,
            laid_on=1,
        )

    def _night_words(self) -> str:
        """The part of a day of a row that lies in the night: what two days hold of it, less what is past."""
        rules = self.rules
        start, end = (
            f"INT({c}{{row}})*({rules.night_high}-{rules.night_low})"
            f"+MEDIAN({rules.night_low},{rules.night_high},MOD({c}{{row}},1))"
            for c in (_START, _END)
        )
        between = f"({end}-({start}))"
        other = f"{_END}{{row}}-{_START}{{row}}-{between}"
        return f'IF({_WHAT}{{row}}="{BREAK}",0,IF({rules.night_over}=1,{other},{between}))'

    def _weekend_words(self) -> str:
        """The part of a day of a row that lies on weekend days: of the day that it begins on and the next."""
        first, second = (f"INDEX({self.rules.weekend},WEEKDAY({c}{{row}},2))" for c in (_START, _END))
        midnight_after = f"INT({_START}{{row}})+1"
        before = f"{first}*(MIN({_END}{{row}},{midnight_after})-{_START}{{row}})"
        after = f"{second}*MAX(0,{_END}{{row}}-({midnight_after}))"
        return f'IF({_WHAT}{{row}}="{BREAK}",0,{before}+{after})'

    # --- the shifts -----------------------------------------------------------------------------------

    def _shift_table(self) -> Table[_ShiftRows]:
        clock, week = self.sheets.clock, self.week

        def live(
            head: str,
            text: Callable[[_ShiftRows], str],
            value: Callable[[_ShiftRows], float],
            look: Look = NUMBER,
            total: str = "SUM",
        ) -> Column[_ShiftRows]:
            return Column(head, 15, lambda x: Formula(f"={text(x)}", value(x)), look, total=total)

        def minutes_in(duty: str) -> Column[_ShiftRows]:
            head = f"{self.duty_at[duty]}${self.heads_row}"
            same = f"LEFT({head},LEN({head})-5)"
            return live(
                f"{duty}, min", lambda x: x.where(_WHAT, same), lambda x: dict(x.shift.by_duty).get(duty, 0)
            )

        def wall_of(stretch: int, side: int) -> Callable[[_ShiftRows], float]:
            return lambda x: _serial(walls(clock, x.shift.stretches[stretch])[side])

        def day(line: _ShiftRows) -> str:
            # half a minute more: a day that begins when the shift does must not fall short by a float's error
            return f"INT({_START}{line.first}-{self.rules.day_starts}+1/2880)"

        def worked(line: _ShiftRows) -> str:
            return f"SUM({line.over(_MIN)})-{self.at['Breaks, min']}{{row}}"

        def by_chamber(line: _ShiftRows) -> float:
            return line.shift.paid_min(PaidAs.CHAMBER)

        def deepest(line: _ShiftRows) -> float:
            return line.shift.greatest_depth_m

        chamber = f'"{PaidAs.CHAMBER}"'
        typed = NUMBER.but(fill=MIST)
        return Table(
            (
                live("Day", day, lambda x: _serial(midnight(x.shift.day)), DATE, ""),
                live("Start", lambda x: f"{_START}{x.first}", wall_of(0, 0), _TOLD, ""),
                live("End", lambda x: f"{_END}{x.last}", wall_of(-1, 1), _TOLD, ""),
                live("Worked, min", worked, lambda x: x.shift.worked_min, NUMBER.but(bold=True)),
                live("Breaks, min", lambda x: x.where(_WHAT, f'"{BREAK}"'), lambda x: x.shift.break_min),
                *map(minutes_in, self.duties),
                live("1 on the seventh day", self._seventh, self._is_seventh, total="MAX"),
                live("Overtime of the shift, min", self._own, lambda x: week.shift_overtime[x.number]),
                live("Overtime of the week, min", self._weekly, lambda x: week.week_overtime[x.number]),
                live("Night, min", lambda x: f"SUM({x.over(_NIGHT)})", lambda x: x.shift.night_min),
                live("Weekend, min", lambda x: f"SUM({x.over(_WEEKEND)})", lambda x: x.shift.weekend_min),
                live("By the chamber, min", lambda x: x.where(_COUNTS, chamber), by_chamber),
                Column("Bottom time, min", 15, lambda x: x.shift.bottom_min, typed, total="SUM"),
                Column("Depth, fsw", 15, lambda x: x.shift.greatest_depth_fsw, typed, total="MAX"),
                *([live(METRES, self._metres, deepest, IN_METRES, "MAX")] if self.metric else []),
                Column("Dives", 15, lambda x: x.shift.dives, typed, total="SUM"),
            ),
            heads_points=30,
            head_size=_HEAD_SIZE,
            points=_ROW_POINTS,
        )

    def _metres(self, line: _ShiftRows) -> str:
        """The depth in metres as it was typed; rounded up to 0.1 m once another is typed in fsw."""
        fsw, shift = f"{self.at['Depth, fsw']}{{row}}", line.shift
        other = f"ROUNDUP({fsw}*{METRES_PER_FOOT}-0.000001,1)"
        return f"IF({fsw}={shift.greatest_depth_fsw},{shift.greatest_depth_m},{other})"

    def _check(self) -> None:
        """A line that is 0 for as long as every minute worked stands under a duty that has a column."""
        first, last = (self.duty_at[self.duties[n]] for n in (0, -1))
        text = f"=SUM({first}{self.total}:{last}{self.total})-{self._sum('Worked, min')}"
        words = ("Minutes by duty less worked, min (must be 0)", 4, SMALL)
        check = SMALL.but(across="right", number_format="0")
        # what is broken stands below the pay, in full
        rest = "" if self._broken() else f"Rest: {NO_BREACH}"
        cells: list[Cell] = [
            words,
            (Formula(text, 0), 1, check),
            (rest, self.sheet.columns - 5, SMALL.but(indent=2)),
        ]
        self.sheet.line(cells, 12)

    def _all(self, head: str) -> str:
        """The cells of a column of the shifts."""
        letter = self.at[head]
        return f"{letter}${self.first}:{letter}${self.last}"

    def _steps(self, kind: OvertimeKind) -> list[str]:
        """The minutes after which each overtime row of a kind begins, as cells of the pay rules."""
        return [f"ROUND(60*{self.rules.cell(step, 'from')},0)" for step in self.sheets.rules.steps(kind)]

    def _is_seventh(self, line: _ShiftRows) -> int:
        return int(is_seventh(line.shift, self.week.shifts, self.sheets.rules))

    def _seventh(self, line: _ShiftRows) -> str:
        # the heads stand right above the first row, the first of the shifts
        days = f"A${self.heads_row + 1}:A${self.heads_row + len(self.week.shifts)}"
        if not self._steps(OvertimeKind.SEVENTH_DAY):
            return "0"
        return f"IF(AND(ROUND(SUMPRODUCT(1/COUNTIF({days},{days})),0)=7,A{{row}}=MAX({days})),1,0)"

    def _own(self, line: _ShiftRows) -> str:
        """Minutes past the first step of a shift, or of the seventh day."""
        worked = f"{self.at['Worked, min']}{{row}}"
        daily, seventh = (
            f"MAX(0,{worked}-{steps[0]})" if steps else "0"
            for steps in map(self._steps, (OvertimeKind.DAILY, OvertimeKind.SEVENTH_DAY))
        )
        return f"IF({self.at['1 on the seventh day']}{{row}}=1,{seventh},{daily})"

    def _weekly(self, line: _ShiftRows) -> str:
        """Minutes of a shift by which the straight time of the week so far passes its limit."""
        steps, first = self._steps(OvertimeKind.WEEKLY), self.heads_row + 1
        if not steps:
            return "0"

        def past(row: str) -> str:
            worked, own = (
                f"SUM({letter}${first}:{letter}{row})"
                for letter in (self.at["Worked, min"], self.at["Overtime of the shift, min"])
            )
            return f"MAX(0,{worked}-{own}-{steps[0]})"

        return past("{row}") + (f"-{past('{above}')}" if line.number else "")

    # --- the pay --------------------------------------------------------------------------------------

    def _pay(self) -> str:
        """The pay lines; returns the cell of the total."""
        lines, sheet, currency = self.week.all_lines, self.sheet, self.sheets.rules.currency
        self._title("Pay")
        heads = sheet.row
        # the overtime lines come last: they pay by the rate that the others make
        first, last = heads + 1, heads + sum(line.kind is not LineKind.OVERTIME for line in lines)
        quantity, unit, rate, base = (f"{c}{first}:{c}{last}" for c in "EFGJ")
        regular = (
            f'=SUMPRODUCT(({base}="yes")*{quantity}*{rate}*(1+59*({unit}="ft")))/{self._sum("Worked, min")}'
        )

        def per_unit(line: PayLine) -> CellValue:
            if line.kind is LineKind.OVERTIME:
                return Formula(regular, float(line.per_unit))
            return self._taken(line, "amount", line.per_unit)

        def rate_format(line: PayLine) -> dict[str, object]:
            return {"number_format": "#,##0.0000"} if line.kind is LineKind.OVERTIME else {}

        def times(line: PayLine) -> CellValue:
            if line.kind is not LineKind.OVERTIME:
                return 1
            return Formula(f"={self.rules.cell(line.rule, 'amount')}-1", line.times)

        def amount(line: PayLine) -> CellValue:
            hours = "" if line.kind is LineKind.DEPTH else "/60"
            return Formula(f"=ROUND(E{{row}}*G{{row}}*H{{row}}{hours},2)", line.amount)

        def in_base(line: PayLine) -> CellValue:
            words = "yes" if line.in_overtime_base else "no"
            if isinstance(line.rule, HourPremium | DepthBand):
                return self._taken(line, "in overtime base", words)
            return words

        indented = WORD.but(indent=1)
        table: Table[PayLine] = Table(
            (
                Column("Pay line", 4, lambda p: p.label, WORD),
                Column("Quantity", 1, lambda p: Formula(f"={self._quantity(p)}", p.quantity), NUMBER),
                Column("Unit", 1, lambda p: p.unit, indented),
                Column(f"Per hour or foot, {currency}", 1, per_unit, MONEY, rate_format),
                Column("Times", 1, times, NUMBER.but(number_format="0.0#")),
                Column(f"Amount, {currency}", 1, amount, MONEY, total="SUM"),
                Column("In base", 1, in_base, indented),
                Column("Source", sheet.columns - 10, self._source, _SOURCE),
            ),
            heads_points=20,
            head_size=_HEAD_SIZE,
            points=_ROW_POINTS,
            laid_on=1,
        )
        sheet.heads(table)
        sheet.rows(table, lines)
        total = sheet.row
        sheet.totals(table, first, "Pay of the week")
        note = (
            "Each line is rounded to the cent. The regular rate is the pay of the lines in the base over all "
            "hours worked; overtime lines pay what comes on top of the straight time."
        )
        sheet.words(note)
        return f"I{total}"

    def _source(self, line: PayLine) -> str:
        """The source of a pay line; where it takes more than a line, where it stands."""
        room = self.sheet.width_mm(11, self.sheet.columns - 10)
        if lines_needed(line.source, room, _SOURCE.size) == 1:
            return line.source
        return f"{'EXAMPLE · ' if line.rule.example else ''}source: sheet {SHEET}"

    def _taken(self, line: PayLine, column: str, value: Decimal | str) -> CellValue:
        """A figure taken from the pay rules; typed where no row of theirs has it."""
        if not self.rules.has(line.rule):
            return value
        return Formula(f"={self.rules.cell(line.rule, column)}", value)

    def _sum(self, head: str) -> str:
        """The cell of the week's sum of a column of the shifts."""
        return f"{self.at[head]}${self.total}"

    def _quantity(self, line: PayLine) -> str:
        """What a pay line counts, as a formula."""
        rule = line.rule
        if isinstance(rule, OvertimeStep):
            return self._past(rule)
        if isinstance(rule, DepthBand):
            depth = self._all("Depth, fsw")
            over, to = (self.rules.cell(rule, column) for column in ("from", "to"))
            return _between(depth, over, to)
        if isinstance(rule, HourPremium):
            if rule.kind in (PremiumKind.NIGHT, PremiumKind.WEEKEND):
                return self._sum("Night, min" if rule.kind is PremiumKind.NIGHT else "Weekend, min")
            kind = PaidAs.STANDING_BY if rule.kind is PremiumKind.STANDBY else PaidAs.ENCLOSED
            first, last = self.times
            counts, what, minutes = (f"{c}{first}:{c}{last}" for c in (_COUNTS, _WHAT, _MIN))
            return f'SUMPRODUCT(({counts}="{kind}")*({what}<>"{BREAK}")*{minutes})'
        return self._sum("Worked, min")

    def _past(self, step: OvertimeStep) -> str:
        """Minutes past an overtime step and short of the next of its kind."""
        steps = self.sheets.rules.steps(step.kind)
        after = self._steps(step.kind)
        place = steps.index(step)
        begin, end = after[place], after[place + 1] if place + 1 < len(after) else ""
        if step.kind is OvertimeKind.WEEKLY:
            straight = f"{self._sum('Worked, min')}-{self._sum('Overtime of the shift, min')}"
            return f"MAX(0,{f'MIN({straight},{end})' if end else straight}-{begin})"
        wanted = int(step.kind is OvertimeKind.SEVENTH_DAY)
        return _between(
            self._all("Worked, min"), begin, end, f"({self._all('1 on the seventh day')}={wanted})*"
        )

    # --- rest and signatures --------------------------------------------------------------------------

    def _broken(self) -> list[ShortRest]:
        return [breach for person, breach in self.sheets.rest if person == self.week.person]

    def _rest(self) -> None:
        sheet, own = self.sheet, self._broken()
        if own:
            sheet.across("Rest: broken.", SMALL.but(bold=True), 12)
        for breach in own:
            rule, words = (breach.rule, 4, Look(size=8.5, bold=True)), self.sheets.rest_words(breach)
            sheet.line([rule, (words, sheet.columns - 4, Look(size=8.5))])


def _between(cells: str, begin: str, end: str, where: str = "") -> str:
    """What each of some cells has over one figure and up to another, added up."""
    least = f"(({cells}<{end})*{cells}+({cells}>={end})*{end}-{begin})" if end else f"({cells}-{begin})"
    return f"SUMPRODUCT({where}({cells}>{begin})*{least})"


def midnight(day: date) -> datetime:
    """A day as a spreadsheet keeps it."""
    return datetime(day.year, day.month, day.day)


def _serial(moment: datetime) -> float:
    """A moment as the number that a spreadsheet keeps."""
    return (moment - WINDOWS_EPOCH) / timedelta(days=1)
