"""Where a nail may go and how deep, EN 1995-1-1, in a default wall. Source: shared/eurocode-5-nails.toml."""

from __future__ import annotations

import pytest

from cladmodel.model import Kind, Use

from .. import remeasure
from .data import published

RULE = {rule["clause"]: rule["value"] for rule in published("eurocode-5-nails")["rule"]}


@pytest.mark.parametrize("name", ["bare_wall", "tool_store"])
def test_board_nails_are_deep_enough_and_clear_of_the_batten_s_sides(request, name):
    model = request.getfixturevalue(name).model
    (nails,) = model.fixings_for(Use.BOARD)
    d = nails.fastener.diameter
    battens = model.of_kind(Kind.BATTEN)
    assert nails.fastener.ringed
    for head, tip in zip(nails.heads, nails.points, strict=True):
        sides = []
        for batten in battens:
            low, high = batten.vertices.min(axis=0), batten.vertices.max(axis=0)
            if low[0] < head[0] < high[0] and low[1] < head[1] < high[1] and high[2] == 0:
                (across,) = remeasure.cut(batten.vertices[:, [1, 0, 2]], batten.faces, head[1])
                left, right = across.bounds[1], across.bounds[3]
                sides += [head[0] - left, right - head[0]]
        assert len(sides) == 2
        assert min(sides) >= RULE["table 8.2"] * d - 1e-9
        assert -tip[2] >= RULE["8.3.2(7)"] * d - 1e-9


def test_default_penetration_limit_is_six_diameters(bare_wall):
    (nails,) = bare_wall.model.fixings_for(Use.BOARD)
    assert bare_wall.rules.nail_penetration.value == pytest.approx(RULE["8.3.2(7)"] * nails.fastener.diameter)
    assert bare_wall.rules.nail_edge.value == RULE["table 8.2"]
