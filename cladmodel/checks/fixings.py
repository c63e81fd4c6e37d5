"""Nails and screws: how many, long enough, headed, of the right metal, far enough from edges, pre-drilled."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from cladmodel.checks.counted import DIGITS, counted
from cladmodel.checks.exposure import Drilled, Exposure, missing, not_assessed
from cladmodel.checks.finding import Finding, Verdict, conclude, point
from cladmodel.checks.leans import leans
from cladmodel.checks.metals import judge
from cladmodel.checks.moved import widths
from cladmodel.checks.rules import COMMON, EXACT, Rules
from cladmodel.checks.seats import seats
from cladmodel.checks.tributary import Held, held
from cladmodel.model import Fastener, Fixings, Kind, Model, Use
from cladmodel.solids.measure import extent_at
from cladmodel.standards import guidance, nails
from cladmodel.standards.sources import basis_of

NAME = "fixings"

LEVEL = 0.1
"""Nails driven less than this off level are said to be level. [deg]"""

HEADS = f"heads hold a board that cups, pins do not: {COMMON}"


def check_fixings(model: Model, rules: Rules, exposure: Exposure) -> Iterator[Finding]:
    """Judge every fixing by what it is, and every board nail by where it sits in its solid.

    Length by rule of thumb against the board's thickest edge; table 8.2 of EN 1995-1-1 for ends and edges
    of the boards; eq. 8.18 (8.19 for timber that splits) for pre-drilling, by the wood each nail passes.

    Parameters
    ----------
    model : Model
    rules : Rules
        Not used: one nail to a batten and trade distances are for `nails`.
    exposure : Exposure
        `species`, `treated`, `drilled`, `board_timber`, `wide`.
    """
    for wall in model.walls:
        groups = [group for group in model.fixings if group.wall == wall.name]
        if not groups:
            yield not_assessed(NAME, wall.name, "Fixings", ["nails or screws"])
            continue
        yield _numbers(wall.name, groups)
        board_nails = model.fixings_for(Use.BOARD, wall=wall.name)
        yield from _heads(wall.name, board_nails)
        yield from _lengths(model, wall.name, board_nails)
        yield from _metals(wall.name, groups, exposure)
        yield from _wide(model, wall.name, exposure)
        if board_nails:
            nailed = held(model, wall.name)
            yield from _distances(wall.name, nailed, exposure)
            yield from _drilling(wall.name, nailed, exposure)


def _numbers(wall: str, groups: Sequence[Fixings]) -> Finding:
    count: dict[tuple[str, str], int] = {}
    for group in groups:
        key = (group.fastener.name, str(group.use))
        count[key] = count.get(key, 0) + len(group.heads)
    said = "; ".join(f"{number} {name} ({use})" for (name, use), number in count.items())
    total = sum(count.values())
    # Nails are driven level; a skewed one shows here.
    lean = max(
        float(np.abs(np.degrees(np.arcsin(np.clip(g.directions[:, 1], -1, 1)))).max())
        for g in groups
        if len(g.heads)
    )
    skew = "all driven level" if lean < LEVEL else f"driven up to {lean:.0f} deg off level"
    return Finding(
        check=NAME,
        verdict=Verdict.OK,
        wall=wall,
        measured=float(total),
        unit="fixings",
        basis="counted",
        text=f"{total} fixings, {skew}: {said}.",
    )


def _heads(wall: str, groups: Sequence[Fixings]) -> Iterator[Finding]:
    for group in groups:
        size = group.fastener
        bare = not size.headed or size.head_diameter <= size.diameter + EXACT
        yield Finding(
            check=NAME,
            verdict=Verdict.FAIL if bare else Verdict.OK,
            wall=wall,
            mark=group.mark,
            measured=size.head_diameter,
            limit=size.diameter,
            unit="mm",
            basis=HEADS,
            remedy="Use nails with heads." if bare else "",
            text=f"The boards' {size.name} has no head: a cupping board pulls off it."
            if bare
            else f"The boards' {size.name} has a head of {size.head_diameter:g} mm.",
        )


def _lengths(model: Model, wall: str, groups: Sequence[Fixings]) -> Iterator[Finding]:
    cut = seats(model, wall)
    if not len(cut.board):
        return
    # Sawn level to a sloping foot a board is thicker along the cut than it is.
    butts = np.where(cut.whole_butt, cut.butts, 0.0) if cut.whole_butt.any() else cut.butts
    thickest = int(np.argmax(butts))
    for group in groups:
        size = group.fastener
        least = guidance.least_nail(float(butts[thickest]), ringed=size.ringed)
        short = size.length < least - EXACT
        times = guidance.NAIL_LENGTH_RINGED if size.ringed else guidance.NAIL_LENGTH_SMOOTH
        yield Finding(
            check=NAME,
            verdict=Verdict.FAIL if short else Verdict.OK,
            wall=wall,
            mark=cut.mark(thickest),
            other=group.mark,
            measured=size.length,
            limit=least,
            unit="mm",
            basis=guidance.NAIL_LENGTH.basis,
            remedy="Use a longer nail." if short else "",
            text=f"The boards' {size.name} is {size.length:g} long; {times:g} times the board's "
            f"{butts[thickest]:.1f} is {least:.0f}.",
        )


def _metals(wall: str, groups: Sequence[Fixings], exposure: Exposure) -> Iterator[Finding]:
    species, treated = exposure.species, exposure.treated
    if species is None or treated is None:
        needs = missing(species_of_the_boards=species, whether_the_timber_is_treated=treated)
        yield not_assessed(NAME, wall, "Metal of the fixings", needs)
        return
    sizes: dict[Fastener, list[str]] = {}
    for group in groups:
        sizes.setdefault(group.fastener, []).append(group.mark)
    sound = True
    for size, marks in sizes.items():
        verdict, why, basis = judge(size.material, species, treated=treated)
        if verdict is not Verdict.OK:
            sound = False
            yield Finding(
                check=NAME,
                verdict=verdict,
                wall=wall,
                mark=marks[0],
                basis=basis,
                remedy="Use stainless steel.",
                text=f"{size.name} of {size.material}: {why}.",
            )
    if sound:
        size, marks = next(iter(sizes.items()))
        _, why, basis = judge(size.material, species, treated=treated)
        yield Finding(
            check=NAME,
            verdict=Verdict.OK,
            wall=wall,
            mark=marks[0],
            basis=basis,
            text=f"All fixings suit {species.name}: {why}.",
        )


def _wide(model: Model, wall: str, exposure: Exposure) -> Iterator[Finding]:
    boards = model.of_kind(Kind.BOARD, wall=wall)
    if not boards:
        return
    wide = widths(boards, np.radians(leans(boards)))
    limit = exposure.wide
    over = np.flatnonzero(wide > limit.value + EXACT)
    widest = int(np.nanargmax(np.round(wide, DIGITS)))

    def finding(index: int) -> Finding:
        high = wide[index] > limit.value + EXACT
        return Finding(
            check=NAME,
            verdict=Verdict.CAUTION if high else Verdict.OK,
            wall=wall,
            mark=boards[index].mark,
            measured=float(wide[index]),
            limit=limit.value,
            unit="mm",
            basis=f"{limit.basis}; {guidance.TWO_FIXINGS.basis}",
            remedy="Choose boards of slow growth and keep them from drying fast, or use narrower ones; "
            "never add a second nail through the lap."
            if high
            else "",
            text=f"Board {boards[index].mark} is {wide[index]:.0f} wide on one nail at each batten"
            + (": wide boards cup." if high else "."),
        )

    faults = counted((boards[i].mark, float(wide[i]), finding(int(i))) for i in over)
    yield from conclude(faults, finding(widest))


def _distances(wall: str, nailed: Sequence[Held], exposure: Exposure) -> Iterator[Finding]:
    timber, drilled = exposure.board_timber, exposure.drilled
    if timber is None or drilled is None:
        needs = missing(timber_class_of_the_boards=timber, which_nail_holes_are_drilled=drilled)
        yield not_assessed(NAME, wall, "Nails to ends and edges by table 8.2", needs)
        return
    if timber.density > nails.DENSEST and drilled is not Drilled.ALL:
        yield Finding(
            check=NAME,
            verdict=Verdict.FAIL,
            wall=wall,
            measured=timber.density,
            limit=nails.DENSEST,
            unit="kg/m3",
            basis=nails.TABLE_8_2.basis,
            remedy="Drill every nail hole.",
            text=f"{timber.name} is too dense to be nailed without drilling.",
        )
        return
    at_end = nails.distances(_diameter(nailed), timber.density, pre_drilled=drilled is not Drilled.NONE)
    inside = nails.distances(_diameter(nailed), timber.density, pre_drilled=drilled is Drilled.ALL)
    ends = [(item.nail.to_end, item) for item in nailed]
    edges = [(_to_edge(item), item) for item in nailed]
    for what, limit, found, remedy in (
        ("end", at_end.end, ends, "Drill the holes at ends, or move the nails in."),
        ("edge", inside.edge, edges, "Drill the holes, or move the nails in."),
    ):
        close = [pair for pair in found if pair[0] < limit - EXACT]
        faults = counted(
            (tuple(item.nail.head), -near, _near(item, near, what, limit, remedy)) for near, item in close
        )
        near, item = min(found, key=lambda pair: pair[0])
        yield from conclude(faults, _near(item, near, what, limit, ""))


def _diameter(nailed: Sequence[Held]) -> float:
    return max((item.nail.fastener.diameter for item in nailed), default=0.0)


def _to_edge(item: Held) -> float:
    """From a nail's axis to the nearer edge of its board, along the board. [mm]"""
    x, y, _ = item.nail.head
    reach = extent_at(item.board, 0, float(x), 1)
    if reach is None:
        return math.inf
    return min(float(y) - reach[0], reach[1] - float(y))


def _near(item: Held, near: float, what: str, limit: float, remedy: str) -> Finding:
    close = near < limit - EXACT
    x, y, _ = item.nail.head
    said = f"{near:.1f} mm" if math.isfinite(near) else "further than was looked"
    return Finding(
        check=NAME,
        verdict=Verdict.CAUTION if close else Verdict.OK,
        wall=item.board.wall,
        mark=item.board.mark,
        where=point(*item.nail.head),
        measured=near if math.isfinite(near) else None,
        limit=limit,
        unit="mm",
        basis=nails.TABLE_8_2.basis,
        remedy=remedy,
        text=f"The nail at x {x:.0f}, y {y:.0f} is {said} from the {what} of board {item.board.mark}; "
        f"table 8.2 wants {limit:.1f}.",
    )


def _drilling(wall: str, nailed: Sequence[Held], exposure: Exposure) -> Iterator[Finding]:
    timber, drilled, species = exposure.board_timber, exposure.drilled, exposure.species
    if timber is None or drilled is None or species is None:
        needs = missing(
            species_of_the_boards=species,
            timber_class_of_the_boards=timber,
            which_nail_holes_are_drilled=drilled,
        )
        yield not_assessed(NAME, wall, "Pre-drilling", needs)
        return
    size = _diameter(nailed)
    least = nails.least_undrilled(size, timber.density, splits=species.splits)
    rule = nails.PRE_DRILLING_SPLITS if species.splits else nails.PRE_DRILLING
    basis = basis_of(rule, *([species.splitting] if species.splits else []), guidance.PILOT)
    near_end = nails.distances(size, min(timber.density, nails.DENSEST), pre_drilled=False).end
    undrilled = [
        item
        for item in nailed
        if drilled is Drilled.NONE or (drilled is Drilled.ENDS and item.nail.to_end >= near_end)
    ]
    bare = {id(item) for item in undrilled}
    thin = [item for item in undrilled if item.thickness < least - EXACT]

    def finding(item: Held) -> Finding:
        short = id(item) in bare and item.thickness < least - EXACT
        x, y, _ = item.nail.head
        how = "undrilled" if id(item) in bare else "drilled"
        return Finding(
            check=NAME,
            verdict=Verdict.CAUTION if short else Verdict.OK,
            wall=wall,
            mark=item.board.mark,
            where=point(*item.nail.head),
            measured=item.thickness,
            limit=least,
            unit="mm",
            basis=basis,
            remedy=f"Drill {guidance.PILOT_HOLE * size:.1f} mm holes, or use a thinner nail."
            if short
            else "",
            text=f"The nail at x {x:.0f}, y {y:.0f} passes {how} through {item.thickness:.1f} mm of board "
            f"{item.board.mark}; holes are drilled in wood under {least:.1f}.",
        )

    faults = counted((tuple(item.nail.head), -item.thickness, finding(item)) for item in thin)
    judged = undrilled or list(nailed)
    if judged:
        yield from conclude(faults, finding(min(judged, key=lambda item: item.thickness)))
