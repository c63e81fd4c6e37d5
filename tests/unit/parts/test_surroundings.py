"""Surroundings: closed solids that stand clear of the wall they show."""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from cladmodel.model import Kind, Opening
from cladmodel.parts.eaves import is_level
from cladmodel.parts.surroundings import surroundings

from ...building import SCENES, build_file


def closed_and_positive(part):
    edges = np.concatenate([part.faces[:, [0, 1]], part.faces[:, [1, 2]], part.faces[:, [2, 0]]])
    ahead = {tuple(e) for e in edges.tolist()}
    matched = len(ahead) == len(edges) and all((b, a) in ahead for a, b in ahead)
    a, b, c = (part.vertices[part.faces[:, k]] for k in range(3))
    return matched and float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum()) > 0


@pytest.fixture(scope="module")
def wall(tool_store):
    return tool_store.model.walls[0]


def gabled(wall):
    """The same wall with a ridge over its middle."""
    length, eaves = wall.length, 2000.0
    outline = np.array([[0, 0], [length, 0], [length, eaves], [length / 2, eaves + 1200.0], [0, eaves]])
    return replace(wall, outline=outline.astype(float), head=eaves + 1200.0)


def turned(wall, name, turn, place):
    c, s = np.cos(turn), np.sin(turn)
    frame = np.eye(4)
    frame[:3, :3] = [[c, 0, s], [0, 1, 0], [-s, 0, c]]
    frame[:3, 3] = place
    return replace(wall, name=name, frame=frame)


def door(wall):
    return replace(wall, openings=(Opening(name="d", door=True, left=900, right=1800, sill=0, head=2050),))


@pytest.mark.parametrize("change", [lambda w: w, gabled, door], ids=["level", "gabled", "with a door"])
def test_every_piece_is_a_closed_solid_with_a_mark_of_its_own(tool_store, wall, change):
    pieces = surroundings([change(wall)], tool_store.model.parts)
    assert len({p.mark for p in pieces}) == len(pieces)
    assert all(p.kind is Kind.SCENERY for p in pieces)
    assert not {p.mark for p in pieces} & {p.mark for p in tool_store.model.parts}
    assert [p.mark for p in pieces if not closed_and_positive(p)] == []


def test_nothing_stands_in_front_of_the_boards_but_ground_and_eaves(tool_store, wall):
    nose = max(p.vertices[:, 2].max() for p in tool_store.model.of_kind(Kind.BOARD))
    for part in surroundings([wall], tool_store.model.parts):
        over = part.vertices[:, 1].min() >= wall.head - 20.0
        under = part.vertices[:, 1].max() <= 0.0
        assert over or under or part.vertices[:, 2].max() <= nose, part.mark


def test_the_soffit_meets_the_wall_and_the_eaves_cover_it(tool_store, wall):
    pieces = surroundings([wall], tool_store.model.parts)
    soffit = next(p for p in pieces if p.material == "soffit" and p.section == "soffit")
    assert soffit.vertices[:, 1].min() == pytest.approx(wall.head)
    assert soffit.vertices[:, 0].min() < -100.0
    assert soffit.vertices[:, 0].max() > wall.length + 100.0
    assert soffit.vertices[:, 2].max() > 200.0


def test_returns_carry_the_wall_s_own_profile(tool_store, wall):
    pieces = surroundings([wall], tool_store.model.parts)
    courses = {p.course for p in tool_store.model.of_kind(Kind.BOARD)}
    for side, name in (("left", "~ra"), ("right", "~rb")):
        boards = [p for p in pieces if p.mark.startswith(name) and p.material == "board"]
        assert len(boards) == len(courses), side
        butts = sorted(p.vertices[:, 1].min() for p in boards)
        np.testing.assert_allclose(butts, wall.rod[:-1], atol=1e-6)
    left = [p for p in pieces if p.mark.startswith("~ra")]
    assert max(p.vertices[:, 0].max() for p in left) <= 0.0
    right = [p for p in pieces if p.mark.startswith("~rb")]
    assert min(p.vertices[:, 0].min() for p in right) >= wall.length


def test_a_window_is_glazed_inside_its_opening(wall):
    pieces = surroundings([wall])
    opening = wall.openings[0]
    panes = [p for p in pieces if p.material == "glass"]
    assert panes
    for pane in panes:
        assert opening.left < pane.vertices[:, 0].min() < pane.vertices[:, 0].max() < opening.right
        assert opening.sill < pane.vertices[:, 1].min() < pane.vertices[:, 1].max() < opening.head


def test_a_door_is_hung_with_a_step_below_it(wall):
    pieces = surroundings([door(wall)])
    assert not any(p.material == "glass" for p in pieces)
    leaf = [p for p in pieces if p.material == "door"]
    assert max(p.vertices[:, 1].max() for p in leaf) < 2050.0
    assert any(p.mark.startswith("~step") and p.vertices[:, 1].max() < 0.0 for p in pieces)
    (threshold,) = [p for p in pieces if p.section == "threshold"]
    assert threshold.vertices[:, 1].max() < min(p.vertices[:, 1].min() for p in leaf)
    assert np.ptp(threshold.vertices[:, 0]) == pytest.approx(900.0)


def test_every_gutter_is_stopped_at_both_ends(wall):
    for change in (wall, gabled(wall)):
        gutters = [p for p in surroundings([change]) if p.section == "gutter"]
        runs = [p for p in gutters if np.ptp(p.vertices, axis=0)[[0, 2]].max() > 500.0]
        stops = [p for p in gutters if p not in runs]
        assert len(stops) == 2 * len(runs) > 0
        for run in runs:
            along = 0 if np.ptp(run.vertices[:, 0]) > np.ptp(run.vertices[:, 2]) else 2
            for end in (run.vertices[:, along].min(), run.vertices[:, along].max()):
                across = run.vertices[:, 2 - along]
                assert any(
                    np.abs(stop.vertices[:, along] - end).min() < 1e-6
                    and across.min() < stop.vertices[:, 2 - along].mean() < across.max()
                    for stop in stops
                )


def test_a_capping_lies_on_the_ridge_alone(wall):
    gable = gabled(wall)
    (capping,) = [p for p in surroundings([gable]) if p.mark.startswith("~ridge")]
    crown = capping.vertices[np.argmax(capping.vertices[:, 1])]
    assert crown[0] == pytest.approx(gable.length / 2)
    roof = np.concatenate([p.vertices for p in surroundings([gable]) if p.material == "roof"])
    assert 0 < crown[1] - roof[:, 1].max() < 40.0
    assert not [p for p in surroundings([wall]) if p.mark.startswith("~ridge")]


def test_a_gable_s_roof_follows_its_rake(wall):
    gable = gabled(wall)
    assert is_level(wall.top_line)
    assert not is_level(gable.top_line)
    slopes = np.concatenate([p.vertices for p in surroundings([gable]) if p.material == "roof"])
    ridge = slopes[np.argmax(slopes[:, 1])]
    assert ridge[0] == pytest.approx(gable.length / 2, abs=1.0)
    assert slopes[:, 1].min() < 2000.0


@lru_cache
def tracer_of(part):
    from cladmodel.views.staging import Tracer

    return Tracer(part.vertices[part.faces], np.arange(len(part.faces)))


def heights_at(part, x, z):
    """Where a plumb line through x and z enters and leaves a piece."""
    tracer, found = tracer_of(part), []
    for start, way in ((-1e4, 1.0), (1e4, -1.0)):
        met, far = tracer.first(np.array([[x, start, z]], np.float32), np.array([[0, way, 0]], np.float32))
        if met[0] >= 0:
            found.append(start + way * float(far[0]))
    return found


def steepest(part):
    """Greatest slope of the faces that look up. [-]"""
    a, b, c = (part.vertices[part.faces[:, k]] for k in range(3))
    normal = np.cross(b - a, c - a)
    up = normal[:, 1] > 0.1 * np.linalg.norm(normal, axis=1)
    return float((np.hypot(normal[up, 0], normal[up, 2]) / normal[up, 1]).max())


def test_a_pitched_roof_s_underside_lies_on_the_top_line(wall):
    gable = gabled(wall)
    soffits = [p for p in surroundings([gable]) if p.section == "soffit"]
    for share in (0.1, 0.37, 0.8):
        x = share * gable.length
        under = [h for p in soffits for h in heights_at(p, x, -500.0)]
        expected = np.interp(x, gable.top_line[:, 0], gable.top_line[:, 1])
        assert min(under) == pytest.approx(expected, abs=0.05)


def test_a_building_with_a_wing_and_a_stepped_foot_is_all_covered():
    model = build_file(SCENES / "meeting-room.toml").model
    pieces = surroundings(model.walls, model.parts)
    assert [p.mark for p in pieces if not closed_and_positive(p)] == []
    base = model.wall_by_name[pieces[0].wall]
    back = np.linalg.inv(base.frame)
    soffits = [p for p in pieces if p.section == "soffit"]
    bank = next(p for p in pieces if p.section == "bank")
    margin = next(p for p in pieces if p.section == "gravel")
    assert steepest(margin) < 0.3  # a bank, not a step
    for wall in model.walls:
        steps = wall.foot_line[:, 0] + np.arange(len(wall.foot_line)) * 1e-3
        for x in np.linspace(150.0, wall.length - 150.0, 23):
            just_outside = back @ wall.frame @ np.array([x, 0.0, 120.0, 1.0])
            over = [h for p in soffits for h in heights_at(p, just_outside[0], just_outside[2])]
            ground = max(heights_at(bank, just_outside[0], just_outside[2]))
            top = float(np.interp(x, *wall.top_line.T))
            foot = float(np.interp(x, steps, wall.foot_line[:, 1]))
            assert over, (wall.name, x)
            assert abs(min(over) - top) < 60.0, (wall.name, x)
            assert foot - ground > 0.75 * wall.clearance, (wall.name, x)
            gravel = max(heights_at(margin, just_outside[0], just_outside[2]))
            assert ground < gravel < foot, (wall.name, x)


def test_rooms_stay_inside_their_building():
    model = build_file(SCENES / "potting-shed.toml").model
    wall = model.walls[0]
    rooms = [p for p in surroundings(model.walls, model.parts) if p.section == "room"]
    assert rooms
    for part in rooms:
        assert part.vertices[:, 0].min() > 0
        assert part.vertices[:, 0].max() < wall.length
        roof = np.interp(part.vertices[:, 0], wall.top_line[:, 0], wall.top_line[:, 1])
        assert (part.vertices[:, 1] < roof).all(), part.mark


def test_several_walls_are_roofed_together(wall):
    far = turned(wall, "far", np.pi, (wall.length, 0.0, -3000.0))
    pieces = surroundings([wall, far])
    roof = np.concatenate([p.vertices for p in pieces if p.material == "roof"])
    assert roof[:, 2].min() < -3000.0
    assert roof[:, 2].max() > 0.0
    assert {p.wall for p in pieces if p.material == "glass"} == {wall.name, "far"}
    assert len({p.mark for p in pieces}) == len(pieces)
