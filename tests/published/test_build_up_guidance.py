"""A wall with every default, measured against published guidance. Source: shared/build-up-guidance.toml."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from cladmodel.model import Kind, Part, Use

from .. import remeasure
from ..building import Built
from .data import published

RULES = published("build-up-guidance")["rule"]
METRE = 1000.0  # mm


def least_lap(built: Built) -> float:
    sections = [remeasure.section_of(b.vertices, b.faces, 933.7) for b in built.boards()]
    return min(remeasure.lap_along(a, b) for a, b in itertools.pairwise(sections))


def cavity(built: Built) -> float:
    face = max(p.vertices[:, 2].max() for p in built.model.of_kind(Kind.MEMBRANE))
    return min(b.vertices[:, 2].min() for b in built.boards()) - face


def nail_to_end(built: Built) -> float:
    (nails,) = built.model.fixings_for(Use.BOARD)
    away = []
    for x, y, _ in nails.heads:
        for board in built.boards():
            low, high = board.vertices.min(axis=0), board.vertices.max(axis=0)
            if low[0] < x < high[0] and low[1] < y < high[1]:
                away += [x - low[0], high[0] - x]
    assert len(away) >= 2 * len(nails.heads)
    return min(away)


def free_slots(strip: Part, built: Built) -> float:
    """Area of a strip's slots that no batten stands on. [mm2]"""
    v = strip.vertices
    battens = [b.vertices[:, 0] for b in built.model.of_kind(Kind.BATTEN)]
    # With x and y changed over, the level cut through the strip shows z across and x up.
    (plan,) = remeasure.cut(v[:, [1, 0, 2]], strip.faces, (v[:, 1].min() + v[:, 1].max()) / 2)
    free = 0.0
    for hole in plan.interiors:
        back, low, front, high = hole.bounds
        covered = sum(max(0.0, min(high, b.max()) - max(low, b.min())) for b in battens)
        free += (high - low - covered) * (front - back)
    return free


def vent_opening(built: Built) -> float:
    """Slots that no batten stands on, a metre of wall. [mm2/m]"""
    free = sum(free_slots(strip, built) for strip in built.model.of_kind(Kind.VENT_STRIP))
    return free / built.model.walls[0].length * METRE


def slot_width(built: Built) -> float:
    strip = built.model.of_kind(Kind.VENT_STRIP)[0]
    v = strip.vertices
    (plan,) = remeasure.cut(v[:, [1, 0, 2]], strip.faces, (v[:, 1].min() + v[:, 1].max()) / 2)
    widths = {round(h.bounds[2] - h.bounds[0], 6) for h in plan.interiors}
    assert len(widths) == 1
    return widths.pop()


def overhang(built: Built) -> float:
    plates = built.model.of_kind(Kind.SOLE_PLATE)
    return min(p.vertices[:, 1].min() for p in plates) - min(b.vertices[:, 1].min() for b in built.boards())


def clearance(built: Built) -> float:
    return min(b.vertices[:, 1].min() for b in built.boards()) - built.model.walls[0].ground


def batten_centres(built: Built) -> float:
    centres = sorted({round(float(b.vertices[:, 0].mean()), 3) for b in built.model.of_kind(Kind.BATTEN)})
    return float(np.diff(centres).max())


def membrane_lap(built: Built) -> float:
    return min(
        float(p.section.split(" roll, ")[1].split(" lap")[0]) for p in built.model.of_kind(Kind.MEMBRANE)
    )


MEASURE = {
    "lap": least_lap,
    "lap per width": lambda built: least_lap(built) / built.scene.board.width,
    "cavity": cavity,
    "nail to board end": nail_to_end,
    "vent opening per metre": vent_opening,
    "vent slot width": slot_width,
    "overhang below the sole plate": overhang,
    "ground clearance": clearance,
    "batten centres": batten_centres,
    "membrane lap": membrane_lap,
}


@pytest.mark.parametrize("rule", RULES, ids=lambda r: f"{r['what']}: {r['basis'].split(':')[0]}")
def test_default_wall_keeps_to_it(bare_wall, rule):
    value = MEASURE[rule["what"]](bare_wall)
    assert rule.get("least", -np.inf) - 1e-9 <= value <= rule.get("most", np.inf) + 1e-9


def test_vent_opening_check_agrees_with_the_slots_counted_here(bare_wall):
    """The check's own figure comes from its own sections; narrower slots must fail it by the same figure."""
    from cladmodel.checks.cavity import check_cavity
    from cladmodel.checks.rules import Limit, Rules

    strict = Rules(vent_area=Limit(value=1e6, unit="mm2/m", basis="more than any strip gives"))
    found = [f for f in check_cavity(bare_wall.model, strict) if f.unit == "mm2/m"]
    strips = bare_wall.model.of_kind(Kind.VENT_STRIP)
    (finding,) = found  # all the strips along the foot together
    free = sum(free_slots(strip, bare_wall) for strip in strips)
    # From the first bay to the last: less the battens of both posts.
    length = bare_wall.model.walls[0].length - 2 * bare_wall.scene.battens.width
    assert finding.measured == pytest.approx(free / length * METRE, rel=1e-6)
