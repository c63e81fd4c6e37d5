"""How the timber is finished: a coat for boards, posts and trims, and colours to go with it.

Colours were chosen by eye on a screen unless a timber names where its own was published, so a picture is
illustrative unless it says otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from cladmodel.errors import OutputError
from cladmodel.views.coats import BARE, BLACK, OFF_WHITE, OILED, SILVER, TREATED, Coat, painted_coat
from cladmodel.views.colour import colour_of, in_words, is_colour
from cladmodel.views.timbers import KEPT_SILVER, TIMBERS, Timber, laid_on, weathered


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
    source : str
        Where the boards' colour was published; empty if it was chosen by eye.
    """

    name: str
    title: str
    board: Coat
    post: Coat
    trim: Coat
    joinery: str = "#e9e6dd"
    door: str = "#4f5f63"
    nails: str = "#8f9192"
    source: str = ""

    @property
    def standing(self) -> str:
        """What a caption has to say of the colour."""
        return self.source or "Illustrative finish"


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


def as_finish(chosen: Finish | str) -> Finish:
    """A finish, or that of a name; see `finish`.

    Parameters
    ----------
    chosen : Finish or str

    Raises
    ------
    OutputError
        If there is no such finish or colour.
    """
    return finish(chosen) if isinstance(chosen, str) else chosen


def finish(name: str, timber: str = "softwood", *, months: float | None = None, trims: str = "") -> Finish:
    """Find a finish by its name, or make a painted one from a colour, on any timber.

    Parameters
    ----------
    name : str
        One of `FINISHES`, or a colour such as ``#7f9a8f`` or ``lab(62, -6, 5)``.
    timber : str
        One of `TIMBERS`.
    months : float, optional
        How long ``silver`` has been out in the weather; left out, for good.
    trims : str
        Finish of posts and trims if it is another: a name or a colour.

    Raises
    ------
    OutputError
        If there is no such finish, timber or colour, or an age is given for one that does not weather here.

    Examples
    --------
    >>> finish("oiled").title
    'Oiled'
    >>> finish("oiled", "larch").title
    'Oiled larch'
    >>> finish("#203040").board.early
    '#203040'
    """
    if timber not in TIMBERS:
        raise OutputError(f"timber = {timber!r}: use one of {', '.join(TIMBERS)}")
    if months is not None and (name != "silver" or months < 0):
        raise OutputError(f"months = {months:g}: 0 or more, and for the finish 'silver' alone")
    made = _finish(name, TIMBERS[timber], months)
    if trims:
        other = _finish(trims, TIMBERS[timber], None)
        made = replace(made, post=other.post, trim=other.trim)
        if is_colour(trims):
            made = replace(made, post=other.board, trim=other.board)
    return made


def _finish(name: str, timber: Timber, months: float | None) -> Finish:
    if is_colour(name):
        colour = colour_of(name)
        return replace(
            FINISHES["painted"],
            name=name,
            title=f"Painted {in_words(name)}",
            board=painted_coat(colour),
            nails=colour,
        )
    if name not in FINISHES:
        known = ", ".join(FINISHES)
        raise OutputError(f"finish = {name!r}: use one of {known}, or a paint colour such as '#7f9a8f'")
    usual = FINISHES[name]
    if name == "silver" and months is not None:
        coat = weathered(timber, months)
        title = f"{_named('Weathered', timber)}, {months:g} months"
        return replace(usual, title=title, board=coat, post=coat, trim=coat)
    if timber.name == "softwood" or name == "painted":
        return usual
    if name == "bare":
        title = timber.title.capitalize()
        return replace(
            usual, title=title, board=timber.coat, post=timber.coat, trim=timber.coat, source=timber.source
        )
    coat = laid_on(usual.board, timber.coat, KEPT[name])
    return replace(usual, title=_named(usual.title, timber), board=coat, post=coat, trim=coat)


# How much of the timber's own colour shows through each finish, by eye.
KEPT = {"treated": 0.5, "oiled": 0.8, "black": 0.25, "silver": KEPT_SILVER}


def _named(title: str, timber: Timber) -> str:
    if title == "Weathered to silver":
        return f"{timber.title.capitalize()} weathered to silver"
    return f"{title} {timber.title}"
