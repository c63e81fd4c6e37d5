"""At the foot and over openings: perforated vent strip, starter, and packers behind cut boards."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

import numpy as np
import shapely

from cladmodel.model import Kind
from cladmodel.parts.piece import Piece, flat, upright
from cladmodel.scene.job import Scene
from cladmodel.settingout.boards import BoardPiece, height_at
from cladmodel.settingout.openings import OpeningLines
from cladmodel.settingout.tilt import Hung
from cladmodel.settingout.wall import SetOut, bearings_of
from cladmodel.solids.plates import Plate

# A strip or packer thinner than this is paint, not timber: left out. [mm] common practice, no source
THIN = 0.5
PACKER_HEIGHT = 30.0  # [mm] common practice, no source
LEAST_PACKER = 8.0  # no room for a lower one [mm] common practice, no source
SLOT_MARGIN = 4.0  # solid edge left along a perforated strip [mm] common practice, no source


def starter_pieces(scene: Scene, done: SetOut) -> list[Piece]:
    """Make vent strips, starters and packers of a wall.

    Parameters
    ----------
    scene : Scene
    done : SetOut

    Returns
    -------
    list of Piece
    """
    pieces = list(_vent_strips(scene, done))
    pieces += _starters(scene, done)
    pieces += _packers(scene, done)
    return pieces


def _vent_strips(scene: Scene, done: SetOut) -> Iterator[Piece]:
    strip, cavity = scene.vent_strip, scene.battens.thickness
    doors = [(o.left, o.right) for o in done.openings if o.door]
    # It runs through both relieved post feet, out to the return walls' own strips.
    runs = [(0.0, low, high) for low, high in _without(doors, -cavity, done.length + cavity)]
    runs += [(o.clear_top, o.left, o.right) for o in done.openings]
    number = 0
    for level, low, high in runs:
        for left, right in _lengths(low, high, strip.stock):
            number += 1
            yield Piece(
                mark=f"{done.letter}V{number}",
                kind=Kind.VENT_STRIP,
                wall=done.name,
                bodies=(
                    Plate(
                        polygon=_perforated(scene, left, right, done.length),
                        thickness=strip.thickness,
                        frame=flat(level),
                    ),
                ),
                section=f"{cavity:g} x {strip.thickness:g} perforated",
                cut_length_mm=right - left,
                material="plastic",
            )


def _without(holes: list[tuple[float, float]], low: float, high: float) -> list[tuple[float, float]]:
    spans = [(low, high)]
    for left, right in holes:
        spans = [s for a, b in spans for s in ((a, min(b, left)), (max(a, right), b))]
    return [(a, b) for a, b in spans if b - a > 1.0]


def _lengths(low: float, high: float, stock: float) -> list[tuple[float, float]]:
    cuts = [*np.arange(low, high - 1.0, stock), high]
    return [(float(a), float(b)) for a, b in itertools.pairwise(cuts)]


def _perforated(scene: Scene, left: float, right: float, length: float) -> shapely.Polygon:
    """A strip in the `flat` plane (s = -x, y = z), slotted right through between the corners."""
    strip, cavity = scene.vent_strip, scene.battens.thickness
    first, last = max(left, 0.0) + SLOT_MARGIN, min(right, length) - SLOT_MARGIN
    count = int((last - first + strip.slot_spacing - strip.slot_length) // strip.slot_spacing)
    pitch = cavity / strip.rows
    margin = (last - first - (count - 1) * strip.slot_spacing - strip.slot_length) / 2
    starts = first + margin + strip.slot_spacing * np.arange(max(count, 0))
    middles = -cavity + pitch * (np.arange(strip.rows) + 0.5)
    a, z = (grid.ravel() for grid in np.meshgrid(starts, middles, indexing="ij"))
    half = strip.slot_width / 2
    slots = [
        [
            (-s, m - half),
            (-s, m + half),
            (-s - strip.slot_length, m + half),
            (-s - strip.slot_length, m - half),
        ]
        for s, m in zip(a, z, strict=True)
    ]
    shell = [(-left, -cavity), (-left, 0.0), (-right, 0.0), (-right, -cavity)]
    return shapely.Polygon(shell, slots)


def _starters(scene: Scene, done: SetOut) -> list[Piece]:
    gap, longest = scene.board.fitting_gap, max(scene.board.stock)
    wanted: list[tuple[float, float, float, float]] = []
    if done.starter_thickness > THIN:
        doors = [(o.clear_left, o.clear_right) for o in done.openings if o.door]
        for low, high in _without(doors, gap, done.length - gap):
            pieces = math.ceil((high - low) / longest)
            cuts = np.linspace(low, high, pieces + 1)
            wanted += [
                (float(a), float(b), 0.0, done.starter_thickness)
                for a, b in itertools.pairwise(cuts)
            ]
    for opening in done.openings:
        over = restart_course(done, opening)
        if over is not None:
            thick = over.back_out(opening.clear_top + done.starter_height)
            if thick > THIN:
                wanted.append((opening.clear_left, opening.clear_right, opening.clear_top, thick))
    pieces = []
    for n, (left, right, foot, thick) in enumerate(wanted):
        pieces.append(
            Piece(
                mark=f"{done.letter}T{n + 1}",
                kind=Kind.STARTER,
                wall=done.name,
                bodies=(
                    Plate(
                        polygon=shapely.box(left, foot, right, foot + done.starter_height),
                        thickness=thick,
                        frame=upright(0.0),
                    ),
                ),
                section=f"{done.starter_height:g} x {thick:.1f}",
                cut_length_mm=right - left,
                material="batten",
            )
        )
    return pieces


def restart_course(done: SetOut, opening: OpeningLines) -> Hung | None:
    """The course whose boards, cut at the bottom, start again over an opening.

    Parameters
    ----------
    done : SetOut
    opening : OpeningLines

    Returns
    -------
    Hung or None
        None where the boards above start at a whole butt or there are none.
    """
    for n, course in enumerate(done.hung):
        top = done.lines[n + 1]
        if course.butt_line < opening.clear_top < top and opening.clear_top < course.back_top:
            return course
    return None


def _packers(scene: Scene, done: SetOut) -> list[Piece]:
    pieces: list[Piece] = []
    bearings = bearings_of(done)
    whole = done.profile.width - 1.0
    for board in done.pieces:
        if board.polygon.area > (board.ends[1] - board.ends[0]) * whole:
            continue
        course = done.hung[board.course - 1]
        for left, right, foot, head in bearings:
            box = _packer_box(done, board, course, (left, right, foot, head))
            if box is None:
                continue
            x0, y0, x1, y1, thick = box
            pieces.append(
                Piece(
                    mark=f"{done.letter}K{len(pieces) + 1:02d}",
                    kind=Kind.PACKER,
                    wall=done.name,
                    bodies=(Plate(polygon=shapely.box(x0, y0, x1, y1), thickness=thick, frame=upright(0.0)),),
                    course=board.course,
                    section=f"{y1 - y0:.0f} x {thick:.1f}",
                    cut_length_mm=x1 - x0,
                    material="batten",
                )
            )
    return pieces


def _packer_box(
    done: SetOut, board: BoardPiece, course: Hung, bearing: tuple[float, float, float, float]
) -> tuple[float, float, float, float, float] | None:
    left, right, foot, head = bearing
    left, right = max(left, board.ends[0]), min(right, board.ends[1])
    if right - left < LEAST_PACKER:
        return None
    reach = height_at(board.polygon, left, right)
    if reach is None or reach[1] > done.profile.width - 1.0:
        return None
    top = course.butt_line + reach[1] * math.cos(course.tilt)
    thick = course.back_out(top)
    index = board.course - 1
    # It may not come down on the board below, nor on a starter.
    floor = course.butt_line + reach[0] * math.cos(course.tilt)
    if index:
        below = done.hung[index - 1]
        edge = done.profile.thickness(below.width) * math.sin(below.tilt)
        floor = max(floor, below.back_top + edge + 1.0)
    if reach[0] > 0 or not index:
        floor = max(floor, course.butt_line + reach[0] * math.cos(course.tilt) + done.starter_height + 1.0)
    low = max(top - PACKER_HEIGHT, floor, foot)
    if thick < THIN or top - low < LEAST_PACKER or not (foot <= low and top <= head):
        return None
    return left, low, right, top, thick
