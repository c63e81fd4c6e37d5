"""What must hold between the values of a scene before its walls can be set out."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator

from cladmodel.errors import Problem, SettingOutError
from cladmodel.model import CornerKind
from cladmodel.scene.job import OpeningTable, Scene
from cladmodel.settingout.feasible_openings import opening_problems
from cladmodel.settingout.feasible_plan import building_problems
from cladmodel.settingout.feasible_size import size_problems
from cladmodel.settingout.hanging import hang_side, profile_of, rod_of
from cladmodel.settingout.jointing import needs_doubling
from cladmodel.settingout.nailing import edge_distance
from cladmodel.settingout.plan import Side, sides_of
from cladmodel.settingout.rod import PENCIL

# A corner further out of plumb than this is a survey slip, not a wall. [-] common practice, no source
MOST_LEAN = 0.02
# Posts and trims stand this much prouder than boards' noses: a shadow line. [mm] common practice, no source
PROUD = 2.0
CLEAR = 1.0  # between a cut board's front arris and what is above it [mm] common practice, no source
LEAST_COVER = 10.0  # of a fillet over the boards' tops [mm] common practice, no source
MOST_BARE = 60.0  # of membrane, as the check on the cavity has it [mm] common practice, no source
MOST_TILT = 20.0  # a board that leans more is a louvre [deg] common practice, no source: 3-10 is usual
LEAST_WEB = 1.0  # of a vent strip between two slots: less tears [mm] common practice, no source
LEAST_NOSE = 10.0  # a sill thinner at its nose splits [mm] common practice, no source
ALL_LINES = ("all sills", "all heads", "all sill", "all head")
NAMED = 8  # lines that a message names

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

    def judged(reads: tuple[str, ...]) -> bool:
        return not any(_touches(path, read) for path in spoiled for read in reads)

    found = [p for reads, rule in PLAIN if judged(reads) for p in rule(scene)]
    hangs = not any(p.path.startswith("board.") for p in found)
    standing = list(building_problems(scene)) if judged(("wall", "building")) else [None]
    found += [p for p in standing if p is not None]
    if not standing:
        large = list(size_problems(scene)) if hangs else []
        if large:
            return found + large  # nothing else is worked out of such numbers
        for reads, rule in WITH_SIDES:
            if judged(reads) and (hangs or "board" not in reads):
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


def _vent_strip(scene: Scene) -> Iterator[Problem]:
    strip = scene.vent_strip
    room = scene.battens.thickness / strip.rows
    if strip.slot_width > room - LEAST_WEB:
        yield Problem(
            path="vent_strip.slot_width",
            value=strip.slot_width,
            allowed=f"{strip.rows} rows in this cavity leave {room - LEAST_WEB:g} at most",
            remedy="Fewer rows or narrower slots.",
        )
    if strip.slot_length > strip.slot_spacing - LEAST_WEB:
        yield Problem(
            path="vent_strip.slot_length",
            value=strip.slot_length,
            allowed=f"must be less than the spacing of {strip.slot_spacing:g}",
            remedy="Slots must not run into each other.",
        )


def _cutting(scene: Scene) -> Iterator[Problem]:
    for name in ("prices", "limits"):
        given = getattr(scene.cutting, name)
        if given and len(given) != len(scene.board.stock):
            yield Problem(
                path=f"cutting.{name}",
                value=list(given),
                allowed=f"must be one for each of the {len(scene.board.stock)} lengths in board.stock",
                remedy="In the same order.",
            )
    if len(set(scene.board.stock)) < len(scene.board.stock):
        yield Problem(
            path="board.stock",
            value=list(scene.board.stock),
            allowed="must name each length once",
            remedy="Take the second one out.",
        )


def _align(scene: Scene) -> Iterator[Problem]:
    lines = [f"{o.name} {line}" for o in scene.opening for line in _lines_of(o)]
    for n, asked in enumerate(scene.rod.align):
        if asked not in lines and asked not in ALL_LINES:
            shown = ", ".join(lines[:NAMED]) + (", ..." if len(lines) > NAMED else "")
            yield Problem(
                path=f"rod.align[{n + 1}]",
                value=asked,
                allowed="must be 'all sills', 'all heads' or one opening's line"
                + (f": {shown}" if lines else "; there is no opening"),
                remedy="A door has no sill.",
            )


def _lines_of(opening: OpeningTable) -> tuple[str, ...]:
    return ("head",) if opening.kind == "door" else ("sill", "head")


def _stock(scene: Scene) -> Iterator[Problem]:
    usable = max(scene.board.stock) - 2 * scene.board.end_trim
    need = scene.rules.least_piece + scene.studs.centres
    run = max(side.outline.length for side in sides_of(scene))
    if usable < min(need, run):
        yield Problem(
            path="board.stock",
            value=list(scene.board.stock),
            allowed=f"the longest must give at least {need:g} mm usable to be joined on battens",
            remedy=f"It gives {usable:g} after the end trims: buy longer boards or lower rules.least_piece.",
        )


def _joints(scene: Scene) -> Iterator[Problem]:
    """Where boards butt, each end is nailed to a batten of its own."""
    usable = max(scene.board.stock) - 2 * scene.board.end_trim
    if max(side.outline.length for side in sides_of(scene)) <= usable:
        return
    least = scene.board.joint_gap / 2 + scene.fixings.end_distance + PENCIL + edge_distance(scene)
    if needs_doubling(scene) and scene.battens.width < least:
        yield Problem(
            path="battens.width",
            value=scene.battens.width,
            allowed=f"must be at least {math.ceil(least):g} to nail the ends of boards that butt",
            remedy="Or thinner board nails, or boards so long that none is joined.",
        )


def _survey(scene: Scene) -> Iterator[Problem]:
    for side in sides_of(scene):
        yield from _lengths(side)
    length = side.outline.length
    for n, centre in enumerate(scene.battens.extra):
        alone = side.left is CornerKind.END
        if not (alone and scene.battens.width <= centre <= length - scene.battens.width):
            yield Problem(
                path=f"battens.extra[{n + 1}]",
                value=centre,
                allowed=f"must be from {scene.battens.width:g} to {length - scene.battens.width:g} "
                "on a wall on its own",
                remedy="Measure from the wall's left corner.",
            )


def _lengths(side: Side) -> Iterator[Problem]:
    path = "wall.length" if side.left is CornerKind.END else f"building.wall ({side.name}).length"
    head = side.outline.top[-1][1]
    value = {"foot": side.length.foot, "head": side.length.head}
    if abs(side.lean) > MOST_LEAN:
        yield Problem(
            path=path,
            value=value,
            allowed=f"foot and head may differ by {MOST_LEAN * head:.0f} mm at this height",
            remedy="Tape both again.",
        )
    if side.right is CornerKind.INSIDE and (side.lean or side.run_at_foot):
        yield Problem(
            path=path,
            value=value,
            allowed="must be the same at foot and head where the wall ends in an inside corner",
            remedy="Pack the frame plumb there first: the post stands in the nook of both walls.",
        )


def _rakes(scene: Scene) -> Iterator[Problem]:
    """A top that rises over the post of an inside corner leaves a hole above it."""
    reach = scene.posts.inside_size + scene.board.fitting_gap
    for side in sides_of(scene):
        length, top = side.outline.length, side.outline.top
        ends = ((side.left, (0.0, reach), top[0][1]), (side.right, (length - reach, length), top[-1][1]))
        for corner, span, post in ends:
            highest = max(
                run.up(x) for run in side.outline.top_runs() for x in span if run.left <= x <= run.right
            )
            if corner is CornerKind.INSIDE and reach > MOST_BARE and highest - post > MOST_BARE:
                yield Problem(
                    path=f"building.wall ({side.name}).pitch_deg",
                    value=round(side.outline.highest),
                    allowed=f"must not rise by more than {MOST_BARE:g} over the post of an inside corner; it "
                    f"rises by {highest - post:.0f}, and nothing covers the wall there",
                    remedy="A gable stands between outside corners; give this wall a level top.",
                )
                break


def _noses(scene: Scene) -> Iterator[Problem]:
    sides = sides_of(scene)
    profile = profile_of(scene)
    nose = tilt = 0.0
    try:
        rod = rod_of(scene, sides)
        for side in sides:
            _, _, hung = hang_side(scene, side, rod)
            nose = max(nose, *(c.kick_out + profile.butt * math.cos(c.tilt) for c in hung))
            tilt = max(tilt, *(c.tilt for c in hung))
    except SettingOutError as error:
        yield Problem(path="board", value=None, allowed=str(error), remedy="See board, rod and starter.")
        return
    if tilt > math.radians(MOST_TILT):
        yield Problem(
            path="board.butt",
            value=scene.board.butt,
            allowed=f"boards would lean by {math.degrees(tilt):.0f} degrees; {MOST_TILT:g} is most",
            remedy="Thinner or wider boards, a larger gauge, or a thinner starter.",
        )
        return
    yield from _gaps(scene, profile.butt * math.sin(tilt))
    thick = scene.battens.thickness
    inside = any(side.right is CornerKind.INSIDE for side in sides)
    limits = [("posts.size", scene.posts.size, thick)]
    limits += [("posts.inside_size", scene.posts.inside_size, thick)] if inside else []
    stops = any(side.openings or side.outline.risers() for side in sides)
    limits += [("trims.thickness", scene.trims.thickness, 0.0)] if stops else []
    for path, size, behind in limits:
        if size - behind < nose + PROUD:
            yield Problem(
                path=path,
                value=size,
                allowed=f"must be at least {behind + nose + PROUD:.1f}, prouder than the boards' noses",
                remedy="Thicker there, or thinner battens or boards.",
            )


def _gaps(scene: Scene, rise: float) -> Iterator[Problem]:
    """Gaps above cut boards must clear their front arrises, which rise above the cut."""
    if scene.opening and scene.board.edge_cut == "square" and scene.trims.sill_gap < rise + CLEAR:
        yield Problem(
            path="trims.sill_gap",
            value=scene.trims.sill_gap,
            allowed=f"must be at least {rise + CLEAR:.1f}, or the boards' front arrises stand in the sill",
            remedy="Air needs the gap too; or set board.edge_cut = 'level'.",
        )
    if scene.fillet.head_gap < rise + CLEAR:
        yield Problem(
            path="fillet.head_gap",
            value=scene.fillet.head_gap,
            allowed=f"must be at least {rise + CLEAR:.1f}, or the boards' front arrises meet the soffit",
            remedy="Air needs the gap too.",
        )


def _trims(scene: Scene) -> Iterator[Problem]:
    trims, fillet = scene.trims, scene.fillet
    if fillet.head_gap > fillet.height - LEAST_COVER:
        yield Problem(
            path="fillet.head_gap",
            value=fillet.head_gap,
            allowed=f"must be at most {fillet.height - LEAST_COVER:g} under a fillet {fillet.height:g} high",
            remedy="The fillet hides the boards' cut tops.",
        )
    behind = scene.battens.thickness + scene.membrane.thickness + scene.sheathing.thickness
    deep = trims.sill_depth_inside + behind + trims.thickness + trims.sill_overhang
    nose = trims.sill_thickness - deep * math.tan(math.radians(trims.sill_fall_deg))
    if scene.opening and nose < LEAST_NOSE:
        yield Problem(
            path="trims.sill_fall_deg",
            value=trims.sill_fall_deg,
            allowed=f"leaves the sill {max(nose, 0):.0f} thick at its nose; {LEAST_NOSE:g} is least",
            remedy="Less fall, or a thicker sill.",
        )


PLAIN: tuple[tuple[tuple[str, ...], Rule], ...] = (
    (("board.width", "board.least_lap", "board.butt", "board.thin_edge", "board.wanted_gauge"), _board),
    (("vent_strip", "battens.thickness"), _vent_strip),
    (("cutting", "board.stock"), _cutting),
    (("rod", "opening"), _align),
    (("trims", "fillet", "battens.thickness", "membrane", "sheathing"), _trims),
)

PLACES = ("wall", "building")

WITH_SIDES: tuple[tuple[tuple[str, ...], Rule], ...] = (
    (("board.stock", "board.end_trim", "rules.least_piece", "studs.centres", *PLACES), _stock),
    (("board.stock", "board.end_trim", "board.joint_gap", "battens", "fixings", *PLACES), _joints),
    (("battens", *PLACES), _survey),
    (("posts", "board", *PLACES), _rakes),
    (("opening", "trims", "board", "fillet", "studs", "battens", *PLACES), opening_problems),
    (("board", "starter", "posts", "battens.thickness", "trims.thickness", "rod", *PLACES), _noses),
)
