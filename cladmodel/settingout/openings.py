r"""Lines that follow from an opening: trims, sill, flashing, and where the boards must stop.

Heights are measured from the foot, *out* from the batten face. Seen in section over the head::

        boards | |  cut at clear_top, open below by head_gap
               | |_____
        battens|_|_____  <- vent strip at clear_top
          __________
         |   flashing \\___   falls outward over the head trim
         |   |  trim  | |
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningLines:
    """One opening as set out.

    Attributes
    ----------
    name : str
    door : bool
    left, right, sill, head : float
        Structural opening. [mm]
    trim_left, trim_right : float
        Outer edges of the side trims. [mm]
    clear_left, clear_right, clear_bottom, clear_top : float
        The boards stop at these lines; a door's clear_bottom is minus infinity. [mm]
    sill_underside : float
        [mm]
    trim_top : float
        Top of the head trim at the batten face; it falls outward from there. [mm]
    flashing_top : float
        Top of the flashing's sloping leg at the membrane. [mm]
    """

    name: str
    door: bool
    left: float
    right: float
    sill: float
    head: float
    trim_left: float
    trim_right: float
    clear_left: float
    clear_right: float
    clear_bottom: float
    clear_top: float
    sill_underside: float
    trim_top: float
    flashing_top: float


def opening_lines(
    *,
    name: str,
    door: bool,
    left: float,
    width: float,
    sill: float,
    head: float,
    trim_width: float,
    head_fall: float,
    head_gap: float,
    sill_thickness: float,
    sill_gap: float,
    fitting_gap: float,
    cavity: float,
    flashing: float,
) -> OpeningLines:
    """Set out one opening.

    Parameters
    ----------
    name : str
    door : bool
    left, width, sill, head : float
        Structural opening; `sill` is the top of the sill. [mm]
    trim_width : float
        [mm]
    head_fall : float
        Fall of the head trim's top. [rad]
    head_gap, sill_gap : float
        Left open below the boards over the head, and above those under the sill. [mm]
    sill_thickness, fitting_gap : float
        [mm]
    cavity : float
        Batten thickness. [mm]
    flashing : float
        Thickness of the flashing, measured upright. [mm]

    Returns
    -------
    OpeningLines
    """
    right = left + width
    trim_top = head + trim_width
    flashing_top = trim_top + cavity * math.tan(head_fall) + flashing
    underside = sill - sill_thickness
    return OpeningLines(
        name=name,
        door=door,
        left=left,
        right=right,
        sill=0.0 if door else sill,
        head=head,
        trim_left=left - trim_width,
        trim_right=right + trim_width,
        clear_left=left - trim_width - fitting_gap,
        clear_right=right + trim_width + fitting_gap,
        clear_bottom=-math.inf if door else underside - sill_gap,
        clear_top=flashing_top + head_gap,
        sill_underside=underside,
        trim_top=trim_top,
        flashing_top=flashing_top,
    )
