"""What the page can be asked to show the wall in: finishes and sunlight."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

_HEX = re.compile(r"#[0-9a-fA-F]{6}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Finish:
    """How the timber is finished.

    Attributes
    ----------
    name : str
    title : str
        As shown to people.
    colours : mapping of str to str
        Screen colours (``#rrggbb``) by material; what it leaves out looks as in `PLAIN_COLOURS`.
    opaque : bool
        True for paint, which lets no grain show through on what it colours.
    """

    name: str
    title: str
    colours: Mapping[str, str] = field(default_factory=dict)
    opaque: bool = False

    def __post_init__(self) -> None:
        wrong = {key: value for key, value in self.colours.items() if not _HEX.fullmatch(value)}
        if wrong:
            raise ValueError(f"finish {self.name}: not colours such as #8d9c90: {wrong}")
        object.__setattr__(self, "colours", MappingProxyType(dict(self.colours)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Sun:
    """Where the sun stands.

    Attributes
    ----------
    name : str
    title : str
        As shown to people.
    azimuth : float
        About y, from the way the first wall faces towards its right-hand end (seen from outside). [rad]
    altitude : float
        Above the horizon. [rad]
    strength : float
        Of the sun against a clear noon; 0 for none. [-]
    sky : float
        Of the sky's light against a clear day. [-]
    warmth : float
        0 white, 1 as warm as a low sun. [-]
    """

    name: str
    title: str
    azimuth: float
    altitude: float
    strength: float = 1.0
    sky: float = 1.0
    warmth: float = 0.3


# The same places in the sky as the words for a picture's light; strengths and warmth by eye.
SUNS: tuple[Sun, ...] = (
    Sun(name="clear", title="Clear day", azimuth=math.radians(36), altitude=math.radians(41)),
    Sun(
        name="morning",
        title="Morning",
        azimuth=math.radians(-46),
        altitude=math.radians(27),
        strength=0.95,
        warmth=0.5,
    ),
    Sun(name="noon", title="Noon", azimuth=math.radians(14), altitude=math.radians(56), warmth=0.1),
    Sun(
        name="low evening",
        title="Low evening",
        azimuth=math.radians(52),
        altitude=math.radians(9),
        strength=0.9,
        sky=0.9,
        warmth=0.8,
    ),
    Sun(
        name="overcast",
        title="Overcast",
        azimuth=0.0,
        altitude=math.radians(50),
        strength=0.0,
        sky=1.55,
        warmth=0.0,
    ),
)

# By eye, so that neighbouring layers tell apart; no source, and no promise of a colour match.
PLAIN_COLOURS: Mapping[str, str] = MappingProxyType(
    {
        "board": "#c9a578",
        "post": "#c29c6b",
        "trim": "#bc9466",
        "batten": "#a99c68",
        "frame": "#e0c89b",
        "sheathing": "#bd9f70",
        "membrane": "#667886",
        "metal": "#a5a8ab",
        "plastic": "#34353a",
        "glass": "#5f7378",
        "ground": "#8a8d70",
        "plinth": "#9d9992",
        "soffit": "#d9d4c8",
        "roof": "#575a60",
        "gutter": "#3b3e42",
        "joinery": "#e0ded6",
        "door": "#4f5f63",
    }
)
# By the section of a piece of ground, which is made of several things.
GROUND_COLOURS: Mapping[str, str] = MappingProxyType(
    {"grass": "#7d8a5c", "bank": "#7d8a5c", "gravel": "#a59e90", "edging": "#97938b"}
)
UNKNOWN_COLOUR = "#999999"

AS_MODELLED = Finish(name="plain", title="Plain, to tell the pieces apart")


def chosen_index(names: Sequence[str], wanted: str) -> int:
    """Place of a name among those offered; the first if it is not there.

    Examples
    --------
    >>> chosen_index(["bare", "oiled"], "oiled"), chosen_index(["bare"], "black")
    (1, 0)
    """
    return names.index(wanted) if wanted in names else 0
