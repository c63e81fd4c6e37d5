"""The corners round a board piece: how high it is over a width, and how near its ends a nail may go."""

from __future__ import annotations

import bisect
import itertools
import math
from dataclasses import dataclass

import shapely

from cladmodel.settingout.outline import Point

# Ends that follow a post out of plumb are aslant over one board: by less than this as a rule, 0.5 % of a 170
# board being 0.9; a scene allows 2 % of a 400 board, which is 8. [mm]
ASLANT = 2.0
# A nail keeps this far off a board's cut edge. [mm] common practice, no source
OFF_EDGE = 8.0
STEEP = 5.0  # slope from which an edge is a board's end, not a rake cut: 79 deg [-]
UPRIGHT = 1e-9  # an edge that rises less is level: no end of a board [mm]

Ring = list[Point]
Edge = tuple[Point, Point]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Strips:
    """A ring cut into upright strips at its corners, so that its height anywhere is soon found.

    Attributes
    ----------
    starts : list of float
        Left of each strip, rising; the last is the ring's right end. [mm]
    edges : list of (low, low rise, high, high rise) or None
        Bottom and top of each strip at its left, and how much they rise for one step to the right;
        None where the ring lies in the strip twice or not at all. [mm, -]
    """

    starts: list[float]
    edges: list[tuple[float, float, float, float] | None]

    @staticmethod
    def of(ring: Ring) -> Strips:
        """Cut a ring into strips.

        Parameters
        ----------
        ring : Ring
        """
        starts = sorted({s for s, _ in ring})
        waiting = sorted(
            (min(a[0], b[0]), max(a[0], b[0]), (a, b)) for a, b in itertools.pairwise(ring) if a[0] != b[0]
        )[::-1]
        strips: list[tuple[float, float, float, float] | None] = []
        crossing: list[tuple[float, Edge]] = []
        for start, end in itertools.pairwise(starts):
            crossing = [one for one in crossing if one[0] > start]
            while waiting and waiting[-1][0] <= start:
                crossing.append(waiting.pop()[1:])
            strips.append(None if len(crossing) != 2 else _between(start, end, *(e for _, e in crossing)))
        return Strips(starts=starts, edges=strips)

    def height_over(self, left: float, right: float) -> tuple[float, float] | None:
        """Lowest and highest y that the ring keeps over a whole width.

        Parameters
        ----------
        left, right : float
            [mm]

        Returns
        -------
        (low, high) or None
            None where it does not reach over that width in one strip. [mm]
        """
        if right - left <= 2 * ASLANT:
            return None
        first, last = bisect.bisect(self.starts, left + ASLANT), bisect.bisect(self.starts, right - ASLANT)
        places = [(first, left + ASLANT), (last, right - ASLANT)]
        if first != last:  # within one strip the edges are straight, and its ends say all
            middle = (left + right) / 2
            places.append((bisect.bisect(self.starts, middle), middle))
        bottom, top = -math.inf, math.inf
        for after, s in places:
            strip = self.edges[after - 1] if 0 < after <= len(self.edges) else None
            if strip is None:
                return None
            off = s - self.starts[after - 1]
            bottom, top = max(bottom, strip[0] + off * strip[1]), min(top, strip[2] + off * strip[3])
        return (bottom, top) if bottom < top else None


def _between(start: float, end: float, one: Edge, other: Edge) -> tuple[float, float, float, float]:
    """Height of a strip's bottom and top edge at its left, each with its rise."""
    lines = []
    for (s0, y0), (s1, y1) in (one, other):
        rise = (y1 - y0) / (s1 - s0)
        lines.append((y0 + (start - s0) * rise, rise))
    # Edges may meet at a side of the strip but never cross in it.
    (low, low_rise), (high, high_rise) = sorted(lines, key=lambda line: line[0] + (end - start) / 2 * line[1])
    return low, low_rise, high, high_rise


def ring_of(polygon: shapely.Polygon) -> Ring:
    """Corners of a polygon's outer ring, counter-clockwise, the first again at the end.

    Parameters
    ----------
    polygon : shapely.Polygon
    """
    ring = [(float(s), float(y)) for s, y in shapely.get_coordinates(polygon.exterior)]
    area = sum(s0 * y1 - s1 * y0 for (s0, y0), (s1, y1) in itertools.pairwise(ring))
    return ring if area > 0 else ring[::-1]


def ends_near(ring: Ring, s: float, up_back: float, end: float) -> tuple[float, float]:
    """How far left and right of a place a nail may go and keep off the ends on both sides.

    Parameters
    ----------
    ring : Ring
        Counter-clockwise.
    s, up_back : float
        The place. [mm]
    end : float
        Distance kept along the board to an end that may slant. [mm]

    Returns
    -------
    left, right : float
        [mm]
    """
    left, right = -math.inf, math.inf
    for (s0, y0), (s1, y1) in itertools.pairwise(ring):
        rise = y1 - y0
        if abs(rise) < UPRIGHT or not min(y0, y1) - end < up_back < max(y0, y1) + end:
            continue
        level = min(max(up_back, min(y0, y1)), max(y0, y1))
        at = s0 + (s1 - s0) * (level - y0) / rise
        past, rakes = level != up_back, STEEP * abs(s1 - s0) > abs(rise)
        if past and rakes and abs(up_back - level) >= OFF_EDGE:
            continue  # a rake that ends well above the nail, or a slope well below it
        # A nail is driven level through a board that leans: beside an aslant end it meets it a little nearer.
        off = -math.inf if past and rakes else end + (ASLANT if not past and abs(s1 - s0) > ASLANT else 0.0)
        if abs(up_back - level) < OFF_EDGE:
            # Along the board a shallow edge is far off, and squarely near; below its end it comes no nearer.
            beyond = (s1 - s0) * (up_back - level) / rise * math.copysign(1.0, rise)
            off = max(off, OFF_EDGE * math.hypot(s1 - s0, rise) / abs(rise) - beyond)
        if rise > 0 and at > s:
            right = min(right, at - off)
        elif rise < 0 and at < s:
            left = max(left, at + off)
    return left, right
