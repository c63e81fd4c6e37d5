"""One wall set out in full: every number that the parts are then made from."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from cladmodel.scene.job import OpeningTable, Scene
from cladmodel.settingout.battens import Column, Role, batten_columns, double_at
from cladmodel.settingout.boards import ASLANT, BoardPiece, clad_area, course_polygons, cut_at, height_at
from cladmodel.settingout.courses import butt_lines, butt_lines_nearest
from cladmodel.settingout.joints import JointRules, choose_joints
from cladmodel.settingout.nails import Bearing, nail_heights, nail_places
from cladmodel.settingout.openings import OpeningLines, opening_lines
from cladmodel.settingout.tilt import Hung, Profile, hang, starter_thickness, steady_tilt

# Nail to batten edge in nail diameters. EN 1995-1-1 table 8.2, a4,c (unloaded edge, characteristic
# density up to 420 kg/m3), found second-hand.
EDGE_DIAMETERS = 5.0
# A nail stays this far below the butt that hides the board above. [mm] common practice, no source
BELOW_NEXT = 10.0
# ... and this far above a starter's top or a cut bottom edge. [mm] common practice, no source
ABOVE_CUT = 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
class NailPlace:
    """One board nail: x along the wall, up from the foot, out to where its head bears. [mm]"""

    mark: str
    x: float
    up: float
    out: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SetOut:
    """One wall, set out.

    Attributes
    ----------
    name, letter : str
    outline : shapely.Polygon
        From post to post, foot to soffit. [mm]
    length, height : float
        At the foot; foot to soffit. [mm]
    lean : float
        How far the right corner runs out per unit of height. [-]
    profile : Profile
    lines : (courses + 1,) float
        Rod marks. [mm]
    hung : tuple of Hung
    starter_thickness, starter_height : float
        [mm]
    openings : tuple of OpeningLines
    columns : tuple of Column
    pieces : tuple of BoardPiece
    joints : tuple of tuple of float
        Joint lines of each course. [mm]
    nails : tuple of NailPlace
    notes : tuple of str
    """

    name: str
    letter: str
    outline: shapely.Polygon
    length: float
    height: float
    lean: float
    profile: Profile
    lines: NDArray[np.float64]
    hung: tuple[Hung, ...]
    starter_thickness: float
    starter_height: float
    openings: tuple[OpeningLines, ...]
    columns: tuple[Column, ...]
    pieces: tuple[BoardPiece, ...]
    joints: tuple[tuple[float, ...], ...]
    nails: tuple[NailPlace, ...]
    notes: tuple[str, ...]

    def mark(self, piece: BoardPiece) -> str:
        """Shop mark of a board: wall letter, course, piece letter, as in ``A07b``."""
        return f"{self.letter}{piece.course:02d}{piece.letter}"


def courses_of(scene: Scene) -> NDArray[np.float64]:
    """Rod marks of a scene's wall.

    Parameters
    ----------
    scene : Scene

    Returns
    -------
    (courses + 1,) float
        [mm]

    Raises
    ------
    SettingOutError
        If the board leaves no gauge.
    """
    board = scene.board
    if board.wanted_gauge is not None:
        return butt_lines_nearest(0.0, scene.wall.height, board.wanted_gauge)
    return butt_lines(0.0, scene.wall.height, board.width - board.least_lap)


def hang_wall(scene: Scene) -> tuple[Profile, NDArray[np.float64], tuple[Hung, ...], float]:
    """Courses, and how every one of them hangs.

    Parameters
    ----------
    scene : Scene

    Returns
    -------
    profile : Profile
    lines : (courses + 1,) float
        Rod marks. [mm]
    hung : tuple of Hung
    thickness : float
        Of the starter. [mm]

    Raises
    ------
    SettingOutError
        If the boards cannot lean on each other or the starter does not fit.
    """
    board = scene.board
    profile = Profile(width=board.width, butt=board.butt, thin_edge=board.thin_edge)
    lines = courses_of(scene)
    if scene.starter.thickness == "fit":
        tilt = steady_tilt(profile, float(lines[1] - lines[0]))
        thickness = starter_thickness(profile, tilt, scene.starter.height)
    else:
        thickness = scene.starter.thickness
    hung = hang(
        profile,
        [float(line) for line in lines[:-1]],
        starter_height=scene.starter.height,
        starter_thickness=thickness,
        top=scene.wall.height - scene.fillet.head_gap,
        packed=scene.fillet.packer,
    )
    return profile, lines, hung, thickness


def openings_of(scene: Scene) -> tuple[OpeningLines, ...]:
    """Openings of a scene, set out, from left to right.

    Parameters
    ----------
    scene : Scene
    """
    return tuple(_lines_of(scene, o) for o in sorted(scene.opening, key=lambda o: (o.left, o.sill)))


def _lines_of(scene: Scene, opening: OpeningTable) -> OpeningLines:
    trims = scene.trims
    return opening_lines(
        name=opening.name,
        door=opening.kind == "door",
        left=opening.left,
        width=opening.width,
        sill=opening.sill,
        head=opening.head,
        trim_width=trims.width,
        head_fall=math.radians(trims.head_fall_deg),
        head_gap=trims.head_gap,
        sill_thickness=trims.sill_thickness,
        sill_gap=trims.sill_gap,
        fitting_gap=scene.board.fitting_gap,
        cavity=scene.battens.thickness,
        flashing=scene.membrane.thickness,
    )


def set_out(scene: Scene) -> SetOut:
    """Set out a scene's wall.

    Parameters
    ----------
    scene : Scene

    Returns
    -------
    SetOut

    Raises
    ------
    SettingOutError
        If the job's numbers make no wall; the message names the rule and the nearest way out.
    """
    wall, board = scene.wall, scene.board
    profile, lines, hung, thickness = hang_wall(scene)
    openings = openings_of(scene)
    length, height = wall.length.foot, wall.height
    outline = shapely.Polygon([(0, 0), (length, 0), (wall.length.head, height), (0, height)])
    columns = batten_columns(
        length=length,
        width=scene.battens.width,
        centres=scene.studs.centres,
        extra=scene.battens.extra,
        openings=openings,
        foot=scene.vent_strip.thickness,
        head=height,
        vent_strip=scene.vent_strip.thickness,
        end_distance=scene.fixings.end_distance,
    )
    area = clad_area(outline, board.fitting_gap, scene.fillet.head_gap)
    bare = _runs(area, openings, profile, hung)
    joints = _choose(scene, hung, bare, columns)
    if _needs_doubling(scene):
        columns = double_at(columns, {c for course in joints for c in course}, scene.battens.width)
    pieces = tuple(
        BoardPiece(course=n + 1, letter=_letter(i), polygon=polygon)
        for n, (runs, cuts) in enumerate(zip(bare, joints, strict=True))
        for i, polygon in enumerate(p for run in runs for p in cut_at(run, cuts, board.joint_gap))
    )
    done = SetOut(
        name=wall.name,
        letter="A",
        outline=outline,
        length=length,
        height=height,
        lean=(wall.length.head - length) / height,
        profile=profile,
        lines=lines,
        hung=hung,
        starter_thickness=thickness,
        starter_height=scene.starter.height,
        openings=openings,
        columns=columns,
        pieces=pieces,
        joints=joints,
        nails=(),
        notes=_survey_notes(scene),
    )
    return _with_nails(scene, done)


def _runs(
    area: shapely.Polygon, openings: tuple[OpeningLines, ...], profile: Profile, hung: tuple[Hung, ...]
) -> list[list[shapely.Polygon]]:
    runs = []
    for n, course in enumerate(hung):
        following = hung[n + 1].butt_line if n + 1 < len(hung) else None
        lap = hung[n - 1].up_back(hung[n - 1].back_top) - hung[n - 1].up_back(course.butt_line) if n else 0.0
        runs.append(course_polygons(area, openings, profile, course, lap, following))
    return runs


def _choose(
    scene: Scene, hung: tuple[Hung, ...], runs: list[list[shapely.Polygon]], columns: tuple[Column, ...]
) -> tuple[tuple[float, ...], ...]:
    rules = JointRules(
        longest=max(scene.board.stock) - 2 * scene.board.end_trim,
        least_piece=scene.rules.least_piece,
        stagger=scene.rules.stagger,
        column_rest=scene.rules.column_rest,
    )
    room = scene.battens.width if _needs_doubling(scene) else scene.battens.width / 2
    chosen: list[tuple[float, ...]] = []
    used: dict[float, int] = {}
    for n, course in enumerate(hung):
        cuts: list[float] = []
        for run in runs[n]:
            left, _, right, _ = run.bounds
            where = f"{scene.wall.name}, course {n + 1}"
            possible = [
                c.centre
                for c in columns
                if c.role in (Role.STUD, Role.EXTRA)
                and c.covers(max(course.butt_line, scene.vent_strip.thickness), course.back_top)
                and _is_full(run, c.centre, course.width)
                and all(
                    abs(c.centre - o.centre) >= room + scene.battens.width / 2 for o in columns if o is not c
                )
            ]
            cuts += choose_joints((left, right), possible, chosen[::-1], used, rules, where)
        for c in cuts:
            used[c] = used.get(c, 0) + 1
        chosen.append(tuple(cuts))
    return tuple(chosen)


def _is_full(run: shapely.Polygon, centre: float, width: float) -> bool:
    """Whether a run has its whole width where a joint would fall."""
    kept = height_at(run, centre - 2 * ASLANT, centre + 2 * ASLANT)
    return kept is not None and kept[1] - kept[0] > width - 1.0


def _needs_doubling(scene: Scene) -> bool:
    bearing = (scene.battens.width - scene.board.joint_gap) / 2
    return bearing < scene.fixings.end_distance + _edge_distance(scene)


def _edge_distance(scene: Scene) -> float:
    return EDGE_DIAMETERS * scene.fixings.board_nail.diameter


def _letter(index: int) -> str:
    """A ... z, then aa, ab, ..."""
    text = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        text = chr(ord("a") + rest) + text
    return text


def _with_nails(scene: Scene, done: SetOut) -> SetOut:
    fixings = scene.fixings
    heights = nail_heights(done.profile, done.hung, fixings.clear_of_board_below, fixings.board_nail.diameter)
    nails: list[NailPlace] = []
    for piece in done.pieces:
        course = done.hung[piece.course - 1]
        following = done.lines[piece.course] if piece.course < len(done.hung) else math.inf
        by_height: dict[float, list[Bearing]] = {}
        for left, right, foot, head in bearings_of(done):
            reach = height_at(piece.polygon, max(left, piece.ends[0]), min(right, piece.ends[1]))
            if reach is None:
                continue
            up = heights[piece.course - 1]
            bottom = course.butt_line + reach[0] * math.cos(course.tilt)
            if reach[0] > 0:  # cut over an opening: its own starter stands there
                up = min(max(up, bottom + done.starter_height + ABOVE_CUT), following - BELOW_NEXT)
            top = course.butt_line + reach[1] * math.cos(course.tilt)
            if foot < up < head and bottom < up < top:
                by_height.setdefault(up, []).append(Bearing(left=left, right=right))
        for up, bearings in by_height.items():
            out = course.face_out(done.profile, up)
            ends = _ends_round(piece, course.up_back(up), fixings.end_distance)
            places = nail_places(ends, bearings, fixings.end_distance, _edge_distance(scene))
            nails += [NailPlace(mark=done.mark(piece), x=x, up=up, out=out) for x in places]
    values = {name: getattr(done, name) for name in SetOut.__slots__} | {"nails": tuple(nails)}
    return SetOut(**values)


def _ends_round(piece: BoardPiece, up_back: float, reach: float) -> tuple[float, float]:
    """Innermost ends of a piece within a nail's end distance above and below it. [mm]"""
    ends = [piece.ends_at(up_back + step) for step in (-reach, 0.0, reach)]
    return max(left for left, _ in ends), min(right for _, right in ends)


def bearings_of(done: SetOut) -> list[tuple[float, float, float, float]]:
    """Every batten: left and right at mid-height, foot, head; doubled columns give two. [mm]

    Parameters
    ----------
    done : SetOut
    """
    battens = []
    for column in done.columns:
        for foot, head in column.spans:
            shift = done.lean * (foot + head) / 2 if is_right_post(done, column) else 0.0
            left, right = column.left + shift, column.right + shift
            if column.doubled:
                battens += [(left, column.centre, foot, head), (column.centre, right, foot, head)]
            else:
                battens.append((left, right, foot, head))
    return battens


def is_right_post(done: SetOut, column: Column) -> bool:
    """Whether a column belongs to the right-hand corner post."""
    return column.role is Role.POST and column.left > done.length / 2


# A post is straight: a wall's middle further than this off the line from foot to head shows as an
# uneven gap at the post. [mm] common practice, no source
STRAIGHT = 5.0


def _survey_notes(scene: Scene) -> tuple[str, ...]:
    length = scene.wall.length
    off = length.middle - (length.foot + length.head) / 2
    notes = []
    if length.head != length.foot:
        notes.append(
            f"{scene.wall.name}: {abs(length.head - length.foot):g} mm "
            f"{'longer' if length.head > length.foot else 'shorter'} at the head than at the foot; "
            "the right-hand post leans with it and each course is cut to its own length."
        )
    if abs(off) > STRAIGHT:
        notes.append(
            f"{scene.wall.name}: the middle is {off:+g} mm off the straight line from foot to head; "
            f"over {STRAIGHT:g} mm shows. Pack or plane behind the post's batten before fixing the post."
        )
    return tuple(notes)
