r"""How feather-edge boards lean: the board's closed form, and a wall hung course by course.

In a wall's own section *out* is measured from the batten face and *up* is vertical::

        batten face
        |\\
        | \\ <- top back arris at (out = standoff)
        |  \\        back face leans in by the tilt
        |   \\__
        |    | /    front face
        |    |/
        |    B      bottom back arris at (out = kick-out, up = butt line),
        |           touching the face of the board below or the starter

All lengths are millimetres, all angles radians.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scipy.optimize import brentq

from cladmodel.errors import SettingOutError

# brentq's own floor for float64; a tilt is found as exactly as it can be stored. [rad]
ROOT = 4e-16
SETTLED = 1e-15  # a width that changes by no more than this share has settled [-]
MOST_STEPS = 200

LEAST_PACKER = 8.0  # no room for a lower one [mm] common practice, no source
OFF = 1.0  # a packer stands this clear of the board below [mm] common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """Section of a feather-edge board.

    Attributes
    ----------
    width : float
        Along the back face. [mm]
    butt, thin_edge : float
        t1 and t2. [mm]
    """

    width: float
    butt: float
    thin_edge: float

    @property
    def taper(self) -> float:
        """K = (t1 - t2) / w. [-]"""
        return (self.butt - self.thin_edge) / self.width

    def thickness(self, up_back: float) -> float:
        """Thickness at a height up the back face: t1 - k y. [mm]"""
        return self.butt - self.taper * up_back


@dataclass(frozen=True, slots=True, kw_only=True)
class Hung:
    """One course in place.

    Attributes
    ----------
    butt_line : float
        Height of the bottom back arris. [mm]
    kick_out : float
        How far that arris stands off the batten face. [mm]
    tilt : float
        Lean of the back face from upright. [rad]
    width : float
        Along the back; less than the board's own when ripped. [mm]
    standoff : float
        How far the top back arris stands off the batten face: 0 or its packer. [mm]
    """

    butt_line: float
    kick_out: float
    tilt: float
    width: float
    standoff: float

    @property
    def back_top(self) -> float:
        """Height of the top back arris. [mm]"""
        return self.butt_line + self.width * math.cos(self.tilt)

    def up(self, up_back: float) -> float:
        """Distance up the back face turned into height in the wall. [mm]"""
        return self.butt_line + up_back * math.cos(self.tilt)

    def back_out(self, up: float) -> float:
        """How far the back face stands off the batten face at a height. [mm]"""
        return self.kick_out - (up - self.butt_line) * math.tan(self.tilt)

    def face_out(self, profile: Profile, up: float) -> float:
        """How far the front face stands off the batten face at a height. [mm]

        Notes
        -----
        Front points are B + y u + t(y) n with u = (-sin, cos), n = (cos, sin); solving
        y cos + t(y) sin = up - butt_line for y gives the place.
        """
        sin, cos = math.sin(self.tilt), math.cos(self.tilt)
        y = (up - self.butt_line - profile.butt * sin) / (cos - profile.taper * sin)
        return self.kick_out - y * sin + profile.thickness(y) * cos

    def edge_up(self, profile: Profile) -> float:
        """Height of the top front arris, which stands a little over the back one. [mm]"""
        return self.back_top + profile.thickness(self.width) * math.sin(self.tilt)

    def up_back(self, up: float) -> float:
        """Height in the wall turned into distance up the back face. [mm]"""
        return (up - self.butt_line) / math.cos(self.tilt)


def steady_tilt(profile: Profile, gauge: float) -> float:
    """Tilt of endless equal courses.

    Parameters
    ----------
    profile : Profile
    gauge : float
        [mm]

    Returns
    -------
    float
        theta = asin(t1 / (g sqrt(1 + k^2))) - atan k. [rad]

    Raises
    ------
    SettingOutError
        If the gauge is too small for the boards to lean on each other.

    Notes
    -----
    Own derivation from two contacts: the top back arris on the batten and the bottom back arris on
    the face of the board below; checked against a root finder and by hanging 60 boards.
    """
    k = profile.taper
    ratio = profile.butt / (gauge * math.sqrt(1 + k * k)) if gauge > 0 else math.inf
    if ratio >= 1:
        raise SettingOutError(
            f"gauge {gauge:g} mm is less than the butt's {profile.butt:g} mm: boards cannot lean; "
            "use a larger gauge or a thinner board"
        )
    return math.asin(ratio) - math.atan(k)


def starter_thickness(profile: Profile, tilt: float, height: float) -> float:
    """Thickness of a square-topped starter that gives course 1 a wanted tilt.

    Parameters
    ----------
    profile : Profile
    tilt : float
        [rad]
    height : float
        Of the starter's top above the butt line. [mm]

    Returns
    -------
    float
        (w cos(theta) - h) tan(theta). [mm]
    """
    return (profile.width * math.cos(tilt) - height) * math.tan(tilt)


def packer_thickness(kick_out: float, ripped: float, width: float) -> float:
    """Thickness of the packer behind a ripped board's top edge.

    Parameters
    ----------
    kick_out, ripped, width : float
        Kick-out, ripped width and full width of the board. [mm]

    Returns
    -------
    float
        kick-out x (1 - w_rip / w): the ripped board then leans like a whole one. [mm]
    """
    return kick_out * (1 - ripped / width)


def _first_tilt(width: float, thickness: float, height: float) -> float:
    """Tilt of a board propped by a starter: w sin(theta) - h tan(theta) = T. [rad]"""
    if thickness <= 0:
        return 0.0
    # Where w sin - h tan is greatest; a starter as high as the board props nothing.
    steepest = math.acos(min(height / width, 1.0) ** (1 / 3))

    def short(tilt: float) -> float:
        return width * math.sin(tilt) - height * math.tan(tilt) - thickness

    if height >= width or short(steepest) < 0:
        raise SettingOutError(
            f"a starter {thickness:g} thick and {height:g} high is too big for a board {width:g} wide; "
            "make it thinner or lower"
        )
    return float(brentq(short, 0.0, steepest, xtol=ROOT, rtol=ROOT * 4))


def _tilt_over(below: Hung, profile: Profile, butt_line: float, width: float, standoff: float) -> float:
    """Tilt of a course that rests on the one below, whichever of two places touches first. [rad]"""
    reach = below.face_out(profile, butt_line)
    if reach - standoff >= width:
        raise SettingOutError(
            f"the course at {butt_line:g} mm is only {width:.0f} high and would have to lie flat on the one "
            "below; use a gauge that leaves a higher top course"
        )
    if standoff - reach >= width:
        raise SettingOutError(
            f"the course at {butt_line:g} mm finds no board below to lean on: that one lies back behind the "
            "battens there; use a thinner starter or a smaller gauge"
        )
    tilt = math.asin((reach - standoff) / width)
    # The lower board's top front arris may touch the upper board's back before its butt is reached.
    corner_out = below.standoff + profile.thickness(below.width) * math.cos(below.tilt)
    corner_up = below.edge_up(profile)

    def clear(angle: float) -> float:
        top = butt_line + width * math.cos(angle)
        return standoff + (top - corner_up) * math.tan(angle) - corner_out

    if butt_line < corner_up < butt_line + width and clear(tilt) < 0:
        limit = math.acos(((corner_up - butt_line) / width) ** (1 / 3))
        if clear(limit) <= 0:
            raise SettingOutError(
                f"the board at {butt_line:g} mm cannot clear the top edge of the one below; "
                "use a larger gauge, a thicker starter or boards with more taper"
            )
        tilt = float(brentq(clear, tilt, limit, xtol=ROOT, rtol=ROOT * 4))
    return tilt


def hang(
    profile: Profile,
    lines: Sequence[float],
    *,
    starter_height: float,
    starter_thickness: float,
    top: float,
    packed: bool,
) -> tuple[Hung, ...]:
    """Hang a wall course by course from the foot.

    Parameters
    ----------
    profile : Profile
    lines : sequence of float
        Butt lines, one a course, rising. [mm]
    starter_height, starter_thickness : float
        Of the square-topped strip that props course 1, above its butt line. [mm]
    top : float
        Where the back of the top course is ripped to. [mm]
    packed : bool
        Whether a packer stands behind a ripped course's top edge.

    Returns
    -------
    tuple of Hung
        One a course; none for a line so near the top that the board below reaches it and no packer
        would stand over that.

    Raises
    ------
    SettingOutError
        If no board can be hung so.
    """
    hung: list[Hung] = []
    for line in lines:
        if top <= line:
            raise SettingOutError(f"the course at {line:g} mm has no height left below {top:g} mm")
        if hung and hung[-1].edge_up(profile) > top - LEAST_PACKER - OFF:
            break
        below = hung[-1] if hung else None

        def whole_tilt(below: Hung | None = below, line: float = line) -> float:
            if below is None:
                return _first_tilt(profile.width, starter_thickness, starter_height)
            return _tilt_over(below, profile, line, profile.width, 0.0)

        tilt = whole_tilt()
        kick = profile.width * math.sin(tilt)
        width, standoff = profile.width, 0.0
        ripped = (top - line) / math.cos(tilt)
        if ripped < profile.width:
            if packed:
                width, standoff = ripped, packer_thickness(kick, ripped, profile.width)
            else:
                if below is not None and top < below.back_top + profile.butt * math.sin(below.tilt):
                    raise SettingOutError(
                        f"the top course is ripped to {top - line:.0f} mm, below the top of the course under "
                        "it; set fillet.packer = true or change the gauge"
                    )
                tilt, width = _tilt_of_ripped(profile, below, line, top, starter_height, starter_thickness)
                kick = width * math.sin(tilt)
        hung.append(Hung(butt_line=line, kick_out=kick, tilt=tilt, width=width, standoff=standoff))
    return tuple(hung)


def _tilt_of_ripped(
    profile: Profile, below: Hung | None, line: float, top: float, height: float, thickness: float
) -> tuple[float, float]:
    """Tilt and width of an unpacked ripped board whose back ends at a given height. [rad, mm]

    The width depends on the tilt and the tilt on the width: a fixed point, reached in a few steps
    because cos(theta) hardly changes.
    """
    width = again = top - line
    tilt = 0.0
    for _ in range(MOST_STEPS):
        if below is None:
            tilt = _first_tilt(width, thickness, height)
        else:
            tilt = _tilt_over(below, profile, line, width, 0.0)
        again = (top - line) / math.cos(tilt)
        if abs(again - width) <= SETTLED * width:
            break
        width = again
    return tilt, again
