"""Named least teams: sets of crew minima that a job may start from, each with its source.

Whatever the team, the rows that the regulation asks for deeper than 100 fsw, outside the no-stop limits and
in enclosed spaces stay in it.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.job.crew_rules import CrewRules
from planner.job.duties import (
    CHAMBER_OPERATOR,
    DEFAULT_MINIMA,
    ENTRY_DIVER,
    LOG_KEEPER,
    STANDBY,
    STANDBY_TENDER,
    SUPERVISOR,
    TENDER,
    CrewMinimum,
)

OSHA_410C = "29 CFR 1910.410(c); one a station: common practice"
OSHA_425C1 = "continuously tended: 29 CFR 1910.425(c)(1)"
OSHA_425C4 = "deeper than 100 fsw or outside the no-stop limits: 29 CFR 1910.425(c)(4)"
THREE_SOURCE = (
    "person in charge, diver, tender: OSHA CPL 02-00-151; to 100 fsw, without stops, no special hazard"
)
FIVE_SOURCE = "supervisor, diver, standby diver and a tender for each: HSE L104 (2014)"
SIX_SOURCE = (
    "a sixth person deeper than 100 fsw, when decompressing or penetrating: USACE EM 385-1-1 (from memory); "
    "that the sixth keeps the log: common practice"
)

_SUPERVISOR = CrewMinimum(duty=SUPERVISOR, count=1, source=OSHA_410C)
_ONE_TENDER = CrewMinimum(duty=TENDER, count=1, per_diver=True, source=OSHA_425C1)
_LAW_ROWS = tuple(row for row in DEFAULT_MINIMA if row.duty in (CHAMBER_OPERATOR, ENTRY_DIVER))
_FIVE = (
    _SUPERVISOR,
    _ONE_TENDER,
    CrewMinimum(duty=STANDBY, count=1, source=FIVE_SOURCE),
    CrewMinimum(duty=STANDBY_TENDER, count=1, source=FIVE_SOURCE),
)


@dataclass(frozen=True)
class Preset:
    """A named least team."""

    name: str
    """``three``, ``five``, ``five and a console`` or ``six``."""
    sentence: str
    """Who is in it, for one diver in the water."""
    source: str
    """Where it comes from."""
    minima: tuple[CrewMinimum, ...]
    """The crew rows it stands for."""

    def on(self, rules: CrewRules) -> CrewRules:
        """The same rules with this team's rows and name."""
        return rules.replace(minima=self.minima, preset=self.name)


_PRESETS: tuple[Preset, ...] = (
    Preset(
        "three",
        "Supervisor, diver and tender; the standby diver comes in only where the law asks for one.",
        THREE_SOURCE,
        (
            _SUPERVISOR,
            _ONE_TENDER,
            CrewMinimum(duty=STANDBY, count=1, deeper_than_fsw=100, source=OSHA_425C4),
            CrewMinimum(duty=STANDBY, count=1, decompression=True, source=OSHA_425C4),
            *_LAW_ROWS,
        ),
    ),
    Preset(
        "five",
        "Supervisor, diver, standby diver and a tender for each of the two.",
        FIVE_SOURCE,
        (*_FIVE, *_LAW_ROWS),
    ),
    Preset(
        "five and a console",
        "The five with an air console, its log keeper (who may be the same person), and a second tender "
        "for a diver in heavy dress.",
        f"{FIVE_SOURCE}; console, log keeper and second tender: common practice",
        DEFAULT_MINIMA,
    ),
    Preset(
        "six",
        "The five, and a sixth who keeps the log, deeper than 100 fsw, outside the no-stop limits or in an "
        "enclosed space.",
        SIX_SOURCE,
        (
            *_FIVE,
            CrewMinimum(duty=LOG_KEEPER, count=1, deeper_than_fsw=100, source=SIX_SOURCE),
            CrewMinimum(duty=LOG_KEEPER, count=1, decompression=True, source=SIX_SOURCE),
            CrewMinimum(duty=LOG_KEEPER, count=1, enclosed_space=True, source=SIX_SOURCE),
            *_LAW_ROWS,
        ),
    ),
)

PRESETS: dict[str, Preset] = {preset.name: preset for preset in _PRESETS}
DEFAULT_PRESET = "five and a console"
