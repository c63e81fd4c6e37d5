"""What a scene, a polygon or a row of battens may be, for hypothesis."""

from __future__ import annotations

import math

import shapely
from hypothesis import strategies as st


def between(low: float, high: float, step: float = 1.0) -> st.SearchStrategy[float]:
    """Lengths a tape can read: whole steps from low to high."""
    return st.integers(math.ceil(low / step), math.floor(high / step)).map(lambda n: n * step)


@st.composite
def polygons(draw: st.DrawFn) -> shapely.Polygon:
    """A valid polygon about the origin, often with holes: a star, square holes in its middle."""
    corners = draw(st.integers(3, 12))
    steps = draw(st.lists(st.floats(0.3, 1.0), min_size=corners, max_size=corners))
    turn = 2 * math.pi / sum(steps)
    angles = [draw(st.floats(0, 6)) + turn * sum(steps[:i]) for i in (0,)]
    for step in steps[:-1]:
        angles.append(angles[-1] + step * turn)
    radii = draw(st.lists(st.floats(60, 400), min_size=corners, max_size=corners))
    shell = shapely.Polygon([(r * math.cos(a), r * math.sin(a)) for r, a in zip(radii, angles, strict=True)])
    holes = []
    for row, column in draw(st.sets(st.tuples(st.integers(-4, 4), st.integers(-4, 4)), max_size=6)):
        size = draw(st.floats(4, 20))
        x, y = column * 25.0, row * 25.0
        hole = shapely.box(x - size / 2, y - size / 2, x + size / 2, y + size / 2)
        if shell.buffer(-2.0).contains(hole):
            holes.append(hole.exterior.coords)
    whole = shapely.Polygon(shell.exterior, holes)
    return whole if whole.is_valid else shapely.convex_hull(shell)


@st.composite
def boards(draw: st.DrawFn) -> dict[str, float]:
    """Width, butt and thin edge of a feather-edge board as sold: at least four times as wide as thick."""
    width = draw(between(90, 300, 5))
    butt = draw(between(10, width / 4))
    return {"width": width, "butt": butt, "thin_edge": draw(between(4, butt))}


@st.composite
def _openings(draw: st.DrawFn, length: float, height: float) -> list[dict[str, object]]:
    """Up to three openings from left to right; most of them fit."""
    found: list[dict[str, object]] = []
    left = 0.0
    for n in range(draw(st.integers(0, 3))):
        left += draw(between(225, 900, 5))
        width = draw(between(400, 1800, 10))
        if left + width > length - 225:
            break
        door = draw(st.booleans()) and draw(st.booleans())
        sill = 0 if door else draw(between(250, max(260, height - 900), 5))
        found.append(
            {
                "name": f"{'door' if door else 'window'} {n + 1}",
                "kind": "door" if door else "window",
                "left": left,
                "width": width,
                "sill": sill,
                "head": min(sill + draw(between(300, 2100, 5)), height - 200),
            }
        )
        left += width
    return found


@st.composite
def scenes(draw: st.DrawFn) -> dict[str, object]:
    """Tables of a scene for `scene_text`: walls a carpenter might be asked for, most buildable."""
    length, height = draw(between(700, 12_000, 10)), draw(between(600, 3_600, 5))
    off = draw(between(-10, 10))
    board: dict[str, object] = dict(draw(boards()))
    width = float(board["width"])  # type: ignore[arg-type]
    board["least_lap"] = draw(between(10, width / 3))
    if draw(st.booleans()):
        board["wanted_gauge"] = draw(between(width / 2, width - 5))
    board["stock"] = draw(st.lists(between(1800, 6000, 300), min_size=1, max_size=3))
    board["edge_cut"] = draw(st.sampled_from(["square", "level"]))
    board["fitting_gap"] = draw(between(0, 10))
    board["joint_gap"] = draw(between(0, 6))
    batten = {"thickness": draw(between(19, 50)), "width": draw(between(38, 63))}
    nose = width * 0.25 + float(board["butt"])  # type: ignore[arg-type]
    extra = draw(st.lists(between(100, length - 100, 10), max_size=3)) if length > 900 else []
    return {
        "wall": {"length": {"foot": length, "middle": length, "head": length + off}, "height": height},
        "board": board,
        "battens": batten | {"extra": extra},
        "studs": {
            "centres": draw(st.sampled_from([400, 450, 600])),
            "depth": draw(st.sampled_from([95, 145, 195])),
        },
        "vent_strip": {"rows": draw(st.integers(1, 3)), "slot_spacing": draw(between(34, 60))},
        "starter": {
            "height": draw(between(15, 45)),
            "thickness": draw(st.one_of(st.just("fit"), between(0, 25))),
        },
        "posts": {"size": min(250.0, batten["thickness"] + nose + draw(between(5, 40)))},
        "trims": {
            "width": draw(between(40, 100)),
            "thickness": min(120.0, nose + draw(between(5, 30))),
            "head_fall_deg": draw(between(0, 15)),
            "sill_fall_deg": draw(between(0, 12)),
            "sill_thickness": draw(between(30, 60)),
        },
        "fillet": {
            "height": draw(between(30, 70)),
            "head_gap": draw(between(0, 30)),
            "packer": draw(st.booleans()),
        },
        "opening": draw(_openings(length, height)),
    }


@st.composite
def strange_scenes(draw: st.DrawFn) -> dict[str, object]:
    """Scenes whose every value is within its own bounds, and which together make little sense."""
    tables = draw(scenes())
    width, butt = draw(between(60, 400)), draw(between(6, 75))
    tables["board"] = {
        "width": width,
        "butt": butt,
        "thin_edge": draw(between(3, 60)),
        "least_lap": draw(between(5, 200)),
    } | draw(st.fixed_dictionaries({}, optional={"wanted_gauge": between(20, 380)}))
    tables["starter"] = {"height": draw(between(5, 120)), "thickness": draw(between(0, 120))}
    tables["fillet"] = {
        "height": draw(between(15, 150)),
        "head_gap": draw(between(0, 80)),
        "packer": draw(st.booleans()),
    }
    tables["trims"] = {
        "thickness": draw(between(15, 120)),
        "sill_fall_deg": draw(between(0, 30)),
        "sill_overhang": draw(between(0, 100)),
        "sill_thickness": draw(between(15, 120)),
    }
    tables["posts"] = {"size": draw(between(40, 250))}
    return tables
