"""Kinds of timber: their colours fresh from the saw, and how they weather.

A colour is by eye unless its timber names where it was published.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cladmodel.views.arrays import Singles
from cladmodel.views.coats import BARE, SILVER, Coat
from cladmodel.views.colour import hex_of, light_of, light_of_lab

# Months until two thirds of the way to silver, by eye: after two reports that spruce is grey within 18
# months while larch still has its colour, and that of several woods oak changes least in 12 months.
GREYS_IN = 7.0
KEPT_SILVER = 0.2  # how much of the timber's own colour shows through weathered grey, by eye


@dataclass(frozen=True, slots=True, kw_only=True)
class Timber:
    """One kind of timber as it leaves the saw.

    Attributes
    ----------
    name : str
        As written in a scene.
    title : str
        As shown to people.
    coat : Coat
        Fresh and bare.
    greys_in : float
        Months until two thirds of the way to silver.
    source : str
        Where its colour was published; empty if it was chosen by eye.
    """

    name: str
    title: str
    coat: Coat
    greys_in: float = GREYS_IN
    source: str = ""


def _from_mean(light: Singles, spread: float) -> Coat:
    """Coat whose average over a face is a measured colour.

    Dark rings take about a quarter of a face and broad pale streaks little: pale rings stand above the mean
    by what dark rings and knots take away, found by averaging strips (a test holds it to that).
    """
    return Coat(
        early=hex_of(np.minimum(light * np.array([1.075, 1.105, 1.13], np.float32), 1.0)),
        late=hex_of(light * np.array([0.80, 0.68, 0.57], np.float32)),
        knot=hex_of(light * np.array([0.30, 0.20, 0.14], np.float32)),
        streak=hex_of(np.minimum(light * np.array([1.12, 1.17, 1.25], np.float32), 1.0)),
        spread=spread,
    )


# Norway spruce and silver fir, fresh: woodresearch.sk, colour change, mean L*a*b*; its illuminant is not
# stated and taken for D65.
PUBLISHED = "Published fresh colour (woodresearch.sk)"

TIMBERS: dict[str, Timber] = {
    t.name: t
    for t in (
        Timber(name="softwood", title="softwood", coat=BARE),
        Timber(
            name="spruce",
            title="spruce",
            coat=_from_mean(light_of_lab(80.08, 7.55, 21.56).astype(np.float32), spread=0.07),
            source=PUBLISHED,
        ),
        Timber(
            name="fir",
            title="silver fir",
            coat=_from_mean(light_of_lab(80.46, 6.84, 18.90).astype(np.float32), spread=0.07),
            source=PUBLISHED,
        ),
        Timber(
            name="pine",
            title="pine",
            coat=replace(BARE, early="#dfbb8a", late="#b67f4c", knot="#74442a", streak="#ebcfa3", knots=1.0),
        ),
        Timber(
            name="larch",
            title="larch",
            coat=replace(
                BARE, early="#cc9963", late="#8f532b", knot="#552d17", streak="#d9ac7a", rings=1.0, hue=0.6
            ),
            greys_in=12.0,
        ),
        Timber(
            name="cedar",
            title="cedar",
            coat=replace(
                BARE,
                early="#b67f59",
                late="#855035",
                knot="#563122",
                streak="#cfa27d",
                rings=0.75,
                knots=0.15,
                spread=0.15,
                hue=0.9,
            ),
            greys_in=9.0,
        ),
        Timber(
            name="oak",
            title="oak",
            coat=replace(
                BARE,
                early="#c0a170",
                late="#977548",
                knot="#684829",
                streak="#d2b88b",
                rings=0.6,
                fibre=0.09,
                knots=0.25,
                spread=0.075,
            ),
            greys_in=14.0,
        ),
    )
}


def laid_on(coat: Coat, timber: Coat, kept: float) -> Coat:
    """Carry a coat over from bare softwood to another timber.

    Parameters
    ----------
    coat, timber : Coat
        The coat as it looks on bare softwood; the other timber's bare coat.
    kept : float
        How much of the timber's own colour shows through. [0 to 1]
    """

    def colour(dyed: str, own: str, usual: str) -> str:
        ratio = light_of(own) / np.maximum(light_of(usual), 1e-3)
        return hex_of(np.clip(light_of(dyed) * ratio ** np.float32(kept), 0.0, 1.0))

    return replace(
        coat,
        early=colour(coat.early, timber.early, BARE.early),
        late=colour(coat.late, timber.late, BARE.late),
        knot=colour(coat.knot, timber.knot, BARE.knot),
        streak=colour(coat.streak, timber.streak, BARE.streak),
        rings=min(coat.rings * timber.rings / BARE.rings, 1.0),
        fibre=coat.fibre * float(np.sqrt(timber.fibre / BARE.fibre)),
        knots=min(coat.knots * timber.knots / BARE.knots, 1.0),
    )


def weathered(timber: Timber, months: float) -> Coat:
    """Coat part of the way from fresh to silver.

    Parameters
    ----------
    timber : Timber
    months : float
        In the weather.
    """
    share = float(1.0 - np.exp(-months / timber.greys_in))
    fresh, grey = timber.coat, laid_on(SILVER, timber.coat, KEPT_SILVER)

    def colour(young: str, old: str) -> str:
        return hex_of(light_of(young) * np.float32(1 - share) + light_of(old) * np.float32(share))

    def amount(young: float, old: float) -> float:
        return young * (1 - share) + old * share

    return Coat(
        early=colour(fresh.early, grey.early),
        late=colour(fresh.late, grey.late),
        knot=colour(fresh.knot, grey.knot),
        streak=colour(fresh.streak, grey.streak),
        rings=amount(fresh.rings, grey.rings),
        fibre=amount(fresh.fibre, grey.fibre),
        streaks=amount(fresh.streaks, grey.streaks),
        knots=amount(fresh.knots, grey.knots),
        checks=amount(fresh.checks, grey.checks),
        saw=amount(fresh.saw, grey.saw),
        spread=amount(fresh.spread, grey.spread),
        hue=amount(fresh.hue, grey.hue),
        gloss=amount(fresh.gloss, grey.gloss),
        relief=amount(fresh.relief, grey.relief),
        shelter=colour(fresh.early, SILVER.shelter),
    )
