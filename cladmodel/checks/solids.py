"""Every piece is a closed solid, wound outward, with a volume."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cladmodel.checks.finding import Finding, Verdict, conclude
from cladmodel.checks.rules import Rules
from cladmodel.model import Model
from cladmodel.solids.measure import gather, least_shells, open_edges, volumes

NAME = "solids"
BASIS = "a closed solid has every edge once each way, and holds something"
CUBIC_METRE = 1e9
"""[mm3]"""


def check_solids(model: Model, rules: Rules) -> Iterator[Finding]:
    """Count open edges and work out volumes, piece by piece.

    Parameters
    ----------
    model : Model
    rules : Rules
        Not used: there is no more or less closed.
    """
    for wall in model.walls:
        parts = [p for p in model.parts if p.wall == wall.name]
        if not parts:
            continue
        soup = gather(parts)
        edges, volume, shell = open_edges(soup), volumes(soup), least_shells(soup)
        faults = []
        for index in np.flatnonzero((edges > 0) | ~(shell > 0)):
            is_open = edges[index] > 0
            mark = parts[index].mark
            faults.append(
                Finding(
                    check=NAME,
                    verdict=Verdict.FAIL,
                    wall=wall.name,
                    mark=mark,
                    measured=float(edges[index]) if is_open else float(shell[index]),
                    limit=0.0,
                    unit="edges" if is_open else "mm3",
                    basis=BASIS,
                    remedy="This is a fault in the model, not in the wall: report it.",
                    text=f"Piece {mark} is not closed: {edges[index]} of its edges lack a face."
                    if is_open
                    else f"Piece {mark} has no volume, or is inside out.",
                )
            )
        least = int(np.argmin(volume))
        yield from conclude(
            faults,
            Finding(
                check=NAME,
                verdict=Verdict.OK,
                wall=wall.name,
                mark=parts[least].mark,
                measured=float(volume[least]),
                limit=0.0,
                unit="mm3",
                basis=BASIS,
                text=f"All {len(parts)} pieces are closed, {volume.sum() / CUBIC_METRE:.3f} m3 in all.",
            ),
        )
