"""Wind suction on every board nail against what the nail holds. Guidance only: an engineer decides."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

import shapely

from cladmodel.checks.counted import counted
from cladmodel.checks.exposure import Exposure, WindInputs, missing, not_assessed
from cladmodel.checks.finding import Finding, Verdict, point
from cladmodel.checks.rules import EXACT, Rules
from cladmodel.checks.tributary import FARTHEST, Held, held
from cladmodel.errors import CladmodelError
from cladmodel.model import Kind, Model, Wall
from cladmodel.standards import nails, wind
from cladmodel.standards.sources import Source, Standing, basis_of

NAME = "wind"

METRE, SQUARE_METRE = 1e3, 1e6  # [mm], [mm2]

NEAR_SATURATION = 25.0
"""Boards hung at this moisture content or more count as near fibre saturation. From memory. [%]"""

STILL_AIR = Source(
    name="no pressure in the cavity",
    standing=Standing.ASSUMED,
    note="suction on the face of the boards is taken whole",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch:
    """A stretch of a wall under one suction.

    Attributes
    ----------
    zone : str
        The zone whose suction governs: A, B, C, or E for the wind on the other side.
    left, right : float
        In the wall's x. [mm]
    coefficient : float
        c_pe,1 at its worst, below 0. [-]
    """

    zone: wind.Zone
    left: float
    right: float
    coefficient: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NailUse:
    """How hard the wind pulls at one nail.

    Attributes
    ----------
    held : Held
    zone : str
        Where most of its pull comes from.
    area : float
        [m2]
    pull : float
        Design suction on its strip. [N]
    holds : Pull
        Characteristic.
    resists : float
        Design. [N]
    """

    held: Held
    zone: wind.Zone
    area: float
    pull: float
    holds: nails.Pull
    resists: float

    @property
    def use(self) -> float:
        """Pull over resistance; infinite for a nail that holds nothing. [-]"""
        return self.pull / self.resists if self.resists > 0 else float("inf")


def patches(wall: Wall, inputs: WindInputs) -> list[Patch]:
    """Worst suction along a wall, with the wind from either end or from behind the building.

    Parameters
    ----------
    wall : Wall
    inputs : WindInputs
        `height` and `breadth` given.

    Returns
    -------
    list of Patch
        From left to right; the outermost reach past the wall's ends, round its posts.

    Raises
    ------
    OutsideStandardError
        If the building is taller than five times its length: table 7.1 ends there.
    """
    assert inputs.height is not None
    assert inputs.breadth is not None
    length = wall.length / METRE
    side = wind.zones(length, wind.reference_length(inputs.breadth, inputs.height))
    ratio = inputs.height / length
    own = [(zone, a, b, wind.pressure_coefficient(zone, ratio, 1.0, inputs.national)) for zone, a, b in side]
    turned = [(zone, length - b, length - a, c) for zone, a, b, c in own]
    lee = wind.pressure_coefficient("E", inputs.height / inputs.breadth, 1.0, inputs.national)
    cuts = sorted({0.0, length, *(edge for _, a, b, _ in own + turned for edge in (a, b))})
    found: list[Patch] = []
    for a, b in itertools.pairwise(cuts):
        middle = (a + b) / 2
        here = [(c, zone) for zone, low, high, c in own + turned if low <= middle <= high]
        worst: tuple[float, wind.Zone] = min([*here, (lee, "E")])
        if found and found[-1].zone == worst[1]:
            last = found.pop()
            found.append(Patch(zone=worst[1], left=last.left, right=b * METRE, coefficient=worst[0]))
        else:
            found.append(Patch(zone=worst[1], left=a * METRE, right=b * METRE, coefficient=worst[0]))
    return found


def peak(inputs: WindInputs) -> float:
    """Peak velocity pressure: as given, else worked out at the building's height. [N/m2]

    Parameters
    ----------
    inputs : WindInputs
        `pressure`, or `velocity`, `terrain` and `height`, given.
    """
    if inputs.pressure is not None:
        return inputs.pressure
    assert inputs.velocity is not None
    assert inputs.terrain is not None
    assert inputs.height is not None
    velocity = wind.basic_velocity(
        inputs.velocity,
        direction=inputs.direction,
        season=inputs.season,
        probability=inputs.probability,
    )
    return wind.peak_pressure(
        velocity, inputs.height, inputs.terrain, orography=inputs.orography, national=inputs.national
    )


def nail_uses(model: Model, wall: Wall, exposure: Exposure) -> list[NailUse]:
    """Pull and resistance of every board nail of a wall.

    Parameters
    ----------
    model : Model
    wall : Wall
    exposure : Exposure
        With everything that `lacking` asks for.
    """
    inputs, pressure = exposure.wind, peak(exposure.wind)
    spans = patches(wall, inputs)
    result = []
    for item in held(model, wall.name):
        force, most, zone = 0.0, -1.0, spans[0].zone
        for index, span in enumerate(spans):
            low = -FARTHEST if index == 0 else span.left
            high = FARTHEST if index == len(spans) - 1 else span.right
            area = item.strip.intersection(shapely.box(low, -FARTHEST, high, FARTHEST)).area / SQUARE_METRE
            part = area * pressure * max(inputs.behind - span.coefficient, 0.0)
            force += part
            if part > most:
                most, zone = part, span.zone
        holds = holding(item, exposure)
        result.append(
            NailUse(
                held=item,
                zone=zone,
                area=float(item.strip.area) / SQUARE_METRE,
                pull=force * inputs.load_factor,
                holds=holds,
                resists=holds.design(
                    nails.K_MOD[exposure.service_class][exposure.duration], exposure.gamma_m
                ),
            )
        )
    return result


def holding(item: Held, exposure: Exposure) -> nails.Pull:
    """What one nail holds, from its measured point and board.

    Parameters
    ----------
    item : Held
    exposure : Exposure
        `board_timber`, `batten_timber` and `fixing_moisture` given.
    """
    front, back = exposure.board_timber, exposure.batten_timber
    assert front is not None
    assert back is not None
    assert exposure.fixing_moisture is not None
    fastener = item.nail.fastener
    return nails.pull(
        diameter=fastener.diameter,
        head=fastener.head_diameter if fastener.headed else fastener.diameter,
        penetration=item.nail.penetration,
        thickness=item.thickness,
        f_ax=exposure.f_ax if exposure.f_ax is not None else nails.withdrawal_strength(back.density),
        f_head=exposure.f_head if exposure.f_head is not None else nails.head_strength(front.density),
        f_ax_front=nails.withdrawal_strength(front.density),
        ringed=fastener.ringed,
        drying=exposure.fixing_moisture >= NEAR_SATURATION,
    )


def lacking(exposure: Exposure) -> list[str]:
    """What has to be given before wind can be judged.

    Parameters
    ----------
    exposure : Exposure
    """
    inputs = exposure.wind
    needs = missing(
        height_of_the_building=inputs.height,
        breadth_of_the_building=inputs.breadth,
        timber_class_of_the_boards=exposure.board_timber,
        timber_class_of_the_battens=exposure.batten_timber,
        moisture_content_at_fixing=exposure.fixing_moisture,
    )
    if inputs.pressure is None:
        needs = missing(wind_velocity=inputs.velocity, terrain=inputs.terrain) + needs
    return needs


def check_wind(model: Model, rules: Rules, exposure: Exposure) -> Iterator[Finding]:
    """Hold the suction on each nail's own strip of wall to what the nail holds.

    Pressure by EN 1991-1-4, zones laid along the wall for wind from either end and from behind, with c_pe,1
    since a strip is under 1 m2; nails by EN 1995-1-1 8.3.2 from the solids' own penetration and thickness.

    Parameters
    ----------
    model : Model
    rules : Rules
        Not used.
    exposure : Exposure
    """
    needs = lacking(exposure)
    for wall in model.walls:
        if not model.of_kind(Kind.BOARD, wall=wall.name):
            continue
        if needs:
            yield not_assessed(NAME, wall.name, "Wind on the nails", needs)
            continue
        try:
            uses = nail_uses(model, wall, exposure)
            spans = patches(wall, exposure.wind)
        except CladmodelError as error:
            yield not_assessed(NAME, wall.name, "Wind on the nails", [f"an engineer: {error}"])
            continue
        if not uses:
            yield not_assessed(NAME, wall.name, "Wind on the nails", ["board nails"])
            continue
        basis = _basis(uses, exposure)
        yield _zones(wall, spans, exposure)
        if not nails.may_be_pulled(exposure.duration, ringed=uses[0].held.nail.fastener.ringed):
            yield _lasting(wall, uses[0], exposure)
            continue
        none = [use for use in uses if use.resists <= 0]
        over = [use for use in uses if use.resists > 0 and use.use > 1 + EXACT]
        faults = counted((_key(use), -use.held.nail.penetration, _holds_nothing(use, basis)) for use in none)
        faults += counted((_key(use), use.use, _use(use, basis, exposure)) for use in over)
        # Where a nail holds nothing the one pulled hardest says nothing.
        yield from faults or (_use(max(uses, key=lambda use: use.use), basis, exposure),)


def _key(use: NailUse) -> object:
    return tuple(use.held.nail.head)


def _zones(wall: Wall, spans: list[Patch], exposure: Exposure) -> Finding:
    worst = min(spans, key=lambda span: span.coefficient)
    laid = ", ".join(
        f"{span.zone} {span.left / METRE:.2f}-{span.right / METRE:.2f} m ({span.coefficient:+.1f})"
        for span in spans
    )
    sources = [wind.VELOCITY] if exposure.wind.pressure is None else []
    short = not any(span.zone == "C" for span in spans)
    sources += [exposure.wind.national.source, wind.ZONES_SHORT if short else wind.ZONES]
    pressure = peak(exposure.wind)
    return Finding(
        check=NAME,
        verdict=Verdict.OK,
        wall=wall.name,
        measured=pressure,
        unit="N/m2",
        basis=basis_of(*sources),
        text=f"Peak wind pressure {pressure:.0f} N/m2; suction along the wall, the worst of both ends: "
        f"{laid}; at most {pressure * -worst.coefficient:.0f} N/m2.",
    )


def _basis(uses: list[NailUse], exposure: Exposure) -> str:
    ringed = uses[0].held.nail.fastener.ringed
    sources = [nails.AXIAL_RINGED if ringed else nails.AXIAL_SMOOTH, nails.SHORT_PENETRATION]
    if exposure.f_ax is None or exposure.f_head is None:
        sources += [nails.STRENGTHS, *([nails.RINGED_ASSUMED] if ringed else [])]
    if exposure.fixing_moisture is not None and exposure.fixing_moisture >= NEAR_SATURATION:
        sources.append(nails.DRYING)
    sources += [nails.SERVICE, nails.SAFETY, *([STILL_AIR] if exposure.wind.behind == 0 else [])]
    return f"guidance, an engineer decides: {basis_of(*sources)}"


def _at(use: NailUse) -> str:
    x, y, _ = use.held.nail.head
    return f"the nail at x {x:.0f}, y {y:.0f} in board {use.held.board.mark}"


def _lasting(wall: Wall, use: NailUse, exposure: Exposure) -> Finding:
    return Finding(
        check=NAME,
        verdict=Verdict.FAIL,
        wall=wall.name,
        mark=use.held.board.mark,
        basis=nails.NOT_LASTING.basis,
        remedy="Use ringed nails, or give the duration of a gust.",
        text=f"A smooth nail may not hold a pull of {exposure.duration} duration.",
    )


def _holds_nothing(use: NailUse, basis: str) -> Finding:
    nail = use.held.nail
    depth = nail.penetration / nail.fastener.diameter
    least = nails.LEAST_DEPTH_RINGED if nail.fastener.ringed else nails.LEAST_DEPTH_SMOOTH
    return Finding(
        check=NAME,
        verdict=Verdict.FAIL,
        wall=nail.group.wall,
        mark=use.held.board.mark,
        other=None if nail.batten is None else nail.batten.mark,
        where=point(*nail.head),
        measured=depth,
        limit=least,
        unit="d",
        basis=basis,
        remedy="Use a longer nail, into a batten.",
        text=f"By rule {_at(use)} holds nothing: its point is {depth:.1f} diameters deep, "
        f"less than {least:g}.",
    )


def _unproven(use: NailUse, exposure: Exposure) -> bool:
    """Whether a ringed nail fails only by the strength of a smooth one, for want of its own."""
    return use.held.nail.fastener.ringed and exposure.f_ax is None and use.holds.governs == "point"


def wanted_strength(use: NailUse) -> float:
    """Withdrawal strength at which a nail would hold its pull. [N/mm2]

    Parameters
    ----------
    use : NailUse
        Of a nail whose point governs; the strength it was worked out with scales.
    """
    nail = use.held.nail
    taken = use.holds.out / (use.holds.reduction * nail.fastener.diameter * nail.penetration)
    return taken * use.use


def _use(use: NailUse, basis: str, exposure: Exposure) -> Finding:
    nail = use.held.nail
    over, unproven = use.use > 1 + EXACT, _unproven(use, exposure)
    gives = "point out of the batten" if use.holds.governs == "point" else "head through the board"
    what = "is pulled hardest"
    remedy = ""
    if over and unproven:
        what = "is not shown to hold"
        remedy = f"Give the nail's declared withdrawal strength: {wanted_strength(use):.1f} N/mm2 would do."
    elif over:
        what, remedy = "is pulled too hard", "Use a longer, thicker or ringed nail, or nearer battens."
    return Finding(
        check=NAME,
        verdict=(Verdict.CAUTION if unproven else Verdict.FAIL) if over else Verdict.OK,
        wall=nail.group.wall,
        mark=use.held.board.mark,
        other=None if nail.batten is None else nail.batten.mark,
        where=point(*nail.head),
        measured=use.use,
        limit=1.0,
        unit="of what it holds",
        basis=basis,
        remedy=remedy,
        text=f"Of all nails {_at(use)} {what}: {use.pull:.0f} N on {use.area:.3f} m2 in zone {use.zone}, "
        f"{use.use:.2f} of the {use.resists:.0f} N it holds ({gives} first).",
    )
