"""What the user writes: every field with its unit, bounds, default and the default's basis.

Lengths are millimetres, angles degrees. Heights of openings are measured from the foot of the cladding.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from cladmodel.scene.build_up import (
    DERIVED,
    BattensTable,
    BoardTable,
    MembraneTable,
    PostsTable,
    SheathingTable,
    StarterTable,
    StudsTable,
    VentStripTable,
)
from cladmodel.scene.cutting import CuttingTable
from cladmodel.scene.fields import COMMON, Name, Notes, Table, Words, choice, many, mm, number, words
from cladmodel.scene.lasting import AirTable, ClimateTable, TimberTable, WindTable


class Lengths(Table):
    """A wall's length taped at three heights."""

    foot: float = mm(..., 600, 40_000, "length at the foot, between the frame's outer corners", "survey")
    middle: float = mm(..., 600, 40_000, "length at half height", "survey")
    head: float = mm(..., 600, 40_000, "length under the soffit", "survey")


def _one_length(value: Any) -> Any:
    if isinstance(value, int | float) and not isinstance(value, bool):
        return {"foot": value, "middle": value, "head": value}
    return value


Pair = tuple[Annotated[float, Field(ge=-10_000, le=100_000)], Annotated[float, Field(ge=-10_000, le=100_000)]]
Length = Annotated[float, Field(ge=600, le=100_000)]

# Room for a site of a hundred small buildings; how large it may be is held by `settingout.feasible_size`.
MOST_WALLS, MOST_OPENINGS = 400, 500

CLEARANCE = "150-200 UK common practice, from memory; 175 above unpaved ground (NZ table 18)"


class SideFields(Table):
    """What may differ from wall to wall."""

    ridge_height: float | None = mm(
        None, 400, 20_000, "a gable's ridge above the foot of the cladding; or give pitch_deg", "survey"
    )
    pitch_deg: float | None = number(None, 1, 75, "a gable's pitch; or give ridge_height", "survey", "deg")
    ridge_at: float | None = mm(
        None, 0, 40_000, "a gable's ridge from the wall's left corner; left out, the middle", "survey"
    )
    foot: tuple[Pair, ...] = many(
        (),
        40,
        "foot as [along, up] points from the left corner: steps, or slopes up to 2 in 1; left out, level",
        "survey",
    )
    joint_price: float | None = number(
        None,
        0,
        10_000,
        "what one butt joint in this wall is worth avoiding, in the coin of cutting.prices",
        "left out, as few joints as the rules allow",
        "coin",
    )
    out_of_plane: tuple[Pair, ...] = many(
        (), 60, "how far the frame lies behind a string line, as [along, behind] points", "survey"
    )


class WallTable(SideFields):
    """One straight wall between two outside corners."""

    name: Name = words("front", "what the wall is called on drawings", most=30)
    length: Annotated[Lengths, BeforeValidator(_one_length)] = Field(
        ...,
        description="length between the frame's outer corners: one number, or foot, middle and head",
        json_schema_extra={"unit": "mm", "basis": "survey"},
    )
    height: float = mm(..., 400, 12_000, "from the foot of the cladding up to the soffit", "survey")
    ground_clearance: float = mm(
        200, 0, 2_000, "from finished ground up to the foot of the cladding", CLEARANCE
    )


class SideTable(SideFields):
    """More about one wall of a building."""

    name: Name = words(..., "which wall, by its name", "-", most=30)
    length: Annotated[Lengths | None, BeforeValidator(_one_length)] = Field(
        None,
        description="measured foot, middle and head; the least of them is the plan's length",
        json_schema_extra={"unit": "mm", "basis": "survey"},
    )


class BuildingTable(Table):
    """A whole building: a plan whose edges are walls, anticlockwise seen from above."""

    rectangle: tuple[Length, Length] | None = Field(
        None,
        description="length of the first wall and of the second; or give corners",
        json_schema_extra={"unit": "mm", "basis": "survey"},
    )
    corners: tuple[Pair, ...] | None = many(
        None,
        MOST_WALLS,
        "corners of the frame's outer face as [east, north], anticlockwise, all at right angles",
        "survey",
        least=4,
    )
    names: tuple[Annotated[Name, Field(min_length=1, max_length=30)], ...] = many(
        (),
        MOST_WALLS,
        "a name for each wall, from the first corner on; left out, 'wall A', 'wall B', ...",
        "-",
        "text",
    )
    height: float | None = mm(
        None, 400, 12_000, "from the foot up to the soffit, all round; or give heights", "survey"
    )
    heights: tuple[Annotated[float, Field(ge=400, le=12_000)], ...] | None = many(
        None,
        MOST_WALLS,
        "from the foot up to the soffit at each corner: a single-pitch roof",
        "survey",
        least=4,
    )
    ground_clearance: float = mm(
        200, 0, 2_000, "from finished ground up to the foot of the cladding", CLEARANCE
    )
    wall: tuple[SideTable, ...] = Field((), max_length=MOST_WALLS, description="walls that are not plain")


class RodTable(Table):
    """One rod for the whole building."""

    align: tuple[Annotated[Words, Field(max_length=80)], ...] = many(
        (),
        40,
        "lines the courses should meet: 'NAME sill', 'NAME head', 'all sills', 'all heads'",
        "courses that meet sills and heads look set out",
        "text",
    )
    least_gauge: float | None = mm(
        None,
        10,
        380,
        "no course shows less than this; left out, four fifths of the largest gauge",
    )
    most_spread: float = mm(
        25,
        0,
        200,
        "gauges may differ by this much for the courses to meet lines",
    )


class OpeningTable(Table):
    """One window or door. Heights are measured from the foot of the cladding."""

    name: Name = words("window", "what it is called on drawings", most=30)
    wall: Words = words("", "which wall of a building it is in", "survey", most=30)
    kind: Literal["window", "door"] = choice("window", "a door runs down to the foot", DERIVED)
    left: float = mm(..., 0, 40_000, "structural opening from the wall's left corner", "survey")
    width: float = mm(..., 200, 12_000, "of the structural opening", "survey")
    sill: float = mm(0, 0, 12_000, "top of the sill at the window; 0 for a door", "survey")
    head: float = mm(..., 100, 12_000, "underside of the lintel", "survey")


class TrimsTable(Table):
    """Pieces round an opening that the boards stop against."""

    width: float = mm(60, 30, 200, "as seen from outside")
    thickness: float = mm(45, 15, 120, "from the batten face outwards; more than the boards' noses")
    head_fall_deg: float = number(5, 0, 30, "fall of the head trim's top", COMMON, "deg")
    flashing_upstand: float = mm(75, 20, 250, "up behind the battens", "from memory: 75")
    flashing_drip: float = mm(12, 0, 40, "down over the head trim's face", "at least 10 (NZ E2/AS1)")
    head_gap: float = mm(10, 0, 50, "open below the boards over an opening")
    sill_thickness: float = mm(45, 15, 120, "at the window")
    sill_fall_deg: float = number(7, 0, 30, "fall of the sill's top", COMMON, "deg")
    sill_overhang: float = mm(25, 0, 100, "beyond the trims' faces")
    sill_gap: float = mm(10, 0, 50, "open above the boards under a sill")
    sill_depth_inside: float = mm(50, 0, 200, "how far the sill reaches into the frame")


class FilletTable(Table):
    """Cover fillet that hides the cut tops of the boards under the soffit."""

    height: float = mm(45, 15, 150, "hanging below the soffit")
    thickness: float = mm(15, 8, 60, "fillet thickness")
    stand_off: float = mm(8, 0, 40, "air gap in front of the boards")
    head_gap: float = mm(20, 0, 80, "open between the boards' tops and the soffit")
    packer: bool = choice(True, "pack the ripped top course so that it leans like the others", DERIVED)


class Nail(Table):
    """One size of nail or screw."""

    diameter: float = mm(2.65, 1, 12, "shank diameter")
    length: float = mm(50, 10, 250, "under the head")
    head: float = mm(6, 1, 30, "head diameter")
    headed: bool = choice(True, "false for a headless pin", "heads hold a cupping board, pins don't")
    ringed: bool = choice(True, "ring or threaded shank, not plain")
    material: Name = words("stainless steel", "of the fastener", most=40)


class FixingsTable(Table):
    """Nails and screws, and where they go."""

    board_nail: Nail = Field(
        Nail(),
        description="one per board per batten",
        json_schema_extra={"unit": "table", "basis": "length 2 x board when ringed, 2.5 x plain (guide)"},
    )
    post_screw: Nail = Field(
        Nail(diameter=5, length=80, head=10),
        description="through the batten's edge into the post",
        json_schema_extra={"unit": "table", "basis": COMMON},
    )
    batten_screw: Nail = Field(
        Nail(diameter=5, length=70, head=10),
        description="through the batten into the stud",
        json_schema_extra={"unit": "table", "basis": COMMON},
    )
    trim_screw: Nail = Field(
        Nail(diameter=4.5, length=65, head=9),
        description="through trims into the battens",
        json_schema_extra={"unit": "table", "basis": COMMON},
    )
    batten_spacing: float = mm(600, 100, 900, "screws along a batten", "at most 600, " + COMMON)
    clear_of_board_below: float = mm(
        8, -80, 80, "nail above the top of the board below", "5 by the RMIT figure (35 up, 30 lap); 8 chosen"
    )
    end_distance: float = mm(20, 0, 100, "nail from the board's end", "at least 20 (TRADA 2022, p. 117)")
    drilled: Literal["none", "ends", "all"] | None = choice(
        None, "which nail holes are drilled first", "left out, what needs it is not assessed"
    )
    f_ax: float | None = number(
        None, 0.5, 30, "declared withdrawal strength of the board nail", "its declaration, EN 14592", "N/mm2"
    )
    f_head: float | None = number(
        None, 1, 100, "declared pull-through strength of its head", "its declaration, EN 14592", "N/mm2"
    )


class RulesTable(Table):
    """What the setting-out keeps to and the checks hold it to."""

    stagger: float = mm(600, 0, 3_000, "least distance between joints of neighbouring courses")
    least_piece: float = mm(600, 50, 3_000, "shortest board piece at a joint")
    column_rest: int = number(3, 1, 12, "a joint column is used once in so many courses", COMMON, "courses")
    least_rip: float = mm(60, 0, 300, "narrowest strip of board left at an opening or top")
    ground_clearance: float = mm(
        150,
        0,
        1_000,
        "least height of timber above ground",
        "100 paved/175 unpaved (NZ table 18); 150 UK, from memory",
    )
    cavity: float = mm(
        19, 0, 100, "least clear depth", "19 (gov.scot), 21 (TDCA), 15-50 (NHBC), 20 (NZ): they disagree"
    )
    nail_clearance: float = mm(3, 0, 40, "least height of a nail above the board below", COMMON)
    nail_penetration: float = mm(
        15.9,
        0,
        100,
        "least depth of nail in the batten",
        "6 d of a ringed nail (EN 1995-1-1 8.3.2(7)), found second-hand",
    )


class FinishTable(Table):
    """How the picture looks; never a colour match."""

    name: Literal["bare", "treated", "oiled", "black", "painted", "silver"] = choice(
        "bare", "finish of the boards in pictures", "illustrative"
    )
    timber: Literal["softwood", "spruce", "fir", "pine", "larch", "cedar", "oak"] = choice(
        "softwood", "what is under the finish in pictures", "illustrative, published colours where found"
    )
    weathered_months: float | None = number(
        None,
        0,
        600,
        "how long silver has been out in the weather; left out, for good",
        "illustrative",
        "months",
    )
    trims: Words = words(
        "", "finish of posts and trims if another: a name or a colour", "illustrative", most=40
    )
    colour: str | None = Field(
        None,
        pattern=r"^(#[0-9a-fA-F]{6}|lab\([-0-9., ]+\))$",
        description="paint colour when painted: #rrggbb or lab(L, a, b)",
        json_schema_extra={"unit": "text", "basis": "illustrative"},
    )


class Scene(Table):
    """A whole job description."""

    title: Name = words(..., "what the job is called", "-", most=100)
    site_notes: Notes = words("", "anything the sheet should carry", "-", most=2_000)
    wall: WallTable | None = Field(None, description="one wall on its own; or give building")
    building: BuildingTable | None = Field(None, description="a whole building; or give wall")
    rod: RodTable = RodTable()
    board: BoardTable = BoardTable()
    battens: BattensTable = BattensTable()
    studs: StudsTable = StudsTable()
    sheathing: SheathingTable = SheathingTable()
    membrane: MembraneTable = MembraneTable()
    vent_strip: VentStripTable = VentStripTable()
    starter: StarterTable = StarterTable()
    posts: PostsTable = PostsTable()
    opening: tuple[OpeningTable, ...] = Field((), max_length=MOST_OPENINGS, description="doors and windows")
    trims: TrimsTable = TrimsTable()
    fillet: FilletTable = FilletTable()
    fixings: FixingsTable = FixingsTable()
    rules: RulesTable = RulesTable()
    cutting: CuttingTable = CuttingTable()
    finish: FinishTable = FinishTable()
    climate: ClimateTable = ClimateTable()
    timber: TimberTable = TimberTable()
    wind: WindTable = WindTable()
    air: AirTable = AirTable()
