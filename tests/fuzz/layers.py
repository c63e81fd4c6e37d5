"""What a random job is built of: boards, battens, posts, nails, rules; and what it stands up to."""

from __future__ import annotations

import math
import random

Table = dict[str, object]

# Width, butt and thin edge as sold. [mm]
BOARDS = ((100, 14, 6), (125, 16, 6), (150, 20, 8), (170, 22, 9), (175, 25, 10), (200, 22, 9), (225, 32, 10))
STOCK = (2400, 3000, 3600, 3900, 4200, 4800, 5400, 6000)  # mm
# Gauge is about four fifths of the width, so that a course stands out by this share of it. [-]
LEAN = 0.12
# A board's back stands off its batten by so much at a nail, at most. [mm]
STAND_OFF = 14
NAILS = (40, 45, 50, 60, 65, 75, 90, 100, 125)  # mm


def some(rng: random.Random, share: float, table: Table) -> Table:
    """Some of a table's fields, each given as often as `share` says."""
    return {key: value for key, value in table.items() if rng.random() < share}


def least_nail(butt: float, *, ringed: bool) -> float:
    """Length of nail that goes through a board and well into its batten. [mm]

    Parameters
    ----------
    butt : float
        [mm]
    ringed : bool
    """
    return max((2 if ringed else 2.5) * butt, butt + STAND_OFF + 16 + 2)


def layers(rng: random.Random) -> Table:
    """Boards, battens, frame, sheets, strip, starter, posts, trims, fillet, nails, rules and purchase."""
    width, butt, thin = rng.choice(BOARDS)
    if rng.random() < 0.2:
        width, butt, thin = rng.randint(90, 250), rng.randint(12, 30), rng.randint(4, 12)
    stock = rng.sample(STOCK, rng.choice((1, 1, 2, 3)))
    batten = rng.choice((25, 25, 32, 38, 50))
    nose = batten + butt + math.ceil(LEAN * width) + 6
    board = {"width": width, "butt": butt, "thin_edge": thin, "stock": stock}
    board |= some(
        rng,
        0.3,
        {
            "least_lap": rng.choice((25, 28, 30, 35, 40)),
            "wanted_gauge": round(width * rng.uniform(0.6, 0.8)),
            "kerf": rng.choice((2, 3, 4.5)),
            "end_trim": rng.choice((0, 10, 25)),
            "fitting_gap": rng.choice((2, 3, 6, 8)),
            "joint_gap": rng.choice((0, 1, 2, 5)),
            "edge_cut": "level",
        },
    )
    tables: Table = {
        "board": board,
        "battens": {"thickness": batten, "width": rng.choice((38, 45, 50, 50, 63, 75))},
        "posts": {
            "size": max(40, min(250, nose + rng.choice((0, 4, 12, 30)))),
            "inside_size": max(40, min(250, nose + rng.choice((0, 4, 12)))),
        }
        | some(
            rng, 0.2, {"foot_relief": rng.choice((0, 1, 5)), "screw_spacing": rng.choice((200, 300, 600))}
        ),
        "trims": _trims(rng, nose - batten),
        "fixings": _nails(rng, butt),
    }
    others: Table = {
        "studs": {
            "centres": rng.choice((300, 400, 400, 450, 600)),
            "depth": rng.choice((89, 95, 145, 195)),
            "thickness": rng.choice((38, 44, 47)),
            "lintel": rng.choice((95, 145, 195)),
            "plate_overhang": rng.choice((0, 25, 50, 75)),
        },
        "sheathing": {
            "thickness": rng.choice((9, 11, 18)),
            "width": rng.choice((1200, 1220, 1250, 900)),
            "height": rng.choice((2400, 2440, 2500, 1200)),
            "gap": rng.choice((0, 2, 3)),
        },
        "membrane": {"thickness": rng.choice((0.5, 1)), "roll": rng.choice((1000, 1500, 3000))},
        "vent_strip": {
            "thickness": rng.choice((1, 2, 3)),
            "slot_length": rng.choice((20, 30, 36)),
            "rows": rng.choice((2, 3, 4)),
            "stock": rng.choice((1000, 2000, 2500)),
        },
        "starter": {"height": rng.choice((15, 20, 25, 32))},
        "fillet": {
            "height": rng.choice((40, 45, 70)),
            "thickness": rng.choice((12, 18)),
            "stand_off": rng.choice((4, 8, 12)),
            "head_gap": rng.choice((12, 20, 25)),
            "packer": rng.random() < 0.7,
        },
        "rules": {
            "stagger": rng.choice((300, 400, 600)),
            "least_piece": rng.choice((300, 450, 600)),
            "column_rest": rng.choice((2, 3, 4)),
            "least_rip": rng.choice((40, 60, 75)),
            "cavity": rng.choice((15, 19, 21)),
        },
        "cutting": _purchase(rng, len(stock)),
        "finish": {
            "name": rng.choice(("bare", "treated", "oiled", "black", "painted", "silver")),
            "timber": rng.choice(("softwood", "larch", "cedar", "oak")),
        },
    }
    tables |= {name: some(rng, 0.6, dict(fields)) for name, fields in some(rng, 0.3, others).items()}  # type: ignore[call-overload]
    return tables


def _trims(rng: random.Random, nose: float) -> Table:
    thick = min(120, max(15, nose + rng.choice((0, 4, 15))))
    return {"thickness": thick} | some(
        rng,
        0.2,
        {
            "width": rng.choice((45, 70, 95)),
            "head_fall_deg": rng.choice((0, 3, 8, 15)),
            "flashing_upstand": rng.choice((40, 100)),
            "flashing_drip": rng.choice((5, 10, 20)),
            "head_gap": rng.choice((6, 8, 15)),
            "sill_thickness": rng.choice((40, 60, 70)),
            "sill_fall_deg": rng.choice((4, 6, 8)),
            "sill_overhang": rng.choice((10, 25, 40)),
            "sill_gap": rng.choice((6, 8, 12)),
            "sill_depth_inside": rng.choice((0, 30, 50)),
        },
    )


def _nails(rng: random.Random, butt: float) -> Table:
    nail: Table = {"diameter": rng.choice((2.3, 2.65, 2.65, 3.1))} | some(
        rng, 0.1, {"headed": False, "ringed": False, "material": rng.choice(("bronze", "steel, galvanised"))}
    )
    least = least_nail(butt, ringed=bool(nail.get("ringed", True))) if rng.random() < 0.97 else 0.0
    nail["length"] = next(length for length in NAILS if length >= least)
    return {"board_nail": nail} | some(
        rng,
        0.1,
        {
            "batten_spacing": rng.choice((300, 450, 600)),
            "clear_of_board_below": rng.choice((5, 8, 12)),
            "end_distance": rng.choice((20, 25, 30)),
            "drilled": rng.choice(("none", "ends", "all")),
            "f_ax": rng.choice((4.5, 7.0)),
            "f_head": rng.choice((15.0, 20.0)),
        },
    )


def _purchase(rng: random.Random, lengths: int) -> Table:
    return {
        "method": rng.choice(("planned", "quick")),
        "prices": [round(rng.uniform(5, 40), 2) for _ in range(lengths)],
        "limits": [rng.choice((5, 50, 400, 5000)) for _ in range(lengths)],
        "reject_percent": rng.choice((0, 2, 10)),
    }


def lasting(rng: random.Random) -> Table:
    """Air, moisture, timber and wind; nothing that changes how the wall is built."""
    tables: Table = {}
    if rng.random() < 0.3:
        tables["climate"] = {"name": rng.choice(("temperate", "maritime", "continental", "sun-baked"))}
        tables["timber"] = {
            "species": rng.choice(("western redcedar", "European larch", "Norway spruce", "white oak")),
            "sawn": rng.choice(("flat", "quarter")),
            "fixing_moisture": rng.choice((10, 14, 16, 18, 24)),
        } | some(
            rng,
            0.5,
            {
                "treated": rng.random() < 0.5,
                "board_class": rng.choice(("C16", "C24", "D30")),
                "batten_class": rng.choice(("C16", "C24")),
                "heart": rng.choice(("out", "in")),
                "cut_ends_treated": rng.random() < 0.5,
            },
        )
    if rng.random() < 0.2:
        place: Table = {"pressure": rng.choice((400, 800, 1500))}
        if rng.random() < 0.5:
            place = {"velocity": rng.choice((22, 26, 30)), "terrain": rng.choice(("I", "II", "III", "IV"))}
        tables["wind"] = place | {
            "building_height": rng.choice((3, 5)),
            "building_breadth": rng.choice((4, 8)),
        }
        tables["timber"] = {"batten_class": "C24", "board_class": "C16", **dict(tables.get("timber", {}))}  # type: ignore[call-overload]
    if rng.random() < 0.15:
        tables["air"] = {"rule": rng.choice(("New Zealand", "Scotland, masonry", "BS 8200"))} | some(
            rng, 0.5, {"mesh_aperture": 3.5, "mesh_open_share": 0.5}
        )
    return tables
