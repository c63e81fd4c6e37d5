"""Packers: short pieces on a batten behind a board's cut top edge, or its cut foot where the foot slopes."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

import shapely

from cladmodel.model import Floats, Kind
from cladmodel.parts.piece import Piece, upright
from cladmodel.parts.starter import THIN
from cladmodel.scene.job import Scene
from cladmodel.settingout.battens import rows_of
from cladmodel.settingout.boards import LEAST_CUT, BoardPiece
from cladmodel.settingout.rod import PENCIL
from cladmodel.settingout.setout import SetOut, head_within
from cladmodel.settingout.strips import ASLANT
from cladmodel.settingout.tilt import LEAST_PACKER, OFF
from cladmodel.solids.plates import Plate

PACKER_HEIGHT = 30.0  # [mm] common practice, no source
AT_FOOT = 5.0  # a bottom this near the foot is cut by it, not by an opening [mm]

Size = tuple[float, float, float, float, float]  # left, low, right, high and thickness [mm]


def packer_pieces(scene: Scene, done: SetOut) -> list[Piece]:
    """Make the packers of a wall.

    Parameters
    ----------
    scene : Scene
    done : SetOut

    Returns
    -------
    list of Piece
    """
    pieces: list[Piece] = []
    full = done.profile.width - LEAST_CUT
    rakes = [run for run in done.outline.top_runs() if not run.level]
    slopes = [run for run in done.outline.foot_runs() if not run.level]
    row_at = rows_of(done.battens)
    at = upright(0.0)
    for board in done.pieces:
        left, right = board.ends
        if board.plain and board.edges[1] > full:
            continue
        course = done.course(board)
        board_top = course.butt_line + board.edges[1] * math.cos(course.tilt)
        for near, far, batten in row_at(board_top).over(left, right):
            low, high = max(near, left), min(far, right)
            sloping = any(run.left < high and low < run.right for run in slopes)
            inset = ASLANT if any(run.left < high and low < run.right for run in rakes) else 0.0
            for part in _parts(board, low, high):
                for span in _spans(*part):
                    reach = board.height_over(*span)
                    if reach is None:
                        continue
                    if reach[1] >= full and not (sloping and reach[0] > PENCIL):
                        break  # neither its top is cut nor, by the foot, its bottom
                    inner = (span[0] + inset, span[1] - inset)
                    head = head_within(done, batten, span)
                    sizes = _sizes(done, board, (batten.foot, head), inner, reach, sloping=sloping)
                    found = [
                        _piece(done, board, size, at, f"{done.letter}K{len(pieces) + n + 1:02d}")
                        for n, size in enumerate(sizes)
                    ]
                    if found:
                        pieces += found
                        break
    return pieces


def _parts(board: BoardPiece, low: float, high: float) -> Iterator[tuple[float, float]]:
    """A batten's width, parted where the side of a notch stands over it. [mm]"""
    sides = {a[0] for a, b in itertools.pairwise(board.ring) if abs(a[0] - b[0]) < PENCIL < abs(a[1] - b[1])}
    yield from itertools.pairwise((low, *sorted(s for s in sides if low < s < high), high))


def _spans(low: float, high: float) -> list[tuple[float, float]]:
    """Widths of a batten to try for a packer: all of it, or under a rake the half with more room. [mm]"""
    middle, quarter = (low + high) / 2, (high - low) / 4
    spans = [(low, high), (low, middle), (middle, high), (middle - quarter, middle + quarter)]
    return [(a, b) for a, b in spans if b - a >= LEAST_PACKER]


def _sizes(
    done: SetOut,
    board: BoardPiece,
    wood: tuple[float, float],
    span: tuple[float, float],
    reach: tuple[float, float],
    *,
    sloping: bool,
) -> Iterator[Size]:
    """Packers that one board needs on one batten, whose foot and head are `wood`. [mm]"""
    course = done.course(board)
    cos = math.cos(course.tilt)
    bottom, top = course.butt_line + reach[0] * cos, course.butt_line + reach[1] * cos
    floor = max(bottom, wood[0])
    index = board.course - done.first
    if reach[0] > PENCIL:
        if sloping and bottom < done.outline.foot_over(*span) + AT_FOOT:
            high = min(bottom + PACKER_HEIGHT, top)
            thick = course.back_out(high)
            if thick > THIN and high - max(bottom, wood[0]) > LEAST_PACKER and high <= wood[1]:
                for low, far in _free_of_others(done, course.butt_line, span):
                    cut = board.height_over(low, far)
                    if cut and cut[0] > PENCIL:
                        yield low, max(bottom, wood[0]), far, high, thick
                floor = high + OFF
        else:
            floor = max(floor, bottom + done.starter_height + OFF)
    elif index:
        below = done.hung[index - 1]
        floor = max(floor, below.edge_up(done.profile) + OFF)
    else:
        floor = max(floor, bottom + done.starter_height + OFF)
    if reach[1] < done.profile.width - LEAST_CUT:
        thick = course.back_out(top)
        low = max(top - PACKER_HEIGHT, floor)
        if thick > THIN and top - low > LEAST_PACKER and top <= wood[1]:
            yield span[0], low, span[1], top, thick


def _free_of_others(
    done: SetOut, butt_line: float, span: tuple[float, float]
) -> Iterator[tuple[float, float]]:
    """Widths of a batten where the foot slopes and no board stands below; else a starter does. [mm]"""
    for left, right in done.outline.foot_above(butt_line - PENCIL):
        for run in done.outline.foot_runs():
            low = max(span[0], left + OFF, run.left + OFF if run.left > span[0] else -math.inf)
            far = min(span[1], right - OFF, run.right - OFF if run.right < span[1] else math.inf)
            if not run.level and far - low > LEAST_PACKER:
                yield low, far


def _piece(done: SetOut, board: BoardPiece, size: Size, at: Floats, mark: str) -> Piece:
    left, low, right, high, thick = size
    return Piece(
        mark=mark,
        kind=Kind.PACKER,
        wall=done.name,
        bodies=(Plate(polygon=shapely.box(left, low, right, high), thickness=thick, frame=at),),
        course=board.course,
        section=f"{high - low:.0f} x {thick:.1f}",
        cut_length_mm=right - left,
        material="batten",
    )
