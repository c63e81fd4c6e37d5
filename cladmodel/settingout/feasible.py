"""What must hold between the values of a scene before a wall can be set out."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Collection, Iterator

from cladmodel.errors import Problem, SettingOutError
from cladmodel.scene.job import Scene
from cladmodel.settingout.wall import hang_wall, openings_of

# A corner more than this out of plumb over the wall's height is a survey slip, not a wall. [-]
# Common practice, no source.
MOST_LEAN = 0.02
# Boards shorter than this beside an opening cannot be nailed to two battens. [mm] common practice
LEAST_PIER = 150.0

Rule = Callable[[Scene], Iterator[Problem]]


def problems_of(scene: Scene, spoiled: Collection[str]) -> list[Problem]:
    """Every way in which a scene's values contradict each other.

    Parameters
    ----------
    scene : Scene
    spoiled : collection of str
        Paths of fields that are faulty in themselves; rules that read them are passed over.

    Returns
    -------
    list of Problem
    """
    found = []
    for reads, rule in RULES:
        if not any(_touches(path, read) for path in spoiled for read in reads):
            found += list(rule(scene))
    return found


def _touches(path: str, read: str) -> bool:
    return path == read or path.startswith((read + ".", read + "[")) or read.startswith(path + ".")


def _board(scene: Scene) -> Iterator[Problem]:
    board = scene.board
    if board.least_lap >= board.width:
        yield Problem(
            path="board.least_lap",
            value=board.least_lap,
            allowed=f"must be less than the board's width of {board.width:g}",
            remedy="A lap of about a fifth of the width is usual.",
        )
    if board.thin_edge > board.butt:
        yield Problem(
            path="board.thin_edge",
            value=board.thin_edge,
            allowed=f"must not be thicker than the butt of {board.butt:g}",
            remedy="The butt is the thick bottom edge.",
        )
    if board.wanted_gauge is not None and board.wanted_gauge >= board.width:
        yield Problem(
            path="board.wanted_gauge",
            value=board.wanted_gauge,
            allowed=f"must be less than the board's width of {board.width:g}, or nothing laps",
            remedy="Leave it out to get the largest gauge that keeps the least lap.",
        )


def _stock(scene: Scene) -> Iterator[Problem]:
    usable = max(scene.board.stock) - 2 * scene.board.end_trim
    need = scene.rules.least_piece + scene.studs.centres
    run = max(scene.wall.length.foot, scene.wall.length.head)
    if usable < min(need, run):
        yield Problem(
            path="board.stock",
            value=list(scene.board.stock),
            allowed=f"the longest must give at least {need:g} mm usable to be joined on battens",
            remedy=f"It gives {usable:g} after the end trims: buy longer boards or lower rules.least_piece.",
        )


def _survey(scene: Scene) -> Iterator[Problem]:
    length = scene.wall.length
    lean = abs(length.head - length.foot) / scene.wall.height
    if lean > MOST_LEAN:
        yield Problem(
            path="wall.length",
            value={"foot": length.foot, "head": length.head},
            allowed=f"foot and head may differ by {MOST_LEAN * scene.wall.height:.0f} mm at this height",
            remedy="Tape both again.",
        )
    least = min(length.foot, length.head)
    for n, centre in enumerate(scene.battens.extra):
        if not scene.battens.width <= centre <= least - scene.battens.width:
            yield Problem(
                path=f"battens.extra[{n + 1}]",
                value=centre,
                allowed=f"must be from {scene.battens.width:g} to {least - scene.battens.width:g}",
                remedy="Measure from the wall's left corner.",
            )


def _openings(scene: Scene) -> Iterator[Problem]:
    length = min(scene.wall.length.foot, scene.wall.length.head)
    margin = scene.trims.width + 2 * scene.board.fitting_gap + LEAST_PIER
    for n, opening in enumerate(scene.opening):
        path = f"opening[{n + 1}]"
        right = opening.left + opening.width
        if opening.left < margin or right > length - margin:
            yield Problem(
                path=f"{path}.left",
                value=opening.left,
                allowed=f"the opening ({opening.left:g} to {right:g}) must lie from {margin:g} to "
                f"{length - margin:g} along the wall",
                remedy="Measure from the wall's left corner; trims and short boards need the rest.",
            )
        top = scene.wall.height - scene.fillet.height - scene.rules.least_rip
        clear = next(
            o.clear_top for o in openings_of(scene) if o.left == opening.left and o.head == opening.head
        )
        if clear > top:
            yield Problem(
                path=f"{path}.head",
                value=opening.head,
                allowed=f"must be {opening.head - (clear - top):.0f} at most under this soffit",
                remedy="Trim, flashing and a strip of board must fit above it.",
            )
        if opening.kind == "window":
            yield from _window(scene, path, opening.sill, opening.head)
        elif opening.sill != 0:
            yield Problem(
                path=f"{path}.sill",
                value=opening.sill,
                allowed="a door runs down to the foot: leave it out or 0",
                remedy="Make it a window if it has a sill.",
            )


def _window(scene: Scene, path: str, sill: float, head: float) -> Iterator[Problem]:
    least = scene.trims.sill_thickness + scene.trims.sill_gap + scene.rules.least_rip
    least = max(least, scene.studs.plate_overhang + 2 * scene.studs.thickness + scene.trims.sill_thickness)
    if sill < least:
        yield Problem(
            path=f"{path}.sill",
            value=sill,
            allowed=f"must be at least {least:g} above the foot for a window",
            remedy="Measure up from the foot of the cladding; a door has kind = 'door'.",
        )
    if head <= sill:
        yield Problem(
            path=f"{path}.head",
            value=head,
            allowed=f"must be above the sill at {sill:g}",
            remedy="Both are measured up from the foot of the cladding.",
        )


def _apart(scene: Scene) -> Iterator[Problem]:
    least = 2 * (scene.trims.width + scene.board.fitting_gap) + LEAST_PIER
    ordered = sorted(range(len(scene.opening)), key=lambda n: scene.opening[n].left)
    for a, b in itertools.pairwise(ordered):
        pier = scene.opening[b].left - scene.opening[a].left - scene.opening[a].width
        if pier < least:
            yield Problem(
                path=f"opening[{b + 1}].left",
                value=scene.opening[b].left,
                allowed=f"must leave at least {least:g} to opening[{a + 1}]; it leaves {pier:g}",
                remedy="Two trims and a nailable piece of board must fit between openings.",
            )


def _vent_strip(scene: Scene) -> Iterator[Problem]:
    strip = scene.vent_strip
    room = scene.battens.thickness / strip.rows
    if strip.slot_width > room - 1:
        yield Problem(
            path="vent_strip.slot_width",
            value=strip.slot_width,
            allowed=f"{strip.rows} rows in this cavity leave {room - 1:g} at most",
            remedy="Fewer rows or narrower slots.",
        )
    if strip.slot_length > strip.slot_spacing - 1:
        yield Problem(
            path="vent_strip.slot_length",
            value=strip.slot_length,
            allowed=f"must be less than the spacing of {strip.slot_spacing:g}",
            remedy="Slots must not run into each other.",
        )


def _noses(scene: Scene) -> Iterator[Problem]:
    try:
        profile, _, hung, _ = hang_wall(scene)
    except SettingOutError as error:
        yield Problem(path="board", value=None, allowed=str(error), remedy="See the board, lap and starter.")
        return
    nose = max(course.kick_out + profile.butt * math.cos(course.tilt) for course in hung)
    post = scene.posts.size - scene.battens.thickness
    if post <= nose:
        yield Problem(
            path="posts.size",
            value=scene.posts.size,
            allowed=f"must be more than {scene.battens.thickness + nose:.1f}, or the noses stand proud",
            remedy="A thicker post, thinner battens or thinner boards.",
        )
    if scene.opening and scene.trims.thickness <= nose:
        yield Problem(
            path="trims.thickness",
            value=scene.trims.thickness,
            allowed=f"must be more than {nose:.1f}, or the boards' noses stand proud of it",
            remedy="Thicker trims or thinner boards.",
        )


RULES: tuple[tuple[tuple[str, ...], Rule], ...] = (
    (("board.width", "board.least_lap", "board.butt", "board.thin_edge", "board.wanted_gauge"), _board),
    (("board.stock", "board.end_trim", "rules.least_piece", "studs.centres", "wall.length"), _stock),
    (("wall.length", "wall.height", "battens"), _survey),
    (("wall", "opening", "trims", "board", "fillet", "studs"), _openings),
    (("opening", "trims", "board"), _apart),
    (("vent_strip", "battens.thickness"), _vent_strip),
    (("board", "wall", "starter", "posts", "battens.thickness", "trims.thickness"), _noses),
)
