"""A small sound wall made from plates alone, and ways to spoil one thing in it.

Six courses of 170 x 22/9 at gauge 131, hung by the closed form of endless equal courses (own derivation),
on five lines of battens, with a joint in courses 2 and 4.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from cladmodel.checks.rules import Limit, Rules
from cladmodel.checks.run import run_checks
from cladmodel.model import Fastener, Fixings, Kind, Model, Part, Use, Wall
from cladmodel.solids.plates import Plate, frame, lift

LENGTH, COURSES, HEAD = 2400.0, 6, 870.0
WIDTH, BUTT, THIN, GAUGE = 170.0, 22.0, 9.0, 131.0
STARTER_HEIGHT = 25.0
LEFT_EDGES = (0.0, 575.0, 1150.0, 1200.0, 1740.0, 1790.0, 2350.0)
BATTENS = tuple((left, left + 50.0) for left in LEFT_EDGES)
NAILED_AT = (25.0, 600.0, 1175.0, 1765.0, 2375.0)
JOINTS = {2: 1200.0, 4: 1790.0}  # each piece at least 600 long


def steady(width, butt, thin, gauge):
    """Tilt of endless equal courses. [rad]"""
    k = (butt - thin) / width
    return math.asin(butt / (gauge * math.sqrt(1 + k * k))) - math.atan(k)


def block(mark, kind, low, high, holes=()):
    """Box, with openings right through it in z given as (x0, y0, x1, y1)."""
    shape = shapely.box(low[0], low[1], high[0], high[1]).difference(
        shapely.union_all([shapely.box(*hole) for hole in holes])
    )
    (solid,) = lift(
        [Plate(polygon=shape, thickness=high[2] - low[2], frame=frame((0, 0, low[2]), (1, 0, 0), (0, 1, 0)))]
    )
    return Part(mark=mark, kind=kind, wall="front", vertices=solid.vertices, faces=solid.faces)


def board(mark, course, left, right, tilt, butt_line, *, width=WIDTH, butt=BUTT, thin=THIN, notch=None):
    """One board with its bottom back arris at the steady kick-out."""
    sin, cos = math.sin(tilt), math.cos(tilt)
    shape = shapely.box(left, 0, right, width)
    if notch:
        shape = shape.difference(shapely.box(*notch))
    (solid,) = lift(
        [
            Plate(
                polygon=shape,
                thickness=butt,
                taper=(butt - thin) / width,
                frame=frame((0, butt_line, width * sin), (1, 0, 0), (0, cos, -sin)),
            )
        ]
    )
    return Part(
        mark=mark, kind=Kind.BOARD, wall="front", course=course, vertices=solid.vertices, faces=solid.faces
    )


def vent_strip(slots=60, hole=14.0):
    """Perforated plate under the battens: slots along x in one row, square to the wall."""
    shape = shapely.box(0, 0, LENGTH, 25.0)
    for i in range(slots):
        at = (i + 0.5) * LENGTH / slots
        shape = shape.difference(shapely.box(at - hole / 2, 10.5, at + hole / 2, 14.5))
    # Plate axes: s along x, y out of the wall, n down.
    (solid,) = lift([Plate(polygon=shape, thickness=2.0, frame=frame((0, 2, -25), (1, 0, 0), (0, 0, 1)))])
    return Part(mark="V1", kind=Kind.VENT_STRIP, wall="front", vertices=solid.vertices, faces=solid.faces)


NAIL = Fastener(
    name="ring-shank nail 2.65 x 50",
    diameter=2.65,
    length=50.0,
    head_diameter=6.0,
    head_thickness=1.2,
    headed=True,
    ringed=True,
    material="stainless steel",
)
SCREW = replace(NAIL, name="screw 5 x 80", diameter=5.0, length=80.0, head_diameter=10.0)


def face_out(tilt, butt_line, up):
    """How far a board's front face stands out at a height. [mm]"""
    k, sin, cos = (BUTT - THIN) / WIDTH, math.sin(tilt), math.cos(tilt)
    y = (up - butt_line - BUTT * sin) / (cos - k * sin)
    return WIDTH * sin - y * sin + (BUTT - k * y) * cos


def sound_model():
    tilt = steady(WIDTH, BUTT, THIN, GAUGE)
    sin, cos = math.sin(tilt), math.cos(tilt)
    starter = (WIDTH * cos - STARTER_HEIGHT) * math.tan(tilt)
    parts = [block(f"B{i}", Kind.BATTEN, (a, 2, -25), (b, HEAD, 0)) for i, (a, b) in enumerate(BATTENS, 1)]
    parts += [
        block("M1", Kind.MEMBRANE, (0, 0, -26), (LENGTH, HEAD, -25)),
        block("S1", Kind.STARTER, (0, 0, 0), (LENGTH, STARTER_HEIGHT, starter)),
        block("PL", Kind.POST, (-75, 0, -25), (0, HEAD, 50)),
        block("PR", Kind.POST, (LENGTH, 0, -25), (LENGTH + 75, HEAD, 50)),
        vent_strip(),
    ]
    heads = []
    above = WIDTH * cos + THIN * sin - GAUGE + 8.0 + NAIL.diameter / 2
    for course in range(1, COURSES + 1):
        line = (course - 1) * GAUGE
        cuts = [5.0, LENGTH - 5.0]
        if course in JOINTS:
            cuts[1:1] = [JOINTS[course] - 1.5, JOINTS[course] + 1.5]
        for i, (a, b) in enumerate(zip(cuts[::2], cuts[1::2], strict=True)):
            parts.append(board(f"{course:02d}{'ab'[i]}", course, a, b, tilt, line))
            on = [x for x in NAILED_AT if a < x < b]
            if i == 1:
                on = [JOINTS[course] + 25.0, *on]
            heads += [(x, line + above, face_out(tilt, line, line + above)) for x in on]
    nails = Fixings(
        mark="nails",
        wall="front",
        use=Use.BOARD,
        fastener=NAIL,
        heads=np.array(heads),
        directions=np.tile((0.0, 0.0, -1.0), (len(heads), 1)),
        concealed=False,
    )
    post = Fixings(
        mark="post screws",
        wall="front",
        use=Use.POST,
        fastener=SCREW,
        heads=np.array([(50.0, 200.0, -12.5), (50.0, 600.0, -12.5)]),
        directions=np.tile((-1.0, 0.0, 0.0), (2, 1)),
        concealed=True,
    )
    wall = Wall(
        name="front",
        frame=np.eye(4),
        length=LENGTH,
        outline=np.array([(0, 0), (LENGTH, 0), (LENGTH, HEAD), (0, HEAD)], float),
        ground=-200.0,
        head=HEAD,
        openings=(),
        rod=np.arange(COURSES + 1) * GAUGE,
        depth_to_frame=35.0,
        frame_depth=140.0,
    )
    return Model(title="small wall", walls=(wall,), parts=tuple(parts), fixings=(nails, post))


class Bench:
    """A sound model and what can be done to it."""

    def __init__(self):
        self.model = sound_model()
        self.rules = Rules()
        self.tilt_deg = math.degrees(steady(WIDTH, BUTT, THIN, GAUGE))

    block = staticmethod(block)
    board = staticmethod(board)
    steady = staticmethod(steady)
    vent_strip = staticmethod(vent_strip)

    def limit(self, **values):
        """Rules with some limits set to other values."""
        new = {
            name: Limit(value=value, unit=getattr(self.rules, name).unit, basis="set by the test")
            for name, value in values.items()
        }
        return replace(self.rules, **new)

    def part(self, mark):
        return next(p for p in self.model.parts if p.mark == mark)

    def moved(self, mark, by):
        part = self.part(mark)
        return self.model.replace_parts([part.with_vertices(part.vertices + np.asarray(by, float))])

    def turned(self, mark, degrees, about="bottom"):
        """Lean a board further in (above 0) about its bottom back arris, its middle or its top one."""
        part = self.part(mark)
        back = part.vertices[: len(part.vertices) // 2, 1:]
        ends = {"bottom": back[back[:, 0].argmin()], "top": back[back[:, 0].argmax()]}
        ends["middle"] = (ends["bottom"] + ends["top"]) / 2
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        vertices = part.vertices.copy()
        vertices[:, 1:] = (vertices[:, 1:] - ends[about]) @ np.array([[c, s], [-s, c]]).T + ends[about]
        return self.model.replace_parts([part.with_vertices(vertices)])

    def with_parts(self, *extra):
        return replace(self.model, parts=self.model.parts + extra)

    def without(self, *marks):
        return replace(self.model, parts=tuple(p for p in self.model.parts if p.mark not in marks))

    def nails_moved(self, index, by):
        nails, *rest = self.model.fixings
        heads = nails.heads.copy()
        heads[index] += np.asarray(by, float)
        return replace(self.model, fixings=(replace(nails, heads=heads), *rest))

    def nail(self, mark, x):
        """Index of the nail of a board nearest to x."""
        heads, low = self.model.fixings[0].heads, self.part(mark).vertices[:, 1].min()
        near = np.flatnonzero((heads[:, 1] > low) & (heads[:, 1] < low + GAUGE))
        return int(near[np.abs(heads[near, 0] - x).argmin()])

    def failing(self, model, rules=None):
        """Names of all the checks that do not come out sound, with their findings."""
        found = {}
        for finding in run_checks(model, rules or self.rules):
            if finding.verdict not in ("ok", "not_assessed"):
                found.setdefault(finding.check, []).append(finding)
        return found


@pytest.fixture
def bench():
    return Bench()
