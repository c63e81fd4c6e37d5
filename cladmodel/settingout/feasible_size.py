"""How large a job may be: silly sizes are refused at once instead of being worked on for minutes.

Counts are reckoned from the scene's values: from a fifth too few to half too many on the example scenes. A
hundred times the seed store keeps all of these limits.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from cladmodel.errors import Problem
from cladmodel.scene.job import Scene
from cladmodel.settingout.hanging import LEAST_SHARE
from cladmodel.settingout.plan import Side, sides_of

# No trade knows these limits: they are what a machine with little memory works through in minutes. By trial.
MOST_COURSES = 250  # on one rod
MOST_NAILS, MOST_PIECES = 30_000, 20_000  # in one wall
MOST_NAILS_IN_ALL, MOST_PIECES_IN_ALL = 300_000, 120_000
MOST_SLOTS = 1_000  # in one length of vent strip; a finer one is a mesh
LEAST_GAUGE = 5.0  # a course that shows less is no course [mm]


def size_problems(scene: Scene) -> Iterator[Problem]:
    """Problems of a scene's size.

    Parameters
    ----------
    scene : Scene
        With a sound plan.
    """
    yield from _slots(scene)
    sides = sides_of(scene)
    gauge = _gauge(scene)
    rise = max(s.outline.highest for s in sides) - min(s.outline.lowest for s in sides)
    if rise / gauge > MOST_COURSES:
        yield Problem(
            path="board.wanted_gauge" if scene.board.wanted_gauge is not None else "board.least_lap",
            value=scene.board.wanted_gauge or scene.board.least_lap,
            allowed=f"leaves a gauge of {gauge:g}: {rise / gauge:.0f} courses in {rise:g} mm; "
            f"{MOST_COURSES} is most, a gauge of {rise / MOST_COURSES:.0f}",
            remedy="Wider boards, less lap, or check the heights.",
        )
        return
    counted = [(side, *_counts(scene, side, gauge)) for side in sides]
    for side, nails, pieces in counted:
        yield from _too_large(side, nails, MOST_NAILS, "nails and screws")
        yield from _too_large(side, pieces, MOST_PIECES, "pieces")
    for total, most, what in (
        (sum(nails for _, nails, _ in counted), MOST_NAILS_IN_ALL, "nails and screws"),
        (sum(pieces for *_, pieces in counted), MOST_PIECES_IN_ALL, "pieces"),
    ):
        if total > most:
            yield Problem(
                path="building",
                value=None,
                allowed=f"about {total} {what} in all; {most} is most",
                remedy="Check the corners and heights, or make two jobs of it.",
            )


def _slots(scene: Scene) -> Iterator[Problem]:
    strip = scene.vent_strip
    slots = strip.rows * strip.stock / strip.slot_spacing
    if slots > MOST_SLOTS:
        yield Problem(
            path="vent_strip.slot_spacing",
            value=strip.slot_spacing,
            allowed=f"{slots:.0f} slots in one length of {strip.stock:g}; {MOST_SLOTS} is most, "
            f"a spacing of {strip.rows * strip.stock / MOST_SLOTS:.1f}",
            remedy="Fewer rows, longer slots further apart, or shorter lengths.",
        )


def _gauge(scene: Scene) -> float:
    """About what a course shows. [mm]"""
    rod, largest = scene.rod, scene.board.width - scene.board.least_lap
    gauge = min(largest, scene.board.wanted_gauge or largest)
    if rod.align:  # courses may be drawn together to meet a sill
        gauge = min(gauge, max(gauge - rod.most_spread, rod.least_gauge or LEAST_SHARE * largest))
    return max(gauge, LEAST_GAUGE)


def _counts(scene: Scene, side: Side, gauge: float) -> tuple[int, int]:
    """About how many nails and screws, and how many pieces, are in one wall."""
    rise = side.outline.highest - side.outline.lowest
    length = side.outline.length
    courses = math.ceil(rise / gauge)
    battens = length / scene.studs.centres + 2 * len(side.openings) + len(scene.battens.extra) + 2
    nails = battens * (courses + rise / scene.fixings.batten_spacing)
    usable = max(max(scene.board.stock) - 2 * scene.board.end_trim, scene.studs.centres)
    boards = courses * (length / usable + 1 + len(side.openings) / 2)
    panels = math.ceil(length / scene.sheathing.width) * math.ceil(rise / scene.sheathing.height)
    strips = length / scene.vent_strip.stock
    return round(nails), round(boards + panels + strips + 4 * battens + 20 * len(side.openings))


def _too_large(side: Side, count: int, most: int, what: str) -> Iterator[Problem]:
    if count > most:
        length = side.outline.length
        largest = length * most / count
        yield Problem(
            path=f"wall ({side.name})",
            value=length,
            allowed=f"about {count} {what} in this wall; {most} is most: {largest:.0f} mm long",
            remedy="Check its length and height, the gauge and the centres; or make two walls of it.",
        )
