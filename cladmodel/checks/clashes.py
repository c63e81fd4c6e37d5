"""No two pieces stand in each other: any two, of any kind, of any walls."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from cladmodel.checks.contact import owned_pairs
from cladmodel.checks.finding import Finding, Verdict, conclude, point
from cladmodel.checks.rules import TOUCH, Rules
from cladmodel.model import Model, Part
from cladmodel.solids.clashes import Overlap, overlaps
from cladmodel.solids.measure import gather

NAME = "clashes"
BASIS = "two pieces cannot be in one place; a thousandth of a millimetre counts as touching"


def check_clashes(model: Model, rules: Rules) -> Iterator[Finding]:
    """Look for interpenetration deeper than a touch.

    Parameters
    ----------
    model : Model
    rules : Rules
        Only to leave to `contact` and `tilt` what they report.

    Notes
    -----
    Pieces of one wall are measured in that wall's own axes, where touching contacts are exact to float
    noise; only pieces of different walls are brought into the building's axes.
    """
    owned = owned_pairs(model, rules)
    for wall in model.walls:
        parts = [p for p in model.parts if p.wall == wall.name]
        found = [(parts[o.first], parts[o.second], o) for o in overlaps(gather(parts), TOUCH)]
        faults = _faults([f for f in found if frozenset((f[0].mark, f[1].mark)) not in owned], wall.name)
        yield from conclude(faults, _sound(wall.name, f"None of the {len(parts)} pieces stands in another."))
    if len(model.walls) > 1:
        names = [w.name for w in model.walls]
        parts = list(model.parts)
        placed = gather(p.with_vertices(model.to_building(p.wall, p.vertices)) for p in parts)
        groups = np.array([names.index(p.wall) for p in parts], np.int64)
        between = [(parts[o.first], parts[o.second], o) for o in overlaps(placed, TOUCH, groups)]
        yield from conclude(
            _faults(between, ""), _sound("", "No piece of one wall stands in a piece of another.")
        )


def _faults(found: list[tuple[Part, Part, Overlap]], wall: str) -> list[Finding]:
    """One finding for each offending piece: the piece that clashes most often is named for all it hits."""
    faults: list[Finding] = []
    while found:
        often = Counter(part.mark for pair in found for part in pair[:2])
        deep = {m: max(o.depth for a, b, o in found if m in (a.mark, b.mark)) for m in often}
        culprit = max(often, key=lambda mark: (often[mark], deep[mark]))
        own = [f for f in found if culprit in (f[0].mark, f[1].mark)]
        found = [f for f in found if culprit not in (f[0].mark, f[1].mark)]
        first, second, overlap = max(own, key=lambda f: f[2].depth)
        mine, other = (first, second) if first.mark == culprit else (second, first)
        more = f" and {len(own) - 1} more" if len(own) > 1 else ""
        faults.append(
            Finding(
                check=NAME,
                verdict=Verdict.FAIL,
                wall=wall or mine.wall,
                mark=mine.mark,
                other=other.mark,
                where=point(*overlap.where),
                measured=overlap.depth,
                limit=TOUCH,
                unit="mm",
                basis=BASIS,
                remedy="Move or cut one of them.",
                text=f"{mine.kind.capitalize()} {mine.mark} stands {_length(overlap.depth)} mm in "
                f"{other.kind} {other.mark}{more}.",
            )
        )
    return faults


def _length(depth: float) -> str:
    return f"{depth:.3f}" if depth < 1 else f"{depth:.1f}"


def _sound(wall: str, text: str) -> Finding:
    ok = Finding(check=NAME, verdict=Verdict.OK, wall=wall, text=text)
    return replace(ok, measured=0.0, limit=TOUCH, unit="mm", basis=BASIS)
