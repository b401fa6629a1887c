"""Duties: the built-in ones, their print letters, and who may be posted to them."""

from __future__ import annotations

DIVER = "diver"
SUPERVISOR = "supervisor"
TENDER = "tender"
STANDBY = "standby diver"
STANDBY_TENDER = "standby's tender"
CONSOLE = "air console"
LOG_KEEPER = "log keeper"
CHAMBER_OPERATOR = "chamber operator"
ENTRY_DIVER = "diver at the entry"

BUILT_IN_DUTIES: tuple[str, ...] = (
    SUPERVISOR,
    DIVER,
    ENTRY_DIVER,
    STANDBY,
    TENDER,
    STANDBY_TENDER,
    CONSOLE,
    LOG_KEEPER,
    CHAMBER_OPERATOR,
)

#: Duties of a dive station rather than of one dive. Where one diver dresses while another is in the
#: water on the same station, the holder for the dive in the water covers both until that diver has
#: reached the surface; only then may the duty change hands.
STATION_DUTIES: frozenset[str] = frozenset({SUPERVISOR, STANDBY, STANDBY_TENDER, CONSOLE, LOG_KEEPER})

#: Duties held in the water.
WATER_DUTIES: frozenset[str] = frozenset({DIVER, ENTRY_DIVER})

#: Letters printed in the watchbill's grid; custom duties get their own first letters.
DUTY_LETTERS: dict[str, str] = {
    SUPERVISOR: "SU",
    DIVER: "D",
    ENTRY_DIVER: "DE",
    STANDBY: "SB",
    TENDER: "T",
    STANDBY_TENDER: "ST",
    CONSOLE: "AC",
    LOG_KEEPER: "LK",
    CHAMBER_OPERATOR: "CH",
}


def duty_qualifies(held: frozenset[str] | set[str], duty: str) -> bool:
    """Whether a person who may hold ``held`` may be posted to ``duty``.

    A standby diver and a diver at the entry are divers; a standby's tender is a tender
    (common practice). Every other duty must be listed by name.
    """
    if duty in held:
        return True
    if duty in (STANDBY, ENTRY_DIVER):
        return DIVER in held
    if duty == STANDBY_TENDER:
        return TENDER in held
    return False
