"""Random whole jobs for hypothesis: plans, tops, feet and openings, most of them buildable."""

from __future__ import annotations

from hypothesis import strategies as st

from .strategies import between

# What lies between an opening and the wall's corner posts or its neighbour, at least, so that most fit. [mm]
CLEAR, PIER = 320.0, 340.0

Tables = dict[str, object]


@st.composite
def _layers(draw: st.DrawFn) -> Tables:
    """Boards, battens and posts as commonly bought."""
    width, butt, thin = draw(st.sampled_from([(125, 16, 6), (150, 20, 8), (170, 22, 9), (200, 22, 9)]))
    tables: Tables = {
        "board": {
            "width": width,
            "butt": butt,
            "thin_edge": thin,
            "stock": [draw(st.sampled_from([3600, 4200, 4800, 6000]))],
            "fitting_gap": draw(st.sampled_from([3, 5, 8])),
            "edge_cut": draw(st.sampled_from(["square", "level"])),
        },
        "posts": {"size": draw(st.sampled_from([75, 90, 100])), "inside_size": 90},
    }
    if draw(st.integers(0, 2)) == 0:
        tables["studs"] = {"centres": 400}
    if draw(st.integers(0, 2)) == 0:
        tables["battens"] = {
            "thickness": draw(st.sampled_from([25, 38])),
            "width": draw(st.sampled_from([38, 50, 63])),
        }
    return tables


@st.composite
def _openings(draw: st.DrawFn, wall: str | None, length: float, height: float) -> list[Tables]:
    """From left to right, each a pier off the one before it or meeting its trims."""
    found: list[Tables] = []
    left = draw(between(CLEAR, CLEAR + 1_500, 5))
    for n in range(draw(st.integers(0, 2))):
        width = draw(st.sampled_from([400.0, 600.0, 900.0, 1_200.0, 1_800.0]))
        if left + width > length - CLEAR:
            break
        door = draw(st.integers(0, 3)) == 0
        head = min(draw(between(1_700, 2_150, 5)), height - 220)
        table: Tables = {"name": f"opening {n}", "left": left, "width": width, "head": head}
        if wall is not None:
            table |= {"wall": wall, "name": f"{wall} {n}"}
        table |= (
            {"kind": "door"}
            if door
            else {"kind": "window", "sill": draw(between(400, max(405, head - 400), 5))}
        )
        found.append(table)
        left += width + draw(st.sampled_from([120.0, PIER, 700.0, 1_500.0]))  # 120: trims of 60 that meet
    return found


@st.composite
def walls(draw: st.DrawFn) -> Tables:
    """One wall: level, gable or stepped or sloping foot, out of plumb or of plane."""
    tables = draw(_layers())
    length, height = draw(between(1_500, 9_000)), draw(st.sampled_from([2_100.0, 2_400.0, 2_700.0]))
    lean = draw(st.sampled_from([0, 0, 4, -4, 8, -8]))
    wall: Tables = {
        "length": {"foot": length, "middle": length + lean / 2, "head": length + lean},
        "height": height,
    }
    tables["opening"] = draw(_openings(None, length, height))
    if draw(st.integers(0, 2)) == 0:
        wall["pitch_deg"] = draw(st.sampled_from([15, 22.5, 30, 45, 60]))
        if draw(st.booleans()):
            wall["ridge_at"] = length * draw(st.sampled_from([0.3, 0.45, 0.6]))
    elif draw(st.integers(0, 2)) == 0:
        end, at = min(length, length + lean), round(length * draw(st.sampled_from([0.3, 0.5, 0.7])))
        step = draw(st.sampled_from([-267, -150, 150, 267]))
        wall["foot"] = draw(
            st.sampled_from(
                [
                    [[0, 0], [at, 0], [at, step], [end, step]],
                    [[0, 0], [end, step]],
                    [[0, 0], [at, step], [end, step]],
                ]
            )
        )
    if draw(st.integers(0, 4)) == 0:
        wall["out_of_plane"] = [
            [0, 0],
            [round(length / 2), draw(between(1, 9))],
            [min(length, length + lean), 0],
        ]
    tables["wall"] = wall
    if draw(st.booleans()):
        tables["rod"] = {"align": ["all sills", "all heads"]}
    return tables


@st.composite
def buildings(draw: st.DrawFn) -> Tables:
    """A rectangle (plain, gabled, single pitch) or an L, with openings and perhaps a step in its foot."""
    tables = draw(_layers())
    long, wide = draw(between(2_500, 8_000)), draw(between(2_500, 6_000))
    height = draw(st.sampled_from([2_100.0, 2_400.0, 2_700.0]))
    shape = draw(st.sampled_from(["plain", "gabled", "pitched", "L"]))
    plan: Tables = {"height": height, "rectangle": [long, wide]}
    names = [f"wall {letter}" for letter in "ABCDEF"]
    lengths = [long, wide, long, wide]
    details: dict[str, Tables] = {}
    if shape == "gabled":
        pitch = draw(st.sampled_from([20, 35, 45]))
        ridge = {"ridge_at": wide * draw(st.sampled_from([0.4, 0.5]))}
        other = {"ridge_at": wide - ridge["ridge_at"]}
        details = {"wall B": {"pitch_deg": pitch, **ridge}, "wall D": {"pitch_deg": pitch, **other}}
    elif shape == "pitched":
        del plan["height"]
        plan["heights"] = [height, height, height - 300, height - 300]
    elif shape == "L":
        in_x, in_y = draw(between(1_000, long - 1_000)), draw(between(1_000, wide - 1_000))
        plan["corners"] = [[0, 0], [long, 0], [long, in_y], [in_x, in_y], [in_x, wide], [0, wide]]
        del plan["rectangle"]
        lengths = [long, in_y, long - in_x, wide - in_y, in_x, wide]
    if draw(st.integers(0, 3)) == 0:
        down = draw(st.sampled_from([-133, -250]))
        at = round(long * draw(st.sampled_from([0.25, 0.5])))
        back = round(lengths[-1] * 0.6)
        details.setdefault("wall A", {})["foot"] = [[0, down], [at, down], [at, 0], [long, 0]]
        last = names[len(lengths) - 1]
        details.setdefault(last, {})["foot"] = [[0, 0], [back, 0], [back, down], [lengths[-1], down]]
    if details:
        plan["wall"] = [{"name": name, **fields} for name, fields in details.items()]
    tables["building"] = plan
    lowest = height - 300 if shape == "pitched" else height
    tables["opening"] = [
        o
        for name, length in zip(names, lengths, strict=False)
        if draw(st.booleans())
        for o in draw(_openings(name, length, lowest))
    ]
    if draw(st.booleans()):
        tables["rod"] = {"align": ["all sills", "all heads"]}
    return tables
