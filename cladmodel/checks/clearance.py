"""How high the lowest timber stands above the ground."""

from __future__ import annotations

from collections.abc import Iterator

from cladmodel.checks.finding import Finding, Verdict, conclude, point
from cladmodel.checks.rules import EXACT, Rules
from cladmodel.model import Kind, Model, Part

NAME = "clearance"
_LOW = (
    *(Kind.BOARD, Kind.STARTER, Kind.BATTEN, Kind.PACKER, Kind.POST),
    *(Kind.SIDE_TRIM, Kind.HEAD_TRIM, Kind.SILL, Kind.FILLET),
)


def check_clearance(model: Model, rules: Rules) -> Iterator[Finding]:
    """Measure boards, starter, battens, packers, posts and trims down to the ground.

    Parameters
    ----------
    model : Model
    rules : Rules
        `ground_clearance`.
    """
    for wall in model.walls:
        parts = model.of_kind(*_LOW, wall=wall.name)
        if not parts:
            continue
        height = [(float(part.vertices[:, 1].min()) - wall.ground, part) for part in parts]
        least = rules.ground_clearance.value - EXACT
        faults = [_finding(part, clear, rules) for clear, part in height if clear < least]
        clear, lowest = min(height, key=lambda pair: pair[0])
        yield from conclude(faults, _finding(lowest, clear, rules))


def _finding(part: Part, clear: float, rules: Rules) -> Finding:
    short = clear < rules.ground_clearance.value - EXACT
    lowest = part.vertices[int(part.vertices[:, 1].argmin())]
    return Finding(
        check=NAME,
        verdict=Verdict.FAIL if short else Verdict.OK,
        wall=part.wall,
        mark=part.mark,
        where=point(*lowest),
        measured=clear,
        limit=rules.ground_clearance.value,
        unit="mm",
        basis=rules.ground_clearance.basis,
        remedy="Raise the foot of the cladding or lower the ground." if short else "",
        text=f"{part.kind.capitalize()} {part.mark} is {clear:.0f} mm above the ground; "
        f"at least {rules.ground_clearance.value:.0f} is wanted."
        if short
        else f"The lowest timber, {part.kind} {part.mark}, is {clear:.0f} mm above the ground.",
    )
