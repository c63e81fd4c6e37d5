"""What treatments make of bare grain: colours, chosen by eye on a screen, and amounts."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

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
