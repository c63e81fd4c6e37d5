"""The air path: clear depth behind the boards, every bay open from foot to head, the strip's free opening."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from cladmodel.checks.around import around
from cladmodel.checks.bays import BEHIND, Bay, bays, bounds_bays
from cladmodel.checks.finding import Finding, Verdict, conclude, point, worst_each
from cladmodel.checks.leans import off_lean
from cladmodel.checks.rules import EXACT, TOUCH, Rules
from cladmodel.checks.shadows import plan, shadow
from cladmodel.model import Kind, Layer, Model, Part, Wall
from cladmodel.solids.measure import Bools, Ints

NAME = "cavity"

ENDS = (Kind.SILL, Kind.FLASHING, Kind.HEAD_TRIM, Kind.SIDE_TRIM, Kind.VENT_STRIP)
"""Pieces that may end a bay at an opening: air passes under a sill, or through the strip over a flashing."""

METRE = 1000.0
"""[mm]"""

LEAST_BAY = 20.0
"""Two battens closer than this leave no bay worth having between them. Common practice, no source. [mm]"""

LEAST_LINE = 500.0
"""Over less length of wall battens and chance decide what is open a metre: `air` looks at each bay. Common
practice, no source. [mm]"""

GRID = 1e-4
"""Shapes are laid on a grid this fine before they are taken from each other: without one, edges that all but
lie on each other were seen to leave more than there was. [mm]"""

ON_TOP = 1.0
"""A batten reaching this far above a strip stands on it, or passes it. [mm]"""


def check_cavity(model: Model, rules: Rules) -> Iterator[Finding]:
    """Measure the cavity by rays from the membrane, and march up every bay.

    Parameters
    ----------
    model : Model
    rules : Rules
        `cavity`, `air_path`, `vent_area`, `bare`.
    """
    leaning = off_lean(model, rules)
    for wall in model.walls:
        grid = bays(model, wall.name)
        if not grid:
            yield _nothing(wall.name)
            continue
        faults: list[tuple[object, float, Finding]] = []
        least = (float("inf"), grid[0], 0, 0)
        for bay in grid:
            judged = _judged(bay, leaning, rules)
            depth = np.where(judged, bay.depth, np.inf)
            row, column = np.unravel_index(int(depth.argmin()), depth.shape)
            if depth[row, column] < least[0]:
                least = (float(depth[row, column]), bay, int(row), int(column))
            for row, column in np.argwhere(depth < rules.cavity.value - EXACT):
                part = bay.parts[bay.hit[row, column]]
                faults.append((part.mark, -depth[row, column], _shallow(bay, int(row), int(column), rules)))
            faults += [((bay.x[0], "closed"), 1.0, f) for f in _march(bay, rules)]
        closing = {finding.mark for key, _, finding in faults if isinstance(key, tuple)}
        # A piece that closes a bay is shallow as well: said once.
        faults = [f for f in faults if isinstance(f[0], tuple) or f[0] not in closing]
        faults += [(f.mark, 1.0, f) for f in _strips(model, wall.name, rules)]
        boards = model.of_kind(Kind.BOARD, wall=wall.name)
        faults += [(("bare", n), 1.0, f) for n, f in enumerate(_bare(model, wall, rules) if boards else ())]
        sound = _sound(*least, len(grid), rules) if least[0] < np.inf else _nothing(wall.name)
        yield from conclude(worst_each(faults), sound)


def _nothing(wall: str) -> Finding:
    text = "No cavity to measure: membrane, battens or boards are missing."
    return Finding(check=NAME, verdict=Verdict.NOT_ASSESSED, wall=wall, text=text)


def _kinds(bay: Bay, *kinds: Kind) -> Bools:
    """Where a ray meets one of some kinds, (r, c) bool."""
    of_part = np.array([p.kind in kinds for p in bay.parts] + [False])
    return np.asarray(of_part[bay.hit])


def _judged(bay: Bay, leaning: frozenset[str], rules: Rules) -> Bools:
    """Where the depth counts: membrane behind, and something in front that is not meant to be there flat."""
    spared = np.array([p.mark in leaning for p in bay.parts] + [False])[bay.hit]
    upright = np.array([p.kind is Kind.BATTEN and bounds_bays(p, bay.face) for p in bay.parts] + [False])[
        bay.hit
    ]
    meant = upright | _kinds(bay, *ENDS) | _ends(bay, rules)[:, None]
    return np.asarray(bay.backed & (bay.hit >= 0) & ~spared & ~meant)


def _is_upright(part: Part) -> bool:
    size = np.ptp(part.vertices, axis=0)
    return bool(size[1] > size[0])


def _open(bay: Bay, rules: Rules) -> Bools:
    """Where air passes, (r, c) bool; a perforated strip's free opening is measured by itself."""
    return np.asarray((bay.depth >= rules.air_path.value) | _kinds(bay, Kind.VENT_STRIP))


def _ends(bay: Bay, rules: Rules) -> Bools:
    """Rows at an opening's edge where trims, and a batten laid level behind them, end a bay: (r,) bool."""
    # Such a batten lies on the membrane; one that leaves a way behind it was not meant to close it.
    laid = _kinds(bay, Kind.BATTEN) & (bay.depth <= TOUCH)
    closing = np.asarray((~_open(bay, rules) & (_kinds(bay, *ENDS) | laid)).all(axis=1))
    ends = np.zeros(len(bay.y), np.bool_)
    for rows in _stretches(bay):
        if rows[-1] < len(ends) - 1:
            above = np.cumprod(closing[rows[::-1]]).astype(np.bool_)
            ends[rows[::-1][above]] = True
        if rows[0] > 0:
            below = np.cumprod(closing[rows]).astype(np.bool_)
            ends[rows[below]] = True
    return ends


def _march(bay: Bay, rules: Rules) -> Iterator[Finding]:
    """Climb each stretch of a bay from its foot; yield where nothing more can be reached."""
    open_, ends = _open(bay, rules), _ends(bay, rules)
    for rows in _stretches(bay):
        reached: Bools = np.ones(len(bay.x), np.bool_)
        for row in rows[~ends[rows]]:
            above = _spread(reached & open_[row], open_[row])
            if not above.any():
                yield _closed(bay, int(row), int(np.where(reached, bay.depth[row], -1.0).argmax()), rules)
                break
            reached = above


def _stretches(bay: Bay) -> list[Ints]:
    """Split rows into runs of neighbours with membrane behind."""
    row = np.flatnonzero(bay.backed.all(axis=1))
    return [r for r in np.split(row, np.flatnonzero(np.diff(row) > 1) + 1) if len(r)]


def _spread(reached: Bools, open_: Bools) -> Bools:
    """Spread sideways from the columns reached through all open neighbours."""
    stretch = np.cumsum(~open_)
    met = np.zeros(len(open_) + 1, np.bool_)
    met[stretch[reached]] = True
    return np.asarray(open_ & met[stretch])


def _shallow(bay: Bay, row: int, column: int, rules: Rules) -> Finding:
    part, depth = bay.parts[bay.hit[row, column]], float(bay.depth[row, column])
    return Finding(
        check=NAME,
        verdict=Verdict.FAIL,
        wall=part.wall,
        mark=part.mark,
        where=point(bay.x[column], bay.y[row], bay.faces[row, column] + depth),
        measured=depth,
        limit=rules.cavity.value,
        unit="mm",
        basis=rules.cavity.basis,
        remedy="Use thicker battens, or clear what stands in the cavity.",
        text=f"The cavity is only {depth:.1f} mm deep behind {part.kind} {part.mark}.",
    )


def _closed(bay: Bay, row: int, column: int, rules: Rules) -> Finding:
    part, depth = bay.parts[bay.hit[row, column]], float(bay.depth[row, column])
    return Finding(
        check=NAME,
        verdict=Verdict.FAIL,
        wall=part.wall,
        mark=part.mark,
        where=point(bay.x[column], bay.y[row], bay.faces[row, column]),
        measured=depth,
        limit=rules.air_path.value,
        unit="mm",
        basis=rules.air_path.basis,
        remedy="Stop it short, or cut it away: air must rise from foot to head.",
        text=f"The bay at x {bay.x.mean():.0f} is closed at y {bay.y[row]:.0f} by {part.kind} {part.mark}.",
    )


def _strips(model: Model, wall: str, rules: Rules) -> Iterator[Finding]:
    """Free opening of each line of perforated strip, between the battens that stand on it."""
    end = model.wall_by_name[wall].length
    battens = [
        p
        for p in model.of_kind(Kind.BATTEN, wall=wall)
        if _is_upright(p) and p.vertices[:, 0].max() > TOUCH and p.vertices[:, 0].min() < end - TOUCH
    ]  # not those of the posts' other sides
    if len(battens) < 2:
        return
    # Bays lie between battens: what a strip has under a post, beyond the first and the last of them, is none.
    first = min(float(b.vertices[:, 0].max()) for b in battens)
    last = max(float(b.vertices[:, 0].min()) for b in battens)
    lines: dict[float, list[Part]] = {}
    for strip in model.of_kind(Kind.VENT_STRIP, wall=wall):
        lines.setdefault(round(float(strip.vertices[:, 1].min()), 3), []).append(strip)
    for strips in lines.values():
        low = np.min([s.vertices.min(axis=0) for s in strips], axis=0)
        high = np.max([s.vertices.max(axis=0) for s in strips], axis=0)
        standing = [b for b in battens if b.vertices[:, 1].min() < high[1] + ON_TOP < b.vertices[:, 1].max()]
        between = shapely.box(first, -METRE, max(last, first), METRE)
        own = [between.intersection(_plan_box(s)) for s in strips]
        bays = shapely.union_all(own).difference(shapely.union_all([_upright_box(b) for b in standing]))
        wide = [part.bounds[2] - part.bounds[0] for part in shapely.get_parts(bays) if not part.is_empty]
        length = sum(part.bounds[2] - part.bounds[0] for part in own if part.area > 0)
        if max(wide, default=0.0) < LEAST_BAY or length < LEAST_LINE:
            continue
        free = bays.difference(shapely.union_all([plan(s) for s in strips])).area / length * METRE
        if free < rules.vent_area.value - EXACT:
            yield Finding(
                check=NAME,
                verdict=Verdict.FAIL,
                wall=wall,
                mark=strips[0].mark,
                where=point(*(low + high) / 2),
                measured=float(free),
                limit=rules.vent_area.value,
                unit="mm2/m",
                basis=rules.vent_area.basis,
                remedy="Use a strip with more or larger slots.",
                text=f"Vent strip {strips[0].mark} lets air through {free:.0f} mm2 a metre only.",
            )


def _upright_box(part: Part) -> shapely.Polygon:
    left, right = part.vertices[:, 0].min(), part.vertices[:, 0].max()
    return shapely.box(left, -METRE, right, METRE)


def _plan_box(part: Part) -> shapely.Polygon:
    low, high = part.vertices.min(axis=0), part.vertices.max(axis=0)
    return shapely.box(low[0], low[2], high[0], high[2])


def _bare(model: Model, wall: Wall, rules: Rules) -> Iterator[Finding]:
    """Places wider than any gap for air where nothing stands in front of the membrane."""
    behind = (*BEHIND, Layer.BOARDS)
    membrane = shapely.union_all([shadow(p) for p in model.of_kind(Kind.MEMBRANE, wall=wall.name)])
    boards = shapely.union_all([shadow(p) for p in model.of_kind(Kind.BOARD, wall=wall.name)])
    half = rules.bare.value / 2
    # What is left once every edge has been pushed in by half the limit was wider than the limit.
    clad = shapely.intersection(membrane, shapely.Polygon(wall.outline), grid_size=GRID)
    left = shapely.difference(clad, boards, grid_size=GRID)
    wide = left.buffer(-half, join_style="mitre").buffer(half + TOUCH, join_style="mitre")
    # Little is left to look at: only what meets it is asked whether it covers it, a corner's post included.
    own = [
        p for p in model.parts if p.wall == wall.name and p.kind is not Kind.POST and p.layer not in behind
    ]
    near = [p for p in (*own, *around(model, wall.name, Kind.POST)) if _box(p).intersects(wide)]
    covered = shapely.union_all([shadow(p) for p in near])
    left = shapely.difference(shapely.intersection(left, wide, grid_size=GRID), covered, grid_size=GRID)
    for place in shapely.get_parts(left.buffer(-half, join_style="mitre")):
        if place.is_empty:
            continue
        x0, y0, x1, y1 = place.bounds
        wide, high = x1 - x0 + 2 * half, y1 - y0 + 2 * half
        middle = place.representative_point()
        yield Finding(
            check=NAME,
            verdict=Verdict.FAIL,
            wall=wall.name,
            where=point(middle.x, middle.y, 0.0),
            measured=float(min(wide, high)),
            limit=rules.bare.value,
            unit="mm",
            basis=rules.bare.basis,
            remedy="Hang the board that is missing, or close the hole.",
            text=f"Nothing covers the membrane at x {middle.x:.0f}, y {middle.y:.0f}: {wide:.0f} mm by "
            f"{high:.0f} lie bare.",
        )


def _box(part: Part) -> shapely.Polygon:
    low, high = part.vertices.min(axis=0), part.vertices.max(axis=0)
    return shapely.box(low[0], low[1], high[0], high[1])


def _sound(depth: float, bay: Bay, row: int, column: int, count: int, rules: Rules) -> Finding:
    part = bay.parts[bay.hit[row, column]]
    return Finding(
        check=NAME,
        verdict=Verdict.OK,
        wall=part.wall,
        mark=part.mark,
        where=point(bay.x[column], bay.y[row], bay.faces[row, column] + depth),
        measured=depth,
        limit=rules.cavity.value,
        unit="mm",
        basis=rules.cavity.basis,
        text=f"All {count} bays are open from foot to head; the least clear depth is {depth:.2f} mm, "
        f"behind {part.kind} {part.mark}.",
    )
