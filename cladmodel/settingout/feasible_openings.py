"""What must hold of doors and windows before boards can be set out round them."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from cladmodel.errors import Problem
from cladmodel.model import CornerKind
from cladmodel.scene.job import OpeningTable, Scene
from cladmodel.settingout.hanging import openings_of
from cladmodel.settingout.openings import OpeningLines
from cladmodel.settingout.outline import FAR
from cladmodel.settingout.plan import Side, reach, sides_of
from cladmodel.settingout.wall import post_faces

# Boards shorter than this beside an opening cannot be nailed to two battens. [mm] common practice, no source
LEAST_PIER = 150.0
# Two trims that meet may be this far off each other, or a trim off a post. [mm] common practice, no source
MEETING = 6.0
# A door's foot this near to height 0 is at it. [mm] common practice, no source
AT_FOOT = 1.0
NOISE = 1e-6  # of sums of the scene's own numbers [mm]


def opening_problems(scene: Scene) -> Iterator[Problem]:
    """Problems of a scene's openings.

    Parameters
    ----------
    scene : Scene
        With a sound plan.
    """
    sides = sides_of(scene)
    index = {id(opening): n + 1 for n, opening in enumerate(scene.opening)}
    known = [side.name for side in sides]
    alone = sides[0].left is CornerKind.END
    for opening in scene.opening:
        if not alone and opening.wall not in known:
            yield Problem(
                path=f"opening[{index[id(opening)]}].wall",
                value=opening.wall,
                allowed="must be one of " + ", ".join(known),
                remedy="Name walls with building.names.",
            )
    for side in sides:
        lines = openings_of(scene, side)
        for opening, line in zip(side.openings, lines, strict=True):
            path = f"opening[{index[id(opening)]}]"
            heights = list(_heights(scene, side, opening, path))
            yield from heights
            if not heights:
                yield from _along(scene, side, line, path)
                yield from _off_steps(scene, side, line, path)
                yield from _within(scene, side, opening, line, path)
        yield from _apart(scene, side, lines, index)


def _heights(scene: Scene, side: Side, opening: OpeningTable, path: str) -> Iterator[Problem]:
    foot = side.outline.foot_over(opening.left, opening.left + opening.width)
    if opening.kind == "door":
        if opening.sill != 0:
            yield Problem(
                path=f"{path}.sill",
                value=opening.sill,
                allowed="a door runs down to the foot: leave it out or 0",
                remedy="Make it a window if it has a sill.",
            )
        runs = side.outline.foot_runs()
        over = [r for r in runs if r.left < opening.left + opening.width and opening.left < r.right]
        if len(over) != 1 or not over[0].level or abs(over[0].left_up) > AT_FOOT:
            yield Problem(
                path=f"{path}.left",
                value=opening.left,
                allowed="a door must stand on a level stretch of the foot, at height 0",
                remedy="Step the foot beside the door, not under it.",
            )
        return
    trims = scene.trims
    least = trims.sill_thickness + trims.sill_gap + scene.rules.least_rip
    least = foot + max(least, scene.studs.plate_overhang + 2 * scene.studs.thickness + trims.sill_thickness)
    if opening.sill < least:
        yield Problem(
            path=f"{path}.sill",
            value=opening.sill,
            allowed=f"must be at least {least:g} for a window",
            remedy="Measure up from the foot of the cladding; a door has kind = 'door'.",
        )
    if opening.head <= opening.sill:
        yield Problem(
            path=f"{path}.head",
            value=opening.head,
            allowed=f"must be above the sill at {opening.sill:g}",
            remedy="Both are measured up from the foot of the cladding.",
        )


def _along(scene: Scene, side: Side, line: OpeningLines, path: str) -> Iterator[Problem]:
    """Its trims meet the posts, or leave room for boards that can be nailed."""
    faces = post_faces(scene, side)
    problems = list(_in_the_frame(scene, side, line, path))
    if problems:
        yield from problems
        return
    least = LEAST_PIER + 2 * scene.board.fitting_gap
    rooms = (line.trim_left - faces[0], faces[1] - side.run_at_foot - line.trim_right)
    for room in rooms:
        if not (-NOISE <= room <= MEETING or room >= least):
            yield Problem(
                path=f"{path}.left",
                value=line.left,
                allowed=f"with its trims ({line.trim_left:g} to {line.trim_right:g}) it must meet the "
                f"post at {faces[0]:g} or {faces[1] - side.run_at_foot:g}, or stay {least:g} off",
                remedy="Measure from the wall's left corner; boards must be long enough to nail.",
            )
            return


def _off_steps(scene: Scene, side: Side, line: OpeningLines, path: str) -> Iterator[Problem]:
    """Where the foot steps a batten stands behind the stop: the opening's own needs the place at its side."""
    for riser in side.outline.risers():
        low, high = riser.low_side(scene.battens.width)
        if any(low + NOISE < edge < high - NOISE for edge in (line.left, line.right)):
            yield Problem(
                path=f"{path}.left",
                value=line.left,
                allowed=f"neither side ({line.left:g} and {line.right:g}) may lie between {low:g} and "
                f"{high:g}, where the batten behind the step of the foot stands",
                remedy="Shift the opening or the step.",
            )
            return


def _in_the_frame(scene: Scene, side: Side, line: OpeningLines, path: str) -> Iterator[Problem]:
    """Nothing of the corner stands in it: neither the other wall's frame nor the post's batten."""
    faces = post_faces(scene, side)
    frame = reach(scene, side).studs
    room = scene.battens.width if line.trim_left - faces[0] <= MEETING else 0.0
    low = max(faces[0] + room, frame[0])
    room = scene.battens.width if faces[1] - side.run_at_foot - line.trim_right <= MEETING else 0.0
    high = min(faces[1] - side.run_at_foot - room, frame[1])
    if line.left < low - NOISE or line.right > high + NOISE:
        yield Problem(
            path=f"{path}.left",
            value=line.left,
            allowed=f"the opening must lie from {low:g} to {high:g}, clear of the corner's timbers",
            remedy="Measure from the wall's left corner.",
        )


def _within(
    scene: Scene, side: Side, opening: OpeningTable, line: OpeningLines, path: str
) -> Iterator[Problem]:
    """Head trim, flashing and a strip of board fit below the fillet, also under a rake."""
    room = scene.fillet.height + scene.rules.least_rip
    top = side.outline.top_over(line.clear_left, line.clear_right) - room
    if line.clear_top > top:
        yield Problem(
            path=f"{path}.head",
            value=opening.head,
            allowed=f"must be {opening.head - (line.clear_top - top):.0f} at most under this soffit",
            remedy="Trim, flashing and a strip of board must fit above it; it may not break the eaves line.",
        )
    for riser in side.outline.risers():
        if line.clear_left - LEAST_PIER < riser.x < line.clear_right + LEAST_PIER and not (
            line.clear_bottom > riser.high + LEAST_PIER
        ):
            yield Problem(
                path=f"{path}.left",
                value=opening.left,
                allowed=f"must stay clear of the step in the foot at {riser.x:g}",
                remedy="Move the step or the opening.",
            )


def _apart(
    scene: Scene, side: Side, lines: tuple[OpeningLines, ...], index: dict[int, int]
) -> Iterator[Problem]:
    """Openings beside each other let their trims meet, or leave a pier; one over the other leaves boards."""
    least = LEAST_PIER + 2 * scene.board.fitting_gap
    boxes = [shapely.box(o.trim_left, max(o.clear_bottom, -FAR), o.trim_right, o.clear_top) for o in lines]
    for b in range(len(lines)):
        for a in range(b):
            names = (index[id(side.openings[a])], index[id(side.openings[b])])
            low, high = sorted((lines[a], lines[b]), key=lambda o: o.clear_bottom)
            beside = low.clear_top > high.clear_bottom - scene.rules.least_rip
            if beside:
                pier = max(lines[b].trim_left - lines[a].trim_right, lines[a].trim_left - lines[b].trim_right)
                need = 2 * scene.studs.thickness - 2 * scene.trims.width
                sound = (max(0.0, need) - NOISE <= pier <= MEETING) or pier >= least
            else:
                sound = not boxes[a].intersects(boxes[b])
                pier = high.clear_bottom - low.clear_top
            if not sound:
                yield Problem(
                    path=f"opening[{names[1]}].left",
                    value=lines[b].left,
                    allowed=f"its trims must meet those of opening[{names[0]}] or leave {least:g} between; "
                    f"they leave {pier:g}",
                    remedy="A piece of board between openings must be long enough to nail.",
                )
