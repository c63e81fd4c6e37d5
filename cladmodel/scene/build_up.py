"""The wall's layers: boards, battens, frame, sheets, strip, starter and posts, as the user writes them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from cladmodel.scene.fields import COMMON, Table, choice, many, mm, number

DERIVED = "worked out from the other values"
TARGETS = "EN 336 target sizes, found second-hand"
LAP_BASIS = (
    "sources disagree: 25 or width/16 (Ontario building code 9.27.6), 32 (NZ E2/AS1 bevel-back), "
    "25.4 (NAVEDTRA 14044), about 30 (RMIT teaching page)"
)


class BoardTable(Table):
    """The feather-edge board and how it is laid."""

    width: float = mm(170, 60, 400, "across the board, along its back", TARGETS)
    butt: float = mm(22, 6, 75, "thickness of the bottom edge", COMMON)
    thin_edge: float = mm(9, 3, 60, "thickness of the top edge", COMMON)
    square_face: Literal["back"] = choice(
        "back",
        "which face is square to the edges; only 'back' is built",
        "the square face to the back, else the underside rises outward more than it must",
    )
    least_lap: float = mm(32, 5, 200, "least lap, measured along the board", LAP_BASIS)
    wanted_gauge: float | None = mm(
        None,
        20,
        380,
        "gauge to come nearest to; left out, the fewest courses that keep the least lap",
        "nearest count as in NAVEDTRA 14044, fig. 4-3",
    )
    stock: tuple[Annotated[float, Field(ge=600, le=12_000)], ...] = many(
        (4_800.0,), 12, "lengths the boards are sold in", least=1
    )
    kerf: float = mm(3, 0, 10, "width of the saw cut")
    end_trim: float = mm(15, 0, 200, "lost squaring each end of a stock board")
    fitting_gap: float = mm(5, 1, 20, "gap between a board's end and a post or trim", "5-8 " + COMMON)
    joint_gap: float = mm(3, 0, 12, "gap between two boards at a butt joint")
    edge_cut: Literal["square", "level"] = choice(
        "square", "rips and notches cut square to the board's face, or level in the wall"
    )


class BattensTable(Table):
    """Counter battens, upright over the studs."""

    thickness: float = mm(
        25, 10, 75, "makes the cavity", "15-50 by source (19 gov.scot, 21 TDCA, 20 NZ); 25 " + COMMON
    )
    width: float = mm(50, 25, 120, "as seen from outside", "38-50 " + COMMON)
    extra: tuple[Annotated[float, Field(ge=0, le=40_000)], ...] = many(
        (), 60, "centres of further battens, from the wall's left corner"
    )


class StudsTable(Table):
    """The timber frame."""

    depth: float = mm(145, 60, 400, "through the wall", TARGETS)
    thickness: float = mm(47, 30, 100, "as seen from outside", TARGETS)
    centres: float = mm(600, 200, 900, "stud and batten centres", "600 (gov.scot, TDCA); 400 for green oak")
    lintel: float = mm(145, 60, 500, "height of the lintel over an opening")
    plate_overhang: float = mm(
        50, 0, 300, "how far the cladding hangs below the sole plate", "at least 50 (NZ E2/AS1 table 18)"
    )


class SheathingTable(Table):
    """Structural panels on the frame."""

    thickness: float = mm(9, 6, 25, "panel thickness", "9-11 " + COMMON)
    width: float = mm(1_200, 300, 3_000, "panel width along the wall")
    height: float = mm(2_400, 300, 6_000, "panel height")
    gap: float = mm(3, 0, 10, "gap between panels")


class MembraneTable(Table):
    """Breather membrane, laid shingle-fashion from the bottom."""

    thickness: float = mm(1, 0.1, 3, "as drawn; laps are noted, not doubled")
    roll: float = mm(1_500, 500, 4_000, "roll width")
    lap: float = mm(100, 0, 500, "each run over the one below", "100 (NHBC 6.2.13)")
    end_lap: float = mm(150, 0, 500, "at the end of a roll", "150 (NHBC 6.2.13)")


class VentStripTable(Table):
    """Perforated strip that closes the cavity against insects and lets air in."""

    thickness: float = mm(2, 0.5, 10, "strip thickness")
    slot_width: float = mm(
        4, 1, 12, "across a slot", "3-5 slots (NZ E2/AS1 9.1.8.3); 3-4 mesh, common practice"
    )
    slot_length: float = mm(30, 3, 100, "along a slot")
    slot_spacing: float = mm(40, 5, 200, "slot centres along the strip")
    rows: int = number(2, 1, 6, "rows of slots", COMMON, "count")
    stock: float = mm(2_500, 300, 6_000, "length of one piece")


class StarterTable(Table):
    """The strip that props the first board out."""

    height: float = mm(25, 5, 120, "height of the square-topped strip")
    thickness: Annotated[float, Field(ge=0, le=120)] | Literal["fit"] = Field(
        "fit",
        description="'fit' for the thickness that gives course 1 the lean of those above, or a number",
        json_schema_extra={"unit": "mm", "basis": DERIVED},
    )


class PostsTable(Table):
    """Solid corner posts with a batten on each inner side."""

    size: float = mm(75, 40, 250, "square section at outside corners", TARGETS)
    inside_size: float = mm(72, 40, 250, "square section in the nook of an inside corner", TARGETS)
    foot_relief: float = mm(2, 0, 20, "room above the vent strip at the relieved foot")
    screw_spacing: float = mm(450, 100, 900, "screws through the batten's edge into the post")
