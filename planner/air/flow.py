"""Flow and pressure that a diver needs at depth.

Owns the two formulas of air supply: flow at depth turned into standard flow, and the pressure that the
manifold must hold. At altitude both stay as they are for sea level, which asks for a little more air
than is needed (the safe side).
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.job import AirPlant, DiveItem, Gear, Job, Outfit

#: Feet of sea water that weigh as much as the atmosphere.
#: Source: flow formula of the U.S. Navy Diving Manual, scfm = acfm × (D + 33)/33.
FSW_PER_ATMOSPHERE = 33.0

#: Least flow of a free-flow helmet at any depth, acfm. Source: 29 CFR 1910.430(h).
FREE_FLOW_LEAST_ACFM = 4.5

#: Pressure of the sea water, psi a foot. Source: U.S. Navy Diving Manual, air supply formulas.
PSI_PER_FSW = 0.445

#: Pressure over the bottom for a demand helmet: to this depth, fsw, this many psi.
#: Source: U.S. Navy Diving Manual (rows to 60, 130 and 190 fsw).
OVERBOTTOM_PSI: tuple[tuple[int, float], ...] = ((60, 90.0), (130, 135.0), (190, 165.0))

#: Pressure over the bottom for a light helmet that flows freely, psi: the top of the 50 to 100 psi that
#: is common practice.
FREE_FLOW_OVERBOTTOM_PSI = 100.0

#: Manifold pressure of a heavy free-flow set: up to this much hose, ft, psi a foot of depth.
#: Source: U.S. Army TM 5-4220-225-14: 0.50 D + 42 with 300 ft of hose, 0.62 D + 42 with 600 ft.
HEAVY_SLOPE_PSI: tuple[tuple[int, float], ...] = ((300, 0.50), (600, 0.62))
HEAVY_OFFSET_PSI = 42.0

FLOW_SOURCE = "flow formula of the U.S. Navy Diving Manual"
DEMAND_SOURCE = "1.4 acfm for a demand helmet: U.S. Navy Diving Manual"
FREE_FLOW_SOURCE = "4.5 acfm at least for a free-flow helmet: 29 CFR 1910.430(h); 6 for hard work"
DEMAND_PRESSURE_SOURCE = "0.445 D + overbottom pressure: U.S. Navy Diving Manual"
HEAVY_PRESSURE_SOURCE = (
    "0.50 D + 42 psi with 300 ft of hose, 0.62 D + 42 with 600: U.S. Army TM 5-4220-225-14"
)
FREE_FLOW_PRESSURE_SOURCE = "0.445 D + 100 psi for a free-flow light helmet: common practice, 50 to 100"


@dataclass(frozen=True)
class Need:
    """A number with where it comes from.

    Parameters
    ----------
    value
        In the unit that the function's name gives.
    source
        The formula or rule behind it.
    """

    value: float
    source: str


def scfm_at(acfm: float, depth_fsw: float) -> float:
    """Standard flow for a flow at depth: ``acfm × (D + 33)/33``.

    Raises
    ------
    ValueError
        For a negative flow or depth.
    """
    if acfm < 0 or depth_fsw < 0:
        raise ValueError(f"flow {acfm} acfm and depth {depth_fsw} fsw may not be negative")
    return acfm * (depth_fsw + FSW_PER_ATMOSPHERE) / FSW_PER_ATMOSPHERE


def acfm_of(plant: AirPlant, gear: Gear) -> Need:
    """Flow at depth planned for one diver in this kind of gear, acfm.

    A free-flow helmet is never planned under 4.5 acfm, whatever the plant's own value says.
    """
    if gear is Gear.HEAVY:
        return Need(max(plant.heavy_acfm, FREE_FLOW_LEAST_ACFM), FREE_FLOW_SOURCE)
    if plant.light_free_flow:
        return Need(max(plant.light_acfm, FREE_FLOW_LEAST_ACFM), FREE_FLOW_SOURCE)
    return Need(plant.light_acfm, DEMAND_SOURCE)


def diver_scfm(plant: AirPlant, gear: Gear, depth_fsw: float) -> float:
    """Standard flow for one diver in this kind of gear at this depth, scfm."""
    return scfm_at(acfm_of(plant, gear).value, depth_fsw)


def demand_manifold_psi(depth_fsw: float) -> float:
    """Manifold pressure of a demand helmet, psi gauge.

    Past 190 fsw, where the source has no row, the last row's 165 psi over the bottom is used.
    """
    over = next((psi for limit, psi in OVERBOTTOM_PSI if depth_fsw <= limit), OVERBOTTOM_PSI[-1][1])
    return PSI_PER_FSW * depth_fsw + over


def heavy_manifold_psi(depth_fsw: float, hose_ft: int = 0) -> float:
    """Manifold pressure of a heavy free-flow set, psi gauge.

    Parameters
    ----------
    depth_fsw
        Depth of the dive.
    hose_ft
        Length of the hose; between the two lengths of the source the longer one counts, and so it does
        when the length is not known (0). Past 600 ft the source's slope for 600 ft goes on growing by
        its own 0.12 psi a foot of depth for each further 300 ft: an extension of ours, not published.
    """
    (short_ft, short_slope), (long_ft, long_slope) = HEAVY_SLOPE_PSI
    if 0 < hose_ft <= short_ft:
        slope = short_slope
    elif hose_ft <= long_ft:
        slope = long_slope
    else:
        slope = long_slope + (long_slope - short_slope) * (hose_ft - long_ft) / (long_ft - short_ft)
    return slope * depth_fsw + HEAVY_OFFSET_PSI


def manifold_psi(plant: AirPlant, gear: Gear, depth_fsw: float, hose_ft: int = 0) -> Need:
    """Pressure that the manifold must hold for one diver, psi gauge, with its source."""
    if gear is Gear.HEAVY:
        return Need(heavy_manifold_psi(depth_fsw, hose_ft), HEAVY_PRESSURE_SOURCE)
    if plant.light_free_flow:
        return Need(PSI_PER_FSW * depth_fsw + FREE_FLOW_OVERBOTTOM_PSI, FREE_FLOW_PRESSURE_SOURCE)
    return Need(demand_manifold_psi(depth_fsw), DEMAND_PRESSURE_SOURCE)


def longest_hose_ft(outfits: tuple[Outfit, ...], gear: Gear) -> int:
    """Longest hose among the outfits of a kind; 0 (not known) as soon as one has no length given."""
    lengths = [o.umbilical_length_ft for o in outfits if o.kind is gear]
    return 0 if not lengths or 0 in lengths else max(lengths)


def item_manifold_psi(job: Job, item: DiveItem) -> float:
    """Manifold pressure that the item needs whichever outfit of its gear kind is worn, psi gauge."""
    hose = longest_hose_ft(job.outfits, item.gear)
    needs = [manifold_psi(job.air, item.gear, item.depth_fsw, hose).value]
    known = [o.umbilical_length_ft for o in job.outfits if o.kind is item.gear]
    needs += [manifold_psi(job.air, item.gear, item.depth_fsw, length).value for length in known]
    return max(needs)
