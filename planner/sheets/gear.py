"""The sheet *Gear*: every outfit with its stamped numbers and state, and who wears it when."""

from __future__ import annotations

from planner.gear.outfits import OutfitDay, outfit_days
from planner.job import Job
from planner.sheets.bill import Bill
from planner.sheets.layout import Column, Table
from planner.words.measures import own_length_words, span_words
from planner.workbook.style import VALUE, Look

_TEXT = Look(size=9, edges="b", shrink=True)
_WRAPPED = Look(size=9, edges="b", wrap=True)
_NUMBER = VALUE.but(shrink=True)


def write_gear(bill: Bill) -> None:
    """Add the sheet *Gear* to the book."""

    def mixed(day: OutfitDay) -> dict[str, object]:
        return {"bold": not day.outfit.numbers_agree}

    def unready(day: OutfitDay) -> dict[str, object]:
        return {"bold": day.not_ready is not None}

    table: Table[OutfitDay] = Table(
        (
            Column("Outfit", 20, lambda d: d.outfit.name, _TEXT.but(bold=True, size=10)),
            Column("Kind", 22, lambda d: d.outfit.kind.value, _TEXT),
            Column("Helmet", 15, lambda d: d.outfit.helmet_no or "–", _NUMBER),
            Column("Breastplate", 21, lambda d: d.outfit.breastplate_no or "–", _NUMBER),
            Column("Straps", 15, lambda d: d.outfit.straps_no or "–", _NUMBER),
            Column("Numbers agree", 16, lambda d: "yes" if d.outfit.numbers_agree else "NO", VALUE, mixed),
            Column("Size", 11, lambda d: d.outfit.size or "–", _NUMBER),
            Column("State", 40, lambda d: d.not_ready or "ready", _WRAPPED, unready),
            Column("Inspection due", 23, lambda d: str(d.outfit.inspection_due or "no date")),
            Column("Hose tested", 23, lambda d: str(d.outfit.hose_tested_on or "no date")),
            Column("Hose", 13, lambda d: hose_length(d, bill.job), _NUMBER),
            Column("Worn, and by whom", 110, lambda d: worn_words(d, bill.job), _WRAPPED.but(indent=1)),
        ),
        heads_points=23,
        points=16,
    )
    sheet = bill.printed.listed("Gear", table, outfit_days(bill.job, bill.plan), frozen="B")
    sheet.words("An outfit that is worn in the water is not worn again before its turnaround is over.")
    sheet.end()


def hose_length(day: OutfitDay, job: Job) -> str:
    """Length of an outfit's hose; a dash where it is not given."""
    if not day.outfit.umbilical_length_ft:
        return "–"
    return own_length_words(day.outfit, job.site.units, "umbilical_length_ft")


def worn_words(day: OutfitDay, job: Job) -> str:
    """Who wears an outfit when, a line each: ``07:00–09:07 Ana Reyes, dive N1; free again 09:22``."""
    lines = []
    for use in day.uses:
        words = f"{span_words(job, use.start_min, use.end_min)} {use.person}, "
        words += f"standby for {use.dive}" if use.standby else f"{use.dive}"
        if use.free_min > use.end_min:
            words += f"; free again {job.clock.hhmm(use.free_min)}"
        lines.append(words)
    return "\n".join(lines) or "not worn"
