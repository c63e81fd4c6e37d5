"""Seeded random jobs that look like real ones: what a carpenter might be asked to clad, well or badly.

Every job must end sound, be refused with a reason, or end with a finding that `may_fail` says is true of it.
"""

from __future__ import annotations

import math
import random

from ..building import toml
from .layers import Table, lasting, layers, least_nail, some

Point = tuple[float, float]

HEIGHTS = (2100, 2400, 2700)  # mm
NAMES = (
    "window",
    "Küche",
    "north light",
    "fenêtre 2",
    "W-1",
    'the "big" one',
    "door",
    "Tür",
    "戸口",
    "a & b <c>",
)
# Checks that may fail of boards that dry or swell, though they are sound as hung.
STATES = ("driest", "wettest")
MOVES = ("lap", "nails", "clearance", "contact", "noses")
STUD = 47  # thickness of the thickest stud here [mm]
LARGE = 0.04  # so many jobs are large
LETTERS = "ABCDEFGH"


def text_of(job: Table) -> str:
    """TOML of a job.

    Parameters
    ----------
    job : dict
    """
    return "".join(f"{key} = {toml(value)}\n" for key, value in job.items())


def may_fail(job: Table) -> set[str]:
    """Checks that may truly fail for what a job says, by the names that `check` gives them.

    Parameters
    ----------
    job : dict

    Notes
    -----
    Only what the user says of a place, of timber or of a nail is excused, never the setting-out: a wind that
    the nails cannot hold, boards hung so wet or dry that they run off their laps, a nail too short for the
    board, ground too near the foot, vent slots too small for the rule that was asked for.
    """
    found = set()
    board, nail = dict(job["board"]), dict(dict(job["fixings"])["board_nail"])  # type: ignore[call-overload]
    if "wanted_gauge" in board:  # the nearest count is taken, as in NAVEDTRA 14044, whatever lap it leaves
        found.add("lap")
    if not dict(job.get("fillet", {})).get("packer", True):  # type: ignore[call-overload]
        found.add("tilt")
    if nail["length"] < least_nail(board["butt"], ringed=nail.get("ringed", True)):
        found |= {"fixings", "nails"}
    if not nail.get("headed", True) or "galvanised" in nail.get("material", ""):
        found.add("fixings")
    timber = dict(job.get("timber", {}))  # type: ignore[call-overload]
    if timber.get("board_class") == "D30":  # too dense to be nailed undrilled
        found.add("fixings")
    if "wind" in job:
        found.add("wind")
    if "air" in job:
        found.add("air")
    if "climate" in job and "fixing_moisture" in timber:
        found |= {"moisture"} | {
            f"{name} at its {state}" for name in MOVES for state in ("driest", "wettest")
        }
    return found | {f"{name} at its {state}" for name in found for state in ("driest", "wettest")}


def job(rng: random.Random) -> Table:
    """One whole job.

    Parameters
    ----------
    rng : random.Random

    Returns
    -------
    dict
        Plain TOML types: one key for each table of a scene.
    """
    table: Table = {"title": f"Trial {rng.randrange(10_000)}"}
    table |= layers(rng)
    lone = rng.random() < 0.75
    walls = _wall(rng, table) if lone else _building(rng, table)
    table["opening"] = [
        one for name, length, height in walls for one in _openings(rng, table, name, length, height)
    ]
    if rng.random() < 0.4:
        table["rod"] = _rod(rng)
    table |= lasting(rng)
    return table


def _lengths(rng: random.Random, length: int) -> Table | int:
    """What a tape reads at foot, middle and head; one number where all agree."""
    lean = rng.choice((0, 0, 0, 0, 3, 8, 12, -3, -8))
    if lean == 0:
        return length
    return {"foot": length, "middle": length + lean / 2 + rng.choice((0, 0, 4)), "head": length + lean}


def _foot(rng: random.Random, begins: float, ends: float, length: float) -> list[list[float]]:
    """Foot between two heights: one step or slope, or several, on the way."""
    drop = ends - begins
    kind = rng.choice(("step", "slope", "both", "steps", "dip"))
    at = round(rng.uniform(0.25, 0.75) * length)
    if kind == "step":
        return [[0, begins], [at, begins], [at, ends], [length, ends]]
    if kind == "slope":
        return [[0, begins], [length, ends]]
    if kind == "both":
        along = sorted((at, round(rng.uniform(0.1, 0.9) * length)))
        return [[0, begins], [along[0], begins], [along[1] + 10, ends], [length, ends]]
    half = begins + round(drop / 2)
    if kind == "steps":
        one, two = round(length * 0.3), round(length * 0.65)
        return [[0, begins], [one, begins], [one, half], [two, half], [two, ends], [length, ends]]
    return [[0, begins], [at, half - rng.choice((40, 120))], [length, ends]]


def _out_of_plane(rng: random.Random, length: float) -> list[list[float]]:
    return [[round(length * share), rng.randint(0, 12)] for share in (0, 0.3, 0.5, 1)]


def _wall(rng: random.Random, table: Table) -> list[tuple[str, float, float]]:
    """One wall, and what openings need to know of it: name, length, height."""
    length = rng.choice((rng.randint(900, 2500), rng.randint(1200, 3600), rng.randint(2000, 5000)))
    if rng.random() < LARGE:
        length = rng.randint(5000, 12_000)
    height = rng.choice((*HEIGHTS, rng.randint(900, 2000), rng.randint(900, 3000)))
    taped = _lengths(rng, length)
    least = length if isinstance(taped, int) else min(length, int(taped["head"]))  # type: ignore[call-overload]
    wall: Table = {"length": taped, "height": height}
    if rng.random() < 0.3:
        wall |= _ridge(rng, least, height)
    if rng.random() < 0.35:
        wall["foot"] = _foot(rng, 0, rng.choice((-400, -267, -150, -60, 60, 150, 267)), least)
    if rng.random() < 0.1:
        wall["out_of_plane"] = _out_of_plane(rng, least)
    if rng.random() < 0.2:
        wall["ground_clearance"] = rng.choice((150, 175, 225))
    if rng.random() < 0.1:
        wall["joint_price"] = rng.choice((0, 1, 5))
    if rng.random() < 0.1:
        table["battens"]["extra"] = sorted(rng.randint(100, least - 100) for _ in range(rng.randint(1, 3)))  # type: ignore[index]
    table["wall"] = wall
    return [("", least, height)]


def _ridge(rng: random.Random, length: float, height: float) -> Table:
    fields: Table = {}
    at = length / 2
    if rng.random() < 0.4:
        at = round(length * rng.uniform(0.2, 0.8))
        fields["ridge_at"] = at
    pitch = rng.choice((10, 15, 20, 22.5, 30, 35, 45, 55))
    if rng.random() < 0.3:
        fields["ridge_height"] = round(height + at * math.tan(math.radians(pitch)))
    else:
        fields["pitch_deg"] = pitch
    return fields


def _plan(rng: random.Random) -> list[Point]:
    """Corners of a rectangle, an L, a T or a U, anticlockwise."""
    long, wide = rng.randint(1800, 4200), rng.randint(1800, 3600)
    if rng.random() < LARGE / 2:
        long, wide = rng.randint(9000, 20_000), rng.randint(6000, 12_000)
    shape = rng.choice(("rectangle", "rectangle", "L", "L", "T", "U"))
    third, half = long / 3, wide / 2
    a = round(rng.uniform(0.8, 1.2) * third)
    b = round(rng.uniform(1.8, 2.2) * third)
    up = round(rng.uniform(0.7, 1.3) * half)
    if shape == "L":
        return [(0, 0), (long, 0), (long, up), (a, up), (a, wide), (0, wide)]
    if shape == "T":
        return [(0, 0), (long, 0), (long, up), (b, up), (b, wide), (a, wide), (a, up), (0, up)]
    if shape == "U":
        return [(0, 0), (long, 0), (long, wide), (b, wide), (b, up), (a, up), (a, wide), (0, wide)]
    return [(0, 0), (long, 0), (long, wide), (0, wide)]


def _turn(a: Point, b: Point, c: Point) -> float:
    """Above 0 where the way from a over b to c turns left."""
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])


def _building(rng: random.Random, table: Table) -> list[tuple[str, float, float]]:
    """A whole building, and what openings need to know of its walls."""
    corners = _plan(rng)
    height = rng.choice(HEIGHTS)
    count = len(corners)
    names = [f"wall {letter}" for letter in LETTERS[:count]]
    lengths = [math.dist(corners[n], corners[(n + 1) % count]) for n in range(count)]
    tops = [float(height)] * count
    plan: Table = {}
    if count == 4 and rng.random() < 0.5:
        plan["rectangle"] = list(corners[2])
    else:
        plan["corners"] = [list(corner) for corner in corners]
    if rng.random() < 0.25:  # a single pitch from the front to the back
        fall = rng.uniform(0.03, 0.15)
        tops = [round(height - fall * y) for _, y in corners]
        plan["heights"] = tops
    else:
        plan["height"] = height
    details: dict[str, Table] = {}
    if "height" in plan and rng.random() < 0.4:
        for n in (1, 3) if count == 4 else (rng.randrange(count),):
            details.setdefault(names[n], {}).update(_ridge(rng, lengths[n], height))
    if rng.random() < 0.25:
        feet = [rng.choice((0, 0, 0, -120, -250)) for _ in corners]
        for n, name in enumerate(names):
            begins, ends = feet[n], feet[(n + 1) % count]
            if begins != ends or begins:
                level = [[0, begins], [lengths[n], ends]]
                details.setdefault(name, {})["foot"] = (
                    level if begins == ends else _foot(rng, begins, ends, lengths[n])
                )
    # A wall that ends in an inside corner must be as long at its head as at its foot.
    inside = {names[n] for n in range(count) if _turn(*(corners[(n + k) % count] for k in range(3))) < 0}
    for name, length in zip(names, lengths, strict=True):
        if rng.random() < 0.08 and name not in inside:
            more = rng.choice((3, 6, 10))
            taped = [length, length + more] if rng.random() < 0.5 else [length + more, length]
            details.setdefault(name, {})["length"] = {
                "foot": taped[0],
                "middle": length + more / 2,
                "head": taped[1],
            }
        if rng.random() < 0.05:
            details.setdefault(name, {})["out_of_plane"] = _out_of_plane(rng, length)
    if rng.random() < 0.2:
        plan["ground_clearance"] = rng.choice((150, 400, 600))
    if details:
        plan["wall"] = [{"name": name, **fields} for name, fields in details.items()]
    table["building"] = plan
    least = [min(tops[n], tops[(n + 1) % count]) for n in range(count)]
    return [w for w in zip(names, lengths, least, strict=True) if rng.random() < 0.5]


def _openings(rng: random.Random, table: Table, wall: str, length: float, height: float) -> list[Table]:
    """From left to right, each a pier off the one before it or meeting its trims; rarely anywhere at all."""
    trims, battens = dict(table["trims"]), dict(table["battens"])  # type: ignore[call-overload]
    trim = float(trims.get("width", 60))
    gap = float(dict(table["board"]).get("fitting_gap", 5))  # type: ignore[call-overload]
    if rng.random() < 0.03:
        return [_opening(rng, wall, 0, rng.randint(0, round(length)), rng.randint(300, 1800), height)]
    # What keeps boards beside an opening long enough to nail, and an opening clear of a corner's timbers.
    pier = 150 + 2 * gap + 2 * trim + 5
    clear = max(150 + 2 * gap + trim, 250 if wall else 0) + 80 * bool(wall)
    meets = max(trim, float(battens["width"]))
    left = meets if not wall and meets <= trim + 6 and rng.random() < 0.3 else clear + rng.randint(0, 900)
    level = rng.choice((None, rng.randint(1700, 2150)))
    found: list[Table] = []
    for n in range(rng.choice((0, 0, 1, 1, 2, 3, 5))):
        width = rng.choice((400, 450, 600, 900, 1200, 1800, rng.randint(300, 2400)))
        if left + width > length - clear:
            break
        head = min(level or rng.randint(1100, 2200), height - rng.choice((230, 260, 400)))
        one = _opening(rng, wall, n, left, width, head)
        found.append(one)
        if "sill" in one and rng.random() < 0.1 and head + 700 < height:  # a light over it
            found.append(one | {"name": f"over {wall}{n}", "sill": head + 350, "head": height - 230})
        touching = max(2 * trim, 2 * STUD)
        left += width + rng.choice((touching, touching + 4, pier, pier + rng.randint(0, 1500)))
    return found


def _opening(rng: random.Random, wall: str, n: int, left: float, width: float, head: float) -> Table:
    one: Table = {"name": f"{rng.choice(NAMES)} {wall}{n}", "left": left, "width": width, "head": head}
    one |= {"wall": wall} if wall else {}
    if rng.random() < 0.25:
        return one | {"kind": "door"}
    return one | {"sill": rng.randint(300, max(301, round(head) - 250))}


def _rod(rng: random.Random) -> Table:
    return some(
        rng,
        0.5,
        {
            "align": rng.choice((["all sills"], ["all heads"], ["all sills", "all heads"], ["no such sill"])),
            "least_gauge": rng.choice((60, 75, 90)),
            "most_spread": rng.choice((0, 10, 40)),
        },
    )
