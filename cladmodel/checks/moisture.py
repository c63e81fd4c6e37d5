"""What drying and wetting do to a hung wall: lap left, nail clearance left, gaps that open, lean."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from cladmodel.checks.counted import DIGITS, counted
from cladmodel.checks.driven import Driven, clears, drive
from cladmodel.checks.exposure import Exposure, missing, not_assessed
from cladmodel.checks.finding import Finding, Verdict, conclude, point
from cladmodel.checks.lap import laps
from cladmodel.checks.leans import leans, off_lean
from cladmodel.checks.moved import moved_model, widths
from cladmodel.checks.rules import EXACT, TOUCH, Rules
from cladmodel.checks.seats import Seats, seats
from cladmodel.model import Kind, Model, Part, Use
from cladmodel.solids.measure import Ints
from cladmodel.standards.climate import Climate
from cladmodel.standards.moisture import EMC
from cladmodel.standards.sources import basis_of
from cladmodel.standards.species import Sawn, Species

NAME = "moisture"


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """One end of the year against the day the boards were hung.

    Attributes
    ----------
    name : str
        ``driest`` or ``wettest``.
    moisture : float
        Of the boards then. [%]
    across, through : float
        Change of width and of thickness per unit. [-]
    basis : str
    """

    name: str
    moisture: float
    across: float
    through: float
    basis: str


def states(climate: Climate, species: Species, sawn: Sawn, fixing_moisture: float) -> tuple[State, State]:
    """Driest and wettest state of boards hung at some moisture content.

    Parameters
    ----------
    climate : Climate
    species : Species
    sawn : Sawn
    fixing_moisture : float
        [%]

    Returns
    -------
    driest, wettest : State
    """
    flat = sawn is Sawn.FLAT
    ends = {"driest": climate.driest.moisture, "wettest": climate.wettest.moisture}
    dry, wet = (
        State(
            name=name,
            moisture=then,
            across=float(species.strain(fixing_moisture, then, tangential=flat)),
            through=float(species.strain(fixing_moisture, then, tangential=not flat)),
            basis=basis_of(EMC, *species.sources(fixing_moisture, then), climate.source),
        )
        for name, then in ends.items()
    )
    return dry, wet


def check_moisture(model: Model, rules: Rules, exposure: Exposure) -> Iterator[Finding]:
    """Measure the wall again as solids at its driest and its wettest.

    Moisture content by eq. 4-5, movement by eq. 13-2 within 6 to 14 % and 13-3 outside; each board shrinks
    or swells about its nails. Laps and gaps are measured on the dried solids, clearances on the wet ones.

    Parameters
    ----------
    model : Model
    rules : Rules
        `tilt_most`, for boards whose lean is wrong already.
    exposure : Exposure
        `climate`, `species`, `sawn`, `fixing_moisture`, `fixing_range`, `dry_lap`, `wet_clearance`,
        `dry_gap`.
    """
    for wall in model.walls:
        if model.of_kind(Kind.BOARD, wall=wall.name):
            yield from _fixed_at(wall.name, exposure)
    lacking = missing(
        climate=exposure.climate,
        species_of_the_boards=exposure.species,
        moisture_content_at_fixing=exposure.fixing_moisture,
    )
    if exposure.climate is None or exposure.species is None or exposure.fixing_moisture is None:
        for wall in model.walls:
            yield not_assessed(NAME, wall.name, "Movement of the boards", lacking)
        return
    dry, wet = states(exposure.climate, exposure.species, exposure.sawn, exposure.fixing_moisture)
    dried = moved_model(model, dry.across, dry.through)
    wetted = moved_model(model, wet.across, wet.through)
    leaning = off_lean(model, rules)
    for wall in model.walls:
        if not model.of_kind(Kind.BOARD, wall=wall.name):
            continue
        yield _movement(model, wall.name, dry, wet, exposure.species, exposure.sawn)
        before = seats(model, wall.name)
        after = seats(dried, wall.name)
        yield from _laps(before, after, dry, exposure)
        yield from _gaps(before, after, leaning, dry, exposure)
        yield from _clearances(model, wetted, wall.name, wet, exposure)
        yield from _lean(before, dry, wet, wall.name)


def _fixed_at(wall: str, exposure: Exposure) -> Iterator[Finding]:
    """Boards hung too wet or too dry."""
    own, wanted = exposure.fixing_moisture, exposure.fixing_range
    if own is None:
        yield not_assessed(NAME, wall, "Moisture of the boards when hung", ["moisture content at fixing"])
        return
    wet, dry = own > wanted.high + EXACT, own < wanted.low - EXACT
    how = "too wet and will shrink; over" if wet else "too dry and will swell; under" if dry else "within"
    yield Finding(
        check=NAME,
        verdict=Verdict.CAUTION if wet or dry else Verdict.OK,
        wall=wall,
        measured=own,
        limit=wanted.high if wet else wanted.low if dry else None,
        unit=wanted.unit,
        basis=wanted.source.basis,
        remedy="Stack the boards in stick under cover until they are within it." if wet or dry else "",
        text=f"Boards hung at {own:g} % are {how} the {wanted.low:g} to {wanted.high:g} % wanted.",
    )


def _movement(model: Model, wall: str, dry: State, wet: State, species: Species, sawn: Sawn) -> Finding:
    boards = model.of_kind(Kind.BOARD, wall=wall)
    wide = widths(boards, np.radians(leans(boards)))
    widest = int(np.nanargmax(np.round(wide, DIGITS)))
    shrink, swell = wide[widest] * dry.across, wide[widest] * wet.across
    return Finding(
        check=NAME,
        verdict=Verdict.OK,
        wall=wall,
        mark=boards[widest].mark,
        measured=float(swell - shrink),
        unit="mm",
        basis=dry.basis,
        text=f"{species.label}, {sawn}-sawn: board {boards[widest].mark}, {wide[widest]:.0f} wide, changes "
        f"by {shrink:+.2f} mm at its driest ({dry.moisture:.1f} %) and {swell:+.2f} mm at its wettest "
        f"({wet.moisture:.1f} %).",
    )


def _laps(before: Seats, after: Seats, dry: State, exposure: Exposure) -> Iterator[Finding]:
    row, along, _ = laps(after)
    if not len(row):
        return
    was = dict(zip(*(v.tolist() for v in laps(before)[:2]), strict=True))
    same = _same(after, before)
    limit = exposure.dry_lap

    def finding(k: int) -> Finding:
        short = along[k] < limit.value - EXACT
        upper, lower = after.mark(row[k]), after.mark(after.below_cut[row[k]])
        z, y = after.arrises[row[k], 0]
        then = was.get(int(same[row[k]]), float("nan"))
        return Finding(
            check=NAME,
            verdict=Verdict.FAIL if short else Verdict.OK,
            wall=after.parts[after.board[row[k]]].wall,
            mark=upper,
            other=lower,
            where=point(after.x[row[k]], y, z),
            measured=float(along[k]),
            limit=limit.value,
            unit="mm",
            basis=f"{limit.basis}; {dry.basis}",
            remedy="Hang drier boards, use a smaller gauge, or a timber that moves less." if short else "",
            text=f"At its driest board {upper} laps {lower} by {along[k]:.2f} mm, {then - along[k]:.2f} less "
            f"than when hung; at least {limit.value:g} is wanted.",
        )

    short = np.flatnonzero(along < limit.value - EXACT)
    faults = counted((after.mark(row[k]), -float(along[k]), finding(int(k))) for k in short)
    yield from conclude(faults, finding(int(np.argmin(np.round(along, DIGITS)))))


def _same(after: Seats, before: Seats) -> Ints:
    """Row of the wall as hung for each row of the wall dried, (n,) int; -1 where it has none."""
    keys = [zip(own.board.tolist(), np.round(own.x, 6).tolist(), strict=True) for own in (after, before)]
    row_of = {key: row for row, key in enumerate(keys[1])}
    return np.array([row_of.get(key, -1) for key in keys[0]], np.int64)


def _gaps(
    before: Seats, after: Seats, leaning: frozenset[str], dry: State, exposure: Exposure
) -> Iterator[Finding]:
    """Gaps that open at butts and that were not there when the boards were hung."""
    same = _same(after, before)
    hung = np.where(same >= 0, before.bottom[same], np.nan)
    opened = after.bottom - np.maximum(hung, 0.0)
    owned = np.isin([after.mark(i) for i in range(len(opened))], list(leaning))
    opened = np.where(owned | (np.abs(hung) > TOUCH), np.nan, opened)
    if np.isnan(opened).all():
        return
    limit = exposure.dry_gap

    def finding(k: int) -> Finding:
        wide = opened[k] > limit.value + EXACT
        z, y = after.arrises[k, 0]
        return Finding(
            check=NAME,
            verdict=Verdict.CAUTION if wide else Verdict.OK,
            wall=after.parts[after.board[k]].wall,
            mark=after.mark(k),
            where=point(after.x[k], y, z),
            measured=float(max(opened[k], 0.0)),
            limit=limit.value,
            unit="mm",
            basis=f"{limit.basis}; {dry.basis}",
            remedy="Hang drier boards, or narrower ones." if wide else "",
            text=f"At its driest a gap of {max(opened[k], 0.0):.2f} mm opens under the butt of board "
            f"{after.mark(k)}; up to {limit.value:g} is taken as sound.",
        )

    with np.errstate(invalid="ignore"):
        wide = np.flatnonzero(opened > limit.value + EXACT)
    faults = counted((after.mark(k), float(opened[k]), finding(int(k))) for k in wide)
    yield from conclude(faults, finding(int(np.nanargmax(np.round(opened, DIGITS)))))


def _clearances(model: Model, wetted: Model, wall: str, wet: State, exposure: Exposure) -> Iterator[Finding]:
    """Room left between each nail and the swollen board below it."""
    limit = exposure.wet_clearance
    boards = wetted.of_kind(Kind.BOARD, wall=wall)
    left: list[tuple[float, Driven, Part]] = []
    for group in model.fixings_for(Use.BOARD, wall=wall):
        # A nail through two boards is for `nails` to report.
        nails = [nail for nail in drive(model, group, TOUCH, limit.value) if len(nail.boards) == 1]
        for nail, below in zip(nails, clears(nails, boards), strict=True):
            left += [(over, nail, b) for over, b in below]
    if not left:
        return

    def finding(over: float, nail: Driven, below: Part) -> Finding:
        close = over < limit.value - EXACT
        return Finding(
            check=NAME,
            verdict=Verdict.FAIL if close else Verdict.OK,
            wall=wall,
            mark=nail.boards[0].mark,
            other=below.mark,
            where=point(*nail.head),
            measured=over,
            limit=limit.value,
            unit="mm",
            basis=f"{limit.basis}; {wet.basis}",
            remedy="Nail higher, or hang boards nearer the moisture they will have." if close else "",
            text=f"At its wettest board {below.mark} comes within {over:.2f} mm of the nail at x "
            f"{nail.head[0]:.0f} in {nail.boards[0].mark}; at least {limit.value:g} is wanted.",
        )

    close = [item for item in left if item[0] < limit.value - EXACT]
    faults = counted((nail.boards[0].mark, -over, finding(over, nail, b)) for over, nail, b in close)
    yield from conclude(faults, finding(*min(left, key=lambda item: item[0])))


def steady_lean(width: float, butt: float, thin: float, gauge: float) -> float:
    """Lean of endless equal courses (own derivation, checked on hung boards). [rad]

    Parameters
    ----------
    width, butt, thin, gauge : float
        [mm]
    """
    k = (butt - thin) / width
    return math.asin(min(butt / (gauge * math.sqrt(1 + k * k)), 1.0)) - math.atan(k)


def _lean(before: Seats, dry: State, wet: State, wall: str) -> Iterator[Finding]:
    """Lean that whole boards would settle to; they settle only as far as their nails let them."""
    whole = before.whole_butt & before.whole_top & (before.below_cut >= 0)
    row = np.flatnonzero(whole)
    if not len(row):
        return
    rise = before.arrises[row, 0, 1] - before.arrises[before.below_cut[row], 0, 1]
    sizes = [size[row] for size in (before.widths, before.butts, before.thin_edges)]
    width, butt, thin, gauge = (float(np.median(v)) for v in (*sizes, rise))
    now = steady_lean(width, butt, thin, gauge)
    then = [
        steady_lean(width * (1 + s.across), butt * (1 + s.through), thin * (1 + s.through), gauge)
        for s in (dry, wet)
    ]
    change = np.degrees(np.array(then) - now)
    yield Finding(
        check=NAME,
        verdict=Verdict.OK,
        wall=wall,
        measured=float(np.abs(change).max()),
        unit="deg",
        basis=f"own derivation for equal courses; {dry.basis}",
        text=f"Boards lean {math.degrees(now):.2f} deg when hung; seated anew this would change by "
        f"{change[0]:+.2f} deg at their driest and {change[1]:+.2f} deg at their wettest, less what the "
        "nails hold.",
    )
