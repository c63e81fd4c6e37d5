"""How the timber is finished: what colour its grain takes, and how far boards differ.

Every colour here was chosen by eye on a screen, so every picture made with it is illustrative.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

import numpy as np

from cladmodel.errors import OutputError
from cladmodel.views.colour import hex_of, light_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Coat:
    """What one treatment makes of bare grain. Colours are hex, amounts 0 to 1.

    Attributes
    ----------
    early, late, knot, streak : str
        Colours of pale and dark rings, knots and broad streaks.
    rings, fibre, streaks, knots, checks, saw : float
        How much of each shows.
    spread, hue : float
        Differences of lightness between boards, and how far they go warm or cool.
    gloss : float
        0 dry, 1 wet.
    relief : float
        Height of the dark rings over the pale ones. [mm]
    shelter : str
        Colour that boards keep where the weather does not reach; empty if it makes no difference.
    """

    early: str
    late: str
    knot: str
    streak: str
    rings: float = 0.9
    fibre: float = 0.05
    streaks: float = 0.35
    knots: float = 0.9
    checks: float = 0.0
    saw: float = 0.3
    spread: float = 0.08
    hue: float = 0.5
    gloss: float = 0.05
    relief: float = 0.05
    shelter: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finish:
    """One finish for the whole wall.

    Attributes
    ----------
    name : str
        As written in a scene.
    title : str
        As shown to people.
    board, post, trim : Coat
    joinery, door, nails : str
        Hex colours of window frames, door leaves, and nail heads (colour-coated for an opaque finish).
    """

    name: str
    title: str
    board: Coat
    post: Coat
    trim: Coat
    joinery: str = "#e9e6dd"
    door: str = "#4f5f63"
    nails: str = "#8f9192"


def painted_coat(colour: str) -> Coat:
    """Opaque paint of one colour; a little grain still telegraphs through.

    Parameters
    ----------
    colour : str
        Hex, such as ``#8f9d92``.
    """
    value = light_of(colour)
    darker, paler = hex_of(value * 0.93), hex_of(np.minimum(value * 1.04, 1.0))
    return Coat(
        early=colour,
        late=darker,
        knot=darker,
        streak=paler,
        rings=0.35,
        fibre=0.012,
        streaks=0.12,
        knots=0.4,
        saw=0.15,
        spread=0.010,
        hue=0.0,
        gloss=0.22,
        relief=0.05,
    )


BARE = Coat(early="#d8b68f", late="#b58458", knot="#6e462a", streak="#e2c4a0", spread=0.095)
TREATED = Coat(
    early="#a99a72",
    late="#7d6c4b",
    knot="#57452f",
    streak="#8f9069",
    rings=0.85,
    streaks=0.6,
    spread=0.09,
    hue=0.7,
)
OILED = Coat(
    early="#b07a4b", late="#744729", knot="#412615", streak="#c18d5e", spread=0.09, gloss=0.25, saw=0.2
)
BLACK = Coat(
    early="#3a3634",
    late="#272422",
    knot="#1c1a19",
    streak="#423d3a",
    rings=0.8,
    fibre=0.08,
    knots=0.5,
    checks=0.2,
    spread=0.08,
    hue=0.15,
    gloss=0.30,
    relief=0.12,
)
SILVER = Coat(
    early="#a7a39b",
    late="#7b766e",
    knot="#5a544d",
    streak="#b6b2aa",
    rings=0.75,
    fibre=0.10,
    streaks=0.45,
    knots=0.7,
    checks=0.8,
    spread=0.085,
    hue=0.16,
    relief=0.15,
    shelter="#9c7d60",
)
OFF_WHITE = painted_coat("#e8e4da")
# Unfinished timber that only peeled-back views show.
BATTENS = replace(TREATED, early="#b5a678", late="#8b7b56", spread=0.05)
FRAME = replace(BARE, early="#ead0a6", late="#d0a878", spread=0.04)

FINISHES: dict[str, Finish] = {
    f.name: f
    for f in (
        Finish(name="bare", title="Bare softwood", board=BARE, post=BARE, trim=BARE),
        Finish(name="treated", title="Pressure-treated", board=TREATED, post=TREATED, trim=TREATED),
        Finish(name="oiled", title="Oiled", board=OILED, post=OILED, trim=OILED, joinery="#33373a"),
        Finish(
            name="black",
            title="Black-stained",
            board=BLACK,
            post=BLACK,
            trim=BLACK,
            joinery="#e4e0d6",
            nails="#33302e",
        ),
        Finish(
            name="painted",
            title="Painted grey-green",
            board=painted_coat("#8d9c90"),
            post=OFF_WHITE,
            trim=OFF_WHITE,
            nails="#87968a",
        ),
        Finish(name="silver", title="Weathered to silver", board=SILVER, post=SILVER, trim=SILVER),
    )
}

_HEX = re.compile(r"#[0-9a-fA-F]{6}")


def finish(name: str) -> Finish:
    """Find a finish by its name, or make a painted one from a hex colour.

    Parameters
    ----------
    name : str
        One of `FINISHES`, or a colour such as ``#7f9a8f``.

    Raises
    ------
    OutputError
        If there is no such finish.

    Examples
    --------
    >>> finish("oiled").title
    'Oiled'
    >>> finish("#203040").board.early
    '#203040'
    """
    if name in FINISHES:
        return FINISHES[name]
    if _HEX.fullmatch(name):
        return Finish(
            name=name,
            title=f"Painted {name}",
            board=painted_coat(name),
            post=OFF_WHITE,
            trim=OFF_WHITE,
            nails=name,
        )
    known = ", ".join(FINISHES)
    raise OutputError(f"finish = {name!r}: use one of {known}, or a paint colour such as '#7f9a8f'")
