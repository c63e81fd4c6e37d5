"""Whole buildings, measured on the solids: sound all over, and one rod round every corner."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from cladmodel.build import exposure_of
from cladmodel.checks.finding import Verdict
from cladmodel.checks.run import run_checks
from cladmodel.model import CornerKind, Kind, Model, Part, Wall
from cladmodel.solids.clashes import overlaps
from cladmodel.solids.measure import gather

from .. import remeasure
from ..building import SCENES, Built, build_file, failing

LEVEL = 0.01  # mm: courses at every corner
TOUCH = 1e-3  # mm: deeper than this is a clash
SOUND = ["bare-wall", "tool-store", "seed-store", "meeting-room", "potting-shed"]
BUILDINGS = ["seed-store", "meeting-room"]


def built(name: str) -> Built:
    return build_file(SCENES / f"{name}.toml")


def in_building(model: Model, part: Part) -> Part:
    return part.with_vertices(model.to_building(part.wall, part.vertices))


def in_wall(model: Model, part: Part, wall: Wall) -> np.ndarray:
    """Vertices of any wall's part in another wall's axes."""
    points = model.to_building(part.wall, part.vertices) - wall.frame[:3, 3]
    return points @ wall.frame[:3, :3]


@pytest.mark.parametrize("name", SOUND)
def test_nothing_stands_in_anything_else(name):
    model = built(name).model
    parts = [in_building(model, p) for p in model.parts]
    deep = [(parts[o.first].mark, parts[o.second].mark, o.depth) for o in overlaps(gather(parts), TOUCH)]
    assert deep == []


@pytest.mark.parametrize("name", SOUND)
def test_every_part_is_closed_and_nothing_fails(name):
    case = built(name)
    for part in case.model.parts:
        assert remeasure.is_closed(part.faces), part.mark
        assert remeasure.volume(part.vertices, part.faces) > 1.0, part.mark
    found = run_checks(case.model, case.rules, exposure_of(case.scene))
    assert [f.text for f in found if f.verdict is Verdict.FAIL] == []


def test_the_wrong_wall_fails_by_name():
    assert failing(built("wrong-wall").findings) == {"lap", "tilt", "nails"}


def butts(model: Model, wall: Wall, at_right: bool) -> dict[int, float]:
    """Height in the building of each course's bottom back arris, cut 30 mm from the end of its last board."""
    found: dict[int, float] = {}
    by_course: dict[int, list[Part]] = {}
    for board in model.of_kind(Kind.BOARD, wall=wall.name):
        by_course.setdefault(board.course or 0, []).append(board)
    for course, boards in by_course.items():
        ends = [b.vertices[:, 0].max() if at_right else -b.vertices[:, 0].min() for b in boards]
        board = boards[int(np.argmax(ends))]
        edge = wall.length if at_right else 0.0
        x = max(ends) - 30.0 if at_right else -max(ends) + 30.0
        if abs(x - edge) > 150.0:
            continue  # a course of the gable, out of reach of the corner
        sections = remeasure.cut(board.vertices, board.faces, x)
        low = min(section.bounds[1] for section in sections)
        found[course] = float(model.to_building(wall.name, np.array([[x, low, 0.0]]))[0, 1])
    return found


def corners(model: Model) -> list[tuple[Wall, Wall]]:
    """Neighbouring walls, the one on the left of each corner first."""
    return [(wall, model.walls[(n + 1) % len(model.walls)]) for n, wall in enumerate(model.walls)]


@pytest.mark.parametrize("name", BUILDINGS)
def test_courses_at_every_corner_are_level_on_the_boards_of_both_walls(name):
    model = built(name).model
    for left, right in corners(model):
        one, other = butts(model, left, at_right=True), butts(model, right, at_right=False)
        shared = sorted(set(one) & set(other))
        assert len(shared) >= 14, (left.name, right.name)
        off = {course: one[course] - other[course] for course in shared}
        # The lowest and the highest course may be ripped to a step or to a rake on one wall only.
        assert {c: d for c, d in off.items() if abs(d) > LEVEL} == {}, (left.name, right.name)


@pytest.mark.parametrize("name", BUILDINGS)
def test_one_course_number_has_one_height_all_round(name):
    """Compared over all corners at once: no step creeps in on the way round."""
    model = built(name).model
    heights: dict[int, list[float]] = {}
    for wall, at_right in itertools.product(model.walls, (False, True)):
        for course, height in butts(model, wall, at_right).items():
            heights.setdefault(course, []).append(height)
    compared = {course: np.ptp(found) for course, found in heights.items() if len(found) > 2}
    assert len(compared) >= 14
    assert max(compared.values()) <= LEVEL, compared


@pytest.mark.parametrize(
    ("name", "kinds"), [("seed-store", {"outside"}), ("meeting-room", {"outside", "inside"})]
)
def test_boards_stop_the_fitting_gap_short_of_every_corner_post(name, kinds):
    case = built(name)
    model, gap = case.model, case.scene.board.fitting_gap
    seen = set()
    for left, right in corners(model):
        assert left.right_corner is right.left_corner is not CornerKind.END
        seen.add(str(left.right_corner))
        own = model.of_kind(Kind.POST, wall=left.name)
        assert len(own) == 1, left.name
        in_left, in_right = in_wall(model, own[0], left), in_wall(model, own[0], right)
        for wall, post, way in ((left, in_left, 1), (right, in_right, -1)):
            face = (post[:, 0] * way).min()
            eaves = wall.top_line[-1 if way > 0 else 0, 1]
            by_course: dict[int, float] = {}
            for board in model.of_kind(Kind.BOARD, wall=wall.name):
                if board.vertices[:, 1].max() > eaves:
                    continue  # cut by the rake
                reach = float((board.vertices[:, 0] * way).max())
                course = board.course or 0
                by_course[course] = max(by_course.get(course, -np.inf), reach)
            near = [face - reach for reach in by_course.values() if face - reach < 100.0]
            assert len(near) >= 14, (wall.name, way)
            assert near == pytest.approx([gap] * len(near), abs=0.05), (wall.name, way)
    assert seen == kinds


def test_an_inside_post_stands_in_the_nook_of_both_walls():
    """Its two inner faces lie on the battens' backs of both walls; it sticks out of neither wall's back."""
    model = built("meeting-room").model
    ((left, right),) = [c for c in corners(model) if c[0].right_corner is CornerKind.INSIDE]
    (post,) = model.of_kind(Kind.POST, wall=left.name)
    size = built("meeting-room").scene.posts.inside_size
    for wall in (left, right):
        z = in_wall(model, post, wall)[:, 2]
        assert z.max() - z.min() == pytest.approx(size, abs=1e-6)
        membrane = model.of_kind(Kind.MEMBRANE, wall=wall.name)
        face = max(p.vertices[:, 2].max() for p in membrane)
        assert z.min() == pytest.approx(face, abs=1e-6)


def test_the_potting_sheds_slivers_are_each_named_with_a_caution():
    case = built("potting-shed")
    named = {f.mark for f in case.findings if f.check == "slivers"}
    assert {f.verdict for f in case.findings if f.check == "slivers"} == {Verdict.CAUTION}
    least = case.rules.least_piece.value
    short = {b.mark for b in case.boards() if np.ptp(b.vertices[:, 0]) < least}
    assert len(short) > 10
    assert short <= named
