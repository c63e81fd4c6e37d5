"""Air in and out of every bay: free area of its openings, and the narrowest place of its path."""

from __future__ import annotations

from collections.abc import Iterator

from cladmodel.checks.airways import Airway, Place, airways, cavity_narrowest
from cladmodel.checks.exposure import Exposure, not_assessed
from cladmodel.checks.finding import Finding, Verdict, conclude, worst_each
from cladmodel.checks.rules import EXACT, Rules
from cladmodel.model import Model

NAME = "air"

MOST_TIMBER = 350.0
"""Bays further apart than this have a door between them, not battens alone, five side by side. [mm]"""

METRE = 1000.0
"""[mm]"""


def check_air(model: Model, rules: Rules, exposure: Exposure) -> Iterator[Finding]:
    """Hold each opening of each bay to one source's free area and width of path.

    Measured: strips in plan, slot by slot; other gaps as the shortest way between the boards and what
    faces them, on five upright cuts across each bay. Both ends of each bay count, each by itself, and
    each place over the whole wall, battens included.

    Parameters
    ----------
    model : Model
    rules : Rules
        Not used: the limits are `exposure.openings`, `exposure.mesh`, `exposure.insects`.
    exposure : Exposure
    """
    for wall in model.walls:
        ways = airways(model, wall.name)
        if not ways:
            yield not_assessed(NAME, wall.name, "Air path", ["membrane and battens"])
            continue
        for place in Place:
            own = [way for way in ways if way.place is place]
            if own:
                yield from _place(own, exposure)
        yield _narrowest(model, wall.name, ways, exposure)
        yield from _insects(wall.name, ways, exposure)


def _free(way: Airway, exposure: Exposure) -> float:
    """Free area, less what a mesh takes of an open gap. [mm2]"""
    share = exposure.mesh.open_share if exposure.mesh is not None and not way.stripped else 1.0
    return way.area * share


def _place(ways: list[Airway], exposure: Exposure) -> Iterator[Finding]:
    rule = exposure.openings
    faults = []
    for way in ways:
        per_metre = _free(way, exposure) / (way.right - way.left) * METRE
        if per_metre < rule.area - EXACT:
            faults.append((way.place, -per_metre, _finding(way, per_metre, exposure)))
        elif way.narrowest < rule.narrowest - EXACT:
            faults.append((way.place, -way.narrowest, _tight(way, exposure)))
    tightest = min(ways, key=lambda way: _free(way, exposure) / (way.right - way.left))
    run = _run(ways)
    whole = sum(_free(way, exposure) for way in ways) / run * METRE
    if not faults and ways[0].place in (Place.FOOT, Place.HEAD) and whole < rule.area - EXACT:
        faults.append((ways[0].place, -whole, _finding(tightest, whole, exposure, over=len(ways))))
    own = _free(tightest, exposure)
    yield from conclude(
        worst_each(faults),
        Finding(
            check=NAME,
            verdict=Verdict.OK,
            wall=tightest.wall,
            mark=_mark(tightest),
            where=tightest.where,
            measured=whole,
            limit=rule.area,
            unit="mm2/m",
            basis=rule.source.basis,
            text=f"At the {tightest.place} {whole:.0f} mm2 a metre are free over {len(ways)} bays; the "
            f"tightest bay, at x {_middle(tightest):.0f}, has {own:.0f} mm2 and a way "
            f"{tightest.narrowest:.1f} mm wide.",
        ),
    )


def _run(ways: list[Airway]) -> float:
    """Length of wall that some bays take up, battens between them included, doors not. [mm]"""
    across = sorted({(way.left, way.right) for way in ways})
    run, end = 0.0, across[0][0]
    for left, right in across:
        start = left if left - end > MOST_TIMBER else end
        run += max(right - start, 0.0)
        end = max(end, right)
    return run


def _middle(way: Airway) -> float:
    return (way.left + way.right) / 2


def _mark(way: Airway) -> str | None:
    return way.beside if way.beside not in ("soffit", "nothing") else None


def _finding(way: Airway, per_metre: float, exposure: Exposure, over: int = 0) -> Finding:
    rule = exposure.openings
    what = (
        f"The {way.place} lets through {per_metre:.0f} mm2 a metre over all {over} bays"
        if over
        else f"At its {way.place} the bay at x {_middle(way):.0f} lets through {per_metre:.0f} mm2 a metre"
    )
    return Finding(
        check=NAME,
        verdict=Verdict.FAIL,
        wall=way.wall,
        mark=_mark(way),
        where=way.where,
        measured=per_metre,
        limit=rule.area,
        unit="mm2/m",
        basis=rule.source.basis,
        remedy="Use a strip with more or larger slots."
        if way.stripped
        else "Leave a wider gap between the boards and what faces them.",
        text=f"{what}; at least {rule.area:.0f} is wanted.",
    )


def _tight(way: Airway, exposure: Exposure) -> Finding:
    rule = exposure.openings
    return Finding(
        check=NAME,
        verdict=Verdict.FAIL,
        wall=way.wall,
        mark=_mark(way),
        where=way.where,
        measured=way.narrowest,
        limit=rule.narrowest,
        unit="mm",
        basis=rule.source.basis,
        remedy="Widen the slots or the gap.",
        text=f"The way at the {way.place} of the bay at x {_middle(way):.0f} is {way.narrowest:.1f} mm wide; "
        f"at least {rule.narrowest:g} is wanted.",
    )


def _narrowest(model: Model, wall: str, ways: list[Airway], exposure: Exposure) -> Finding:
    """The narrowest place of all, cavity and openings alike: said, not judged."""
    width, where, what, mark = min((w.narrowest, w.where, f"at the {w.place}", _mark(w)) for w in ways)
    for depth, x, y, z, hit in cavity_narrowest(model, wall):
        if depth < width:
            width, where, what, mark = depth, (x, y, z), "in the cavity", hit
    return Finding(
        check=NAME,
        verdict=Verdict.OK,
        wall=wall,
        mark=mark,
        where=where,
        measured=width,
        unit="mm",
        basis=exposure.openings.source.basis,
        text=f"The narrowest place of any bay's air path is {width:.1f} mm, {what}, at x {where[0]:.0f}, "
        f"y {where[1]:.0f}.",
    )


def _insects(wall: str, ways: list[Airway], exposure: Exposure) -> Iterator[Finding]:
    limit = exposure.insects
    open_ways = [way for way in ways if not way.stripped and way.hole > limit.value + EXACT]
    faults = []
    for way in (w for w in ways if w.stripped and w.hole > limit.value + EXACT):
        text = f"Strip {way.beside} has slots {way.hole:.1f} mm wide: insects pass over {limit.value:g}."
        faults.append(
            (way.beside, way.hole, _hole(way, way.hole, text, "Use a strip with finer slots.", exposure))
        )
    if open_ways and exposure.mesh is None:
        widest = max(open_ways, key=lambda way: way.hole)
        what = f"Insects at the {widest.hole:.0f} mm gap at the {widest.place}"
        yield not_assessed(NAME, wall, what, ["aperture of the insect mesh behind it"])
    elif open_ways and exposure.mesh is not None and exposure.mesh.aperture > limit.value + EXACT:
        text = f"The mesh at head and sill has holes of {exposure.mesh.aperture:g} mm: insects pass."
        faults.append(
            ("mesh", 1.0, _hole(open_ways[0], exposure.mesh.aperture, text, "Use a finer mesh.", exposure))
        )
    if faults:
        yield from worst_each(faults)
    elif not open_ways or exposure.mesh is not None:
        yield _kept_out(wall, ways, open_ways, exposure)


def _kept_out(wall: str, ways: list[Airway], open_ways: list[Airway], exposure: Exposure) -> Finding:
    slots = max((way.hole for way in ways if way.stripped), default=0.0)
    mesh = exposure.mesh.aperture if open_ways and exposure.mesh is not None else 0.0
    return Finding(
        check=NAME,
        verdict=Verdict.OK,
        wall=wall,
        measured=max(slots, mesh),
        limit=exposure.insects.value,
        unit="mm",
        basis=exposure.insects.basis,
        text=f"Insects are kept out: slots are {slots:.1f} mm wide at most"
        + (f", and gaps at head and sill have a mesh of {mesh:g} mm." if mesh else "."),
    )


def _hole(way: Airway, hole: float, text: str, remedy: str, exposure: Exposure) -> Finding:
    return Finding(
        check=NAME,
        verdict=Verdict.CAUTION,
        wall=way.wall,
        mark=_mark(way),
        where=way.where,
        measured=hole,
        limit=exposure.insects.value,
        unit="mm",
        basis=exposure.insects.basis,
        remedy=remedy,
        text=text,
    )
