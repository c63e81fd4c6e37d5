"""The checks' figures measured again by other means: from the written files, and by shapely.

The files hold float32, so figures may differ by 0.02 mm (a 5 m coordinate is kept to 0.0003 mm; the rest
is room for the figure worked out from it).
"""

from __future__ import annotations

import io
import itertools
import json
import math
import struct

import numpy as np
import pytest
import shapely
import trimesh

from cladmodel.checks.finding import Finding, Verdict
from cladmodel.exports.gltf import glb_bytes
from cladmodel.exports.stl import stl_bytes
from cladmodel.model import Kind
from cladmodel.schedules.report import report

from .. import remeasure
from ..building import SCENES, Built, build_file

FLOAT32 = 0.02  # mm
METRE = 1000.0  # mm
SCENE_NAMES = ["tool-store", "bare-wall", "wrong-wall"]


class Reopened:
    """A GLB as another program sees it: meshes by mark, in millimetres."""

    def __init__(self, built: Built) -> None:
        self.built = built
        scene = trimesh.load(io.BytesIO(glb_bytes(built.model)), file_type="glb", process=False)
        self.meshes: dict[str, tuple[np.ndarray, np.ndarray]] = {}
        for node in scene.graph.nodes_geometry:
            matrix, geometry = scene.graph[node]
            mesh = scene.geometry[geometry]
            points = trimesh.transform_points(np.asarray(mesh.vertices, np.float64), matrix) * METRE
            self.meshes[node] = remeasure.welded(points, np.asarray(mesh.faces), 4)

    def cut(self, mark: str, x: float) -> list[shapely.Polygon]:
        return remeasure.cut(*self.meshes[mark], x)

    def corners(self, mark: str, x: float) -> np.ndarray:
        (polygon,) = self.cut(mark, x)
        return remeasure.corners(polygon)


@pytest.fixture(scope="module", params=SCENE_NAMES)
def reopened(request: pytest.FixtureRequest) -> Reopened:
    return Reopened(build_file(SCENES / f"{request.param}.toml"))


def of_check(built: Built, name: str) -> list[Finding]:
    return [f for f in built.findings if f.check == name]


def test_every_piece_is_in_the_file_by_its_mark_and_closed(reopened):
    for part in reopened.built.model.parts:
        vertices, faces = reopened.meshes[part.mark]
        assert remeasure.is_closed(faces), part.mark
        own = remeasure.volume(part.vertices, part.faces)
        assert remeasure.volume(vertices, faces) == pytest.approx(own, rel=2e-3), part.mark
        assert vertices.min(axis=0) == pytest.approx(part.vertices.min(axis=0), abs=FLOAT32)
        assert vertices.max(axis=0) == pytest.approx(part.vertices.max(axis=0), abs=FLOAT32)


def test_lap_check(reopened):
    findings = of_check(reopened.built, "lap")
    assert findings
    for finding in findings:
        x = finding.where[0]
        lower, upper = reopened.corners(finding.other, x), reopened.corners(finding.mark, x)
        assert remeasure.lap_along(lower, upper) == pytest.approx(finding.measured, abs=FLOAT32)
        assert upper[0, ::-1] == pytest.approx(finding.where[1:], abs=FLOAT32)


def test_no_lap_is_less_than_the_least_one_named(reopened):
    least = min(f.measured for f in of_check(reopened.built, "lap"))
    whole = [b for b in reopened.built.boards() if len(b.vertices) == 8]
    met = 0
    for x in np.linspace(60, reopened.built.model.walls[0].length - 60, 12) + 0.123:
        across = [b for b in whole if b.vertices[:, 0].min() < x < b.vertices[:, 0].max()]
        for lower, upper in itertools.pairwise(across):
            if upper.course == lower.course + 1:
                lap = remeasure.lap_along(reopened.corners(lower.mark, x), reopened.corners(upper.mark, x))
                assert lap >= least - FLOAT32
                met += 1
    assert met > 50


def test_tilt_and_kick_out_of_the_report(reopened):
    built = reopened.built
    section = report(built.model, built.findings, built.rules)["walls"][0]["section"]
    assert len(section["courses"]) > 10
    x = section["cut_at_mm"]
    for course in section["courses"]:
        shape = reopened.corners(course["mark"], x)
        back = shape[2] - shape[0]
        assert math.degrees(math.atan2(-back[0], back[1])) == pytest.approx(course["tilt_deg"], abs=0.02)
        assert shape[0, 0] == pytest.approx(course["kick_out_mm"], abs=FLOAT32)
        assert shape[0, 1] == pytest.approx(course["butt_line_mm"], abs=FLOAT32)
        # How far 0.02 degrees moves the bottom edge of a board is more than the files can blur.
        lean = remeasure.back_lean(*reopened.meshes[course["mark"]])
        assert math.degrees(lean) == pytest.approx(course["tilt_deg"], abs=0.01)


def test_tilt_check(reopened):
    """The check's figure is how much a board's lean differs from the others: from the file it is the same."""
    built = reopened.built
    (worst,) = [f for f in of_check(built, "tilt") if f.verdict is not Verdict.CAUTION]
    lean = {b.mark: math.degrees(remeasure.back_lean(*reopened.meshes[b.mark])) for b in built.boards()}
    others = [value for mark, value in lean.items() if mark != worst.mark]
    assert abs(lean[worst.mark] - np.median(others)) == pytest.approx(worst.measured, abs=0.02)


def test_cavity_check(reopened):
    built = reopened.built
    (finding,) = of_check(built, "cavity")
    x, y, _ = finding.where
    membrane = built.model.of_kind(Kind.MEMBRANE)
    ray = shapely.LineString([(-100, y), (400, y)])
    behind = [s for p in membrane for s in reopened.cut(p.mark, x) if s.intersects(ray)]
    face = max(ray.intersection(s).bounds[2] for s in behind)
    in_front = [ray.intersection(s).bounds[0] for s in reopened.cut(finding.mark, x) if s.intersects(ray)]
    assert min(in_front) - face == pytest.approx(finding.measured, abs=FLOAT32)


def test_no_board_stands_nearer_to_the_membrane_than_the_cavity_check_says(reopened):
    built = reopened.built
    (finding,) = of_check(built, "cavity")
    face = max(reopened.meshes[p.mark][0][:, 2].max() for p in built.model.of_kind(Kind.MEMBRANE))
    nearest = min(reopened.meshes[b.mark][0][:, 2].min() for b in built.boards()) - face
    assert nearest >= finding.measured - FLOAT32 or nearest >= built.rules.cavity.value
    assert nearest == pytest.approx(25.0, abs=FLOAT32)


def test_noses_and_clearance_checks(reopened):
    (nose,) = of_check(reopened.built, "noses")
    board, stop = reopened.meshes[nose.mark][0], reopened.meshes[nose.other][0]
    assert stop[:, 2].max() - board[:, 2].max() == pytest.approx(nose.measured, abs=FLOAT32)
    (clear,) = of_check(reopened.built, "clearance")
    ground = reopened.built.model.walls[0].ground
    assert reopened.meshes[clear.mark][0][:, 1].min() - ground == pytest.approx(clear.measured, abs=FLOAT32)


def test_boards_touch_as_the_contact_check_says(reopened):
    built = reopened.built
    (finding,) = of_check(built, "contact")
    assert finding.measured < 1e-6
    boards = {b.course: b.mark for b in built.boards() if len(b.vertices) == 8 and b.mark.endswith("a")}
    x = min(built.model.walls[0].length, 3000) / 3 + 0.123
    touching = 0
    for course, mark in boards.items():
        if course - 1 in boards:
            off = remeasure.off_face(reopened.corners(boards[course - 1], x), reopened.corners(mark, x))
            assert off == pytest.approx(0.0, abs=FLOAT32)
            touching += 1
    assert touching >= 8


def test_sections_by_shapely_agree_with_the_package_s_own(tool_store):
    """Areas and places of every piece cut by a plane, in float64: no more than noise apart."""
    from cladmodel.solids.sections import section_polygons

    for x in (333.3, 1888.8, 2500.1, 4711.7):
        own: dict[str, list[shapely.Polygon]] = {}
        for piece, polygon in section_polygons(tool_store.model.parts, x=x):
            own.setdefault(piece.mark, []).append(polygon)
        for piece in tool_store.model.parts:
            again = remeasure.cut(piece.vertices, piece.faces, x)
            assert bool(again) == (piece.mark in own), piece.mark
            if again:
                there, here = shapely.union_all(own[piece.mark]), shapely.union_all(again)
                assert here.area == pytest.approx(there.area, rel=1e-9, abs=1e-6)
                assert here.symmetric_difference(there).area == pytest.approx(0.0, abs=1e-3)


def test_glb_extras_tell_another_program_what_a_piece_is(reopened):
    data = glb_bytes(reopened.built.model)
    (size,) = struct.unpack_from("<I", data, 12)
    nodes = {n["name"]: n for n in json.loads(data[20 : 20 + size])["nodes"]}
    for part in reopened.built.model.parts:
        extras = nodes[part.mark]["extras"]
        assert extras["kind"] == str(part.kind)
        assert extras["wall"] == part.wall
        if part.kind is Kind.BOARD:
            assert extras["course"] == part.course
            own = float(np.ptp(reopened.meshes[part.mark][0][:, 0]))
            assert extras["cut_length_mm"] == pytest.approx(own, abs=FLOAT32)


def test_stl_every_part_a_volume_and_the_total_their_sum(reopened):
    model = reopened.built.model
    data = stl_bytes(model)
    (count,) = struct.unpack_from("<I", data, 80)
    facet = np.dtype([("normal", "<f4", 3), ("corner", "<f4", (3, 3)), ("attribute", "<u2")])
    corner = np.frombuffer(data, facet, count, 84)["corner"].astype(np.float64)
    assert count >= sum(len(p.faces) for p in model.parts)
    total, first = 0.0, 0
    for part in model.parts:
        own = corner[first : first + len(part.faces)]
        first += len(part.faces)
        mesh = trimesh.Trimesh(own.reshape(-1, 3), np.arange(len(own) * 3).reshape(-1, 3), process=True)
        assert mesh.is_volume, part.mark
        solid = remeasure.volume(part.vertices, part.faces)
        assert mesh.volume == pytest.approx(solid, rel=2e-3), part.mark
        total += solid
    whole = trimesh.Trimesh(corner[:first].reshape(-1, 3), np.arange(first * 3).reshape(-1, 3), process=False)
    assert whole.volume == pytest.approx(total, rel=1e-5)
