"""What the user says of air, moisture, wind and timber; nothing here is needed to build the wall.

A field left out is not guessed: the check that needs it says so.
"""

from __future__ import annotations

from typing import Literal

from cladmodel.scene.fields import COMMON, Table, choice, number

STRENGTH = "timber merchant's stamp; EN 338"
GIVEN = "of the job; left out, what needs it is not assessed"

ClimateName = Literal["temperate", "maritime", "continental", "sun-baked"]
SpeciesName = Literal[
    "white fir",
    "Douglas-fir",
    "Douglas-fir, interior north",
    "western larch",
    "western redcedar",
    "yellow cedar",
    "Sitka spruce",
    "red spruce",
    "red pine",
    "white oak",
    "Scots pine",
    "Norway spruce",
    "European larch",
    "European oak",
]
TimberClass = Literal["C16", "C18", "C24", "D30"]


class ClimateTable(Table):
    """The air the wall stands in: a name, or the air of its driest and of its wettest long spell."""

    name: ClimateName | None = choice(None, "named climate; an assumption, never published data", GIVEN)
    dry_temperature_c: float | None = number(None, -30, 60, "mean of the driest weeks", GIVEN, "degC")
    dry_humidity: float | None = number(None, 0, 100, "mean of the driest weeks", GIVEN, "%")
    wet_temperature_c: float | None = number(None, -30, 60, "mean of the wettest weeks", GIVEN, "degC")
    wet_humidity: float | None = number(None, 0, 100, "mean of the wettest weeks", GIVEN, "%")


class TimberTable(Table):
    """The boards' and battens' timber."""

    species: SpeciesName | None = choice(
        None, "of the boards; Scots pine, Norway spruce, European larch and oak borrow figures", GIVEN
    )
    sawn: Literal["flat", "quarter"] = choice(
        "flat", "how boards were cut from the log", "flat-sawn moves most: the safe side"
    )
    fixing_moisture: float | None = number(
        None, 4, 60, "moisture content of the boards when hung", "16 +- 4, from memory; " + GIVEN, "%"
    )
    treated: bool | None = choice(None, "preservative treated", GIVEN)
    board_class: TimberClass | None = choice(None, "strength class of the boards", STRENGTH)
    batten_class: TimberClass | None = choice(None, "strength class of the battens", STRENGTH)
    heart: Literal["out", "in"] | None = choice(None, "which way the heart side faces", "out, " + COMMON)
    cut_ends_treated: bool | None = choice(None, "cut ends brushed with preservative or end seal", COMMON)


class WindTable(Table):
    """Wind by EN 1991-1-4: give velocity and terrain, or a pressure read from a national chart."""

    velocity: float | None = number(
        None, 10, 60, "fundamental basic velocity from the national map", GIVEN, "m/s"
    )
    terrain: Literal["0", "I", "II", "III", "IV"] | None = choice(None, "terrain category, table 4.1", GIVEN)
    pressure: float | None = number(
        None, 50, 5_000, "peak velocity pressure; stands before velocity and terrain", GIVEN, "N/m2"
    )
    building_height: float | None = number(None, 1, 60, "top of the roof above ground", GIVEN, "m")
    building_breadth: float | None = number(None, 0.5, 200, "of the building square to the wall", GIVEN, "m")
    return_period: float = number(50, 2, 1_000, "years", "50, EN 1991-1-4 4.2", "years")
    direction: float = number(1, 0.5, 1, "factor c_dir", "1, EN 1991-1-4 4.2")
    season: float = number(1, 0.5, 1, "factor c_season", "1, EN 1991-1-4 4.2")
    orography: float = number(1, 1, 2, "factor c_o, above 1 on hills and cliffs", "1 on level ground")
    national: Literal["recommended", "Germany", "United Kingdom"] = choice(
        "recommended", "whose choices", "EN 1991-1-4 recommended values"
    )
    cavity_pressure: float = number(
        0, 0, 1, "pressure coefficient behind the boards", "still air, an assumption"
    )
    load_factor: float = number(1.5, 1, 2, "gamma_Q", "1.5, EN 1990, from memory")
    service_class: Literal[1, 2, 3] = choice(3, "EN 1995-1-1 2.3.1.3", "3 in the weather")
    duration: Literal["short", "instantaneous"] = choice(
        "short", "how long a gust lasts", "short, EN 1995-1-1 table 2.2; some annexes: instantaneous"
    )


class AirTable(Table):
    """What the cavity's openings are held to."""

    rule: Literal["New Zealand", "Scotland, masonry", "BS 8200"] = choice(
        "New Zealand", "whose rule for free area", "sources disagree: 250 to 5000 mm2/m"
    )
    mesh_aperture: float | None = number(
        None, 0.5, 20, "insect mesh behind gaps at head and sill", "3-4, " + COMMON, "mm"
    )
    mesh_open_share: float = number(0.6, 0.1, 1, "open part of the mesh", "its maker; 0.6 " + COMMON)
