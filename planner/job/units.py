"""Conversions at the edge, rounded to the safe side. Inside the program: fsw, psi gauge, scf, scfm, minutes.

Sources: 1 ft = 0.3048 m and 1 psi = 6.894757 kPa exactly by definition (NIST SP 811, appendix B);
1 cu ft = 28.316847 litres (same). A depth typed in metres is taken as a length in feet, which is never
shallower than the pressure unit fsw, then rounded up.
"""

from __future__ import annotations

import math

METRES_PER_FOOT = 0.3048
KPA_PER_PSI = 6.894757
LITRES_PER_CUBIC_FOOT = 28.316847


def fsw_from_metres(depth_m: float) -> int:
    """Depth in whole fsw, rounded up (a deeper entry is the safe one)."""
    return math.ceil(depth_m / METRES_PER_FOOT - 1e-9)


def metres_from_fsw(depth_fsw: float) -> float:
    """Depth in metres to 0.1 m, rounded up, for showing a depth that was reached or is planned."""
    return math.ceil(depth_fsw * METRES_PER_FOOT * 10 - 1e-9) / 10


def bar_from_psi(pressure_psi: float) -> float:
    """Gauge pressure in bar, rounded down to 0.1."""
    return math.floor(pressure_psi * KPA_PER_PSI / 100 * 10 + 1e-9) / 10


def litres_from_cubic_feet(volume_cuft: float) -> float:
    """Volume in litres to 0.1."""
    return round(volume_cuft * LITRES_PER_CUBIC_FOOT, 1)
