"""The limits that checks hold a model to: each a value with where it comes from."""

from __future__ import annotations

from dataclasses import dataclass

from cladmodel.standards.sources import Standing

TOUCH = 1e-3
"""Depth up to which two pieces only touch: a thousandth of a millimetre, far below anything timber can be
cut to and a billion times float noise at wall size. [mm]"""

EXACT = 1e-6
"""How far a measured value may miss its limit by float noise alone. [mm, deg]"""

COMMON = str(Standing.COMMON)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One limit.

    Attributes
    ----------
    value : float
    unit : str
        mm unless said.
    basis : str
        A source, "common practice, no source", or "from memory: ...".
    """

    value: float
    basis: str
    unit: str = "mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """All limits; every one has a default that stands on its own.

    Attributes
    ----------
    lap : Limit
        Least lap along the board.
    tilt_even, tilt_most : Limit
        Difference in lean from the boards round about: above the first a caution, above the second a fail.
    contact : Limit
        Most gap, or most interference, where boards bear.
    packing : Limit
        Most gap behind a top edge: a thinner one no packer fills.
    level : Limit
        Most height difference of butts within a course.
    cavity : Limit
        Least clear depth from membrane to board backs.
    air_path : Limit
        A place in a bay with less depth than this counts as closed.
    vent_area : Limit
        Least free opening of a perforated strip between the battens.
    bearing : Limit
        Least length of batten under each board end at a butt joint.
    joint_gap : Limit
        Most gap at a butt joint.
    end_gap : Limit
        Most gap between a board's end and the post or trim it stops at.
    bare : Limit
        Most width of a place where nothing covers the membrane.
    stagger : Limit
        Least distance to a joint in the next course.
    column_rest : Limit
        A joint column is used at most once in so many courses.
    nail_clearance : Limit
        Least height of a nail's underside above the top of the board below.
    nail_penetration : Limit
        Least depth of a nail in its batten.
    nail_edge : Limit
        Least distance from a nail's axis to the batten's side, in nail diameters.
    nail_end : Limit
        Least distance from a nail's axis to the board's end.
    nail_seat : Limit
        Most that a nail's head may stand off, or in, the board's face.
    nose : Limit
        Least that posts and trims stand prouder than the boards' noses.
    least_rip, least_piece : Limit
        Least height and length of a piece of board; below them a caution.
    ground_clearance : Limit
        Least height of timber above the ground.
    """

    lap: Limit = Limit(
        value=25.0,
        basis="Ontario building code 9.27.6: 25 mm for lapped bevel siding; sources disagree, 25-32",
    )
    tilt_even: Limit = Limit(
        value=0.5, unit="deg", basis=f"{COMMON}: 0.5 deg moves the butt of a 170 board by 1.5 mm"
    )
    tilt_most: Limit = Limit(
        value=1.0, unit="deg", basis=f"{COMMON}: 1 deg moves the butt of a 170 board by 3 mm, plain to see"
    )
    contact: Limit = Limit(
        value=0.05,
        basis=f"{COMMON}: the thinnest blade of a common feeler gauge; boards must be hung touching",
    )
    packing: Limit = Limit(
        value=0.5, unit="mm", basis=f"a packer thinner than a coat of paint is no packer, {COMMON}"
    )
    level: Limit = Limit(value=0.3, basis=f"{COMMON}: the width of a pencil line")
    cavity: Limit = Limit(
        value=19.0, basis="at least 19 (gov.scot timber cladding, p. 13); sources disagree, 15-50"
    )
    air_path: Limit = Limit(value=10.0, basis="10 mm path (BS 8200:1985 and NHBC 1992, found second-hand)")
    vent_area: Limit = Limit(
        value=1000.0, unit="mm2/m", basis="1000 mm2/m (NZ E2/AS1 9.1.8.3), found second-hand"
    )
    bearing: Limit = Limit(value=20.0, basis="nail at least 20 from a board's end (TRADA 2022, p. 117)")
    joint_gap: Limit = Limit(value=8.0, basis=f"5-8 at ends, {COMMON}")
    end_gap: Limit = Limit(value=30.0, basis=f"fitting gaps are 5-8, and 20 at most, {COMMON}")
    bare: Limit = Limit(value=60.0, basis=f"gaps left for air at sills and heads are narrower, {COMMON}")
    stagger: Limit = Limit(value=600.0, basis=f"one stud bay, {COMMON}")
    column_rest: Limit = Limit(value=3.0, unit="courses", basis=COMMON)
    nail_clearance: Limit = Limit(value=3.0, basis=f"room for the board below to swell, {COMMON}")
    nail_penetration: Limit = Limit(
        value=15.9, basis="6 d of a ringed 2.65 nail (EN 1995-1-1 8.3.2(7)), found second-hand"
    )
    nail_edge: Limit = Limit(
        value=5.0, unit="d", basis="5 d (EN 1995-1-1 table 8.2, a4,c), found second-hand"
    )
    nail_end: Limit = Limit(value=20.0, basis="at least 20 from a board's end (TRADA 2022, p. 117)")
    nail_seat: Limit = Limit(value=1.0, basis=f"a head that holds but does not crush, {COMMON}")
    nose: Limit = Limit(value=2.0, basis=f"a shadow line, {COMMON}")
    least_rip: Limit = Limit(value=60.0, unit="mm", basis=f"a nail and its edge distances, {COMMON}")
    least_piece: Limit = Limit(value=600.0, unit="mm", basis=f"two battens, {COMMON}")
    ground_clearance: Limit = Limit(
        value=150.0, basis="150 UK common practice, from memory; 100-175 (NZ E2/AS1 table 18)"
    )
