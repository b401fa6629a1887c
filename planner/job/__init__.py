"""What a job is: people, work, gear, air plant, water, rules. No solver and no screen in here."""

from planner.job.air_plant import AirPlant, AirRole, Bank, Compressor, VolumeTank
from planner.job.base import Clock, Span
from planner.job.crew_rules import CrewRules, StandbyWayUp
from planner.job.duties import CrewMinimum, DutyCertificate, DutyPair
from planner.job.gear import BenchHand, BenchList, BenchStep, Gear, Outfit, OutfitState
from planner.job.job import Job
from planner.job.people import Certificate, PastDive, Person, WorkSpell
from planner.job.pins import Pin, PinKind
from planner.job.site import Policy, Site, Station, TideMark, Water, WaterWindow
from planner.job.units import UnitSystem
from planner.job.work import After, CrewNeed, DiveItem, Gate, Item, SurfaceItem
