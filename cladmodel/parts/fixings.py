"""Every nail and screw, as instances: board nails, batten screws, concealed post screws, trim screws."""

from __future__ import annotations

import bisect
import itertools
import math
from typing import NamedTuple

import numpy as np

from cladmodel.model import CornerKind, Fastener, Fixings, Floats, Use
from cladmodel.parts.fillet import fillet_back, fillet_packers, packer_height
from cladmodel.parts.posts import post_ends
from cladmodel.parts.trims import UNDER_STEP, sill_top
from cladmodel.scene.job import Nail, Scene
from cladmodel.settingout.battens import Column, Role
from cladmodel.settingout.setout import SetOut
from cladmodel.settingout.wall import stop_left_right

NAIL_HEAD = 1.2  # head thickness of a nail [mm] from memory: about 1.2 for 2.65 shanks
SCREW_HEAD = 3.0  # head thickness of a countersunk screw [mm] from memory
FROM_END = 75.0  # first screw from a batten's or trim's end [mm] common practice, no source
LEAST_BEARING = 20.0  # of a trim on its batten [mm] common practice, no source
GAP_SHOWS = 30.0  # a gap at a trim shows what is this near above or below it [mm] by eye
CLOSE = 60.0  # a batten edge this near an opening is part of its reveal [mm] by eye
BESIDE_JOINT = 3.0  # a screw's head lies this far to the side of a gap at a board's end [mm] by eye
SLOPES_AWAY = 150.0  # a foot that rises so near to a post lays bare what is low on it [mm] by eye
CROSSING = 25.0  # the two rows of screws into a post pass each other by this [mm] common practice, no source


def fixings_of(scene: Scene, done: SetOut) -> tuple[Fixings, ...]:
    """Place every fixing of a wall.

    Parameters
    ----------
    scene : Scene
    done : SetOut

    Returns
    -------
    tuple of Fixings
    """
    groups = [_board_nails(scene, done), _batten_screws(scene, done), *_post_screws(scene, done)]
    groups += [_trim_screws(scene, done), _fillet_screws(scene, done)]
    return tuple(group for group in groups if len(group.heads))


def _fastener(nail: Nail, word: str) -> Fastener:
    shank = "ring-shank " if nail.ringed and word == "nail" else ""
    head = nail.head if nail.headed else nail.diameter
    return Fastener(
        name=f"{shank}{word} {nail.diameter:g} x {nail.length:g}",
        diameter=nail.diameter,
        length=nail.length,
        head_diameter=head,
        head_thickness=NAIL_HEAD if word == "nail" else SCREW_HEAD,
        headed=nail.headed,
        ringed=nail.ringed,
        material=nail.material,
    )


def _group(
    done: SetOut,
    mark: str,
    use: Use,
    fastener: Fastener,
    heads: list[tuple[float, float, float]],
    direction: tuple[float, float, float],
    *,
    concealed: bool,
) -> Fixings:
    places: Floats = np.array(heads, np.float64).reshape(-1, 3)
    return Fixings(
        mark=f"{done.letter}-{mark}",
        wall=done.name,
        use=use,
        fastener=fastener,
        heads=places,
        directions=np.tile(np.array(direction, np.float64), (len(places), 1)),
        concealed=concealed,
    )


def _board_nails(scene: Scene, done: SetOut) -> Fixings:
    heads = [(nail.x, nail.up, nail.out) for nail in done.nails]
    fastener = _fastener(scene.fixings.board_nail, "nail")
    return _group(done, "board nails", Use.BOARD, fastener, heads, (0, 0, -1), concealed=False)


def spaced(low: float, high: float, most: float) -> list[float]:
    """Places from low to high, evenly, none further apart than `most`. [mm]

    Parameters
    ----------
    low, high, most : float
        [mm]
    """
    if high <= low:
        return [(low + high) / 2]
    bays = math.ceil((high - low) / most)
    return [*(low + (high - low) / bays * n for n in range(bays)), high]


def _between_nails(height: float, middles: list[float]) -> float:
    """Shift a height to the nearest of some, so that no screw meets a nail."""
    at = bisect.bisect(middles, height)
    return min(middles[max(at - 1, 0) : at + 1], key=lambda m: abs(m - height), default=height)


def _batten_screws(scene: Scene, done: SetOut) -> Fixings:
    screw = _fastener(scene.fixings.batten_screw, "screw")
    rows = sorted({round(up, 3) for up in {nail.up for nail in done.nails}})
    middles = [(a + b) / 2 for a, b in itertools.pairwise(rows)]
    joined = {line for course in done.joints for line in course}
    gaps, slits, radius = _gaps_at_trims(scene, done), _slits(scene, done), screw.head_diameter / 2
    heads = []
    for batten in done.battens:
        foot, head = batten.foot, batten.head
        low = max(foot + FROM_END, done.outline.foot_over(batten.left, batten.right) + _over_plate(scene))
        first, last = bisect.bisect(rows, foot), bisect.bisect_left(rows, head)
        between = middles[first : max(last - 1, first)]
        middle, lean = (batten.left + batten.right) / 2, batten.lean
        if middle in joined:  # two boards butt on this one batten: seen through their gap
            middle += radius + scene.board.joint_gap / 2 + BESIDE_JOINT
        beside = [gap for gap in gaps if lean or gap.left < middle < gap.right]
        for up in spaced(low, head - FROM_END, scene.fixings.batten_spacing):
            place = _between_nails(up, between)
            near = [gap for gap in beside if gap.left < middle + lean * up < gap.right]
            place = _out_of_sight(near, place, (low, head - FROM_END)) if near else place
            at = _beside_slits(slits, middle + lean * place, place, batten.edges_at(place)[0], radius)
            heads.append((at, place, -screw.head_thickness))
    return _group(done, "batten screws", Use.BATTEN, screw, heads, (0, 0, -1), concealed=True)


class _Gap(NamedTuple):
    """A gap between boards and a trim, through which a batten shows. [mm]"""

    left: float
    right: float
    low: float
    high: float


def _gaps_at_trims(scene: Scene, done: SetOut) -> list[_Gap]:
    """Gaps over heads, under sills and over the stops at steps of the foot, with what is close to them."""
    gaps = []
    for opening in done.openings:
        for low, high in ((opening.head, opening.clear_top), (opening.clear_bottom, opening.sill)):
            gaps.append(_Gap(opening.clear_left - CLOSE, opening.clear_right + CLOSE, low, high))
    for riser in done.outline.risers():
        left, right = stop_left_right(scene, riser)
        gaps.append(_Gap(left - CLOSE, right + CLOSE, riser.high - UNDER_STEP, riser.high))
    return gaps


def _out_of_sight(gaps: list[_Gap], up: float, span: tuple[float, float]) -> float:
    """Shift a batten screw up, or else down, to where no gap shows it. [mm]"""
    shows = sorted((gap.low - GAP_SHOWS, gap.high + GAP_SHOWS) for gap in gaps)
    above = under = up
    for low, high in shows:
        above = high if low < above < high else above
    for low, high in reversed(shows):
        under = low if low < under < high else under
    return above if above <= span[1] else max(under, span[0])


def _slits(scene: Scene, done: SetOut) -> list[_Gap]:
    """Upright gaps between the ends of boards and trims or stops."""
    slits = []
    for o in done.openings:
        low = -math.inf if o.door else o.clear_bottom
        slits.append(_Gap(o.clear_left, o.trim_left, low, o.clear_top))
        slits.append(_Gap(o.trim_right, o.clear_right, low, o.clear_top))
    for riser in done.outline.risers():
        left, right = stop_left_right(scene, riser)
        wide = scene.board.fitting_gap
        span = (left - wide, left) if riser.low_on_left else (right, right + wide)
        slits.append(_Gap(*span, riser.low, riser.high))
    return slits


def _beside_slits(slits: list[_Gap], x: float, up: float, edge: float, radius: float) -> float:
    """Shift a batten screw aside, behind the boards or else behind the trim, where a slit would show it. [mm]

    The batten's left edge is there at `edge`.
    """
    for left, right, low, high in slits:
        if low < up < high and left - radius < x < right + radius:
            beside = left - radius - BESIDE_JOINT
            return beside if beside - radius >= edge else right + radius + BESIDE_JOINT
    return x


def _over_plate(scene: Scene) -> float:
    """Height above the foot of the lowest screw that meets the frame. [mm]"""
    return scene.studs.plate_overhang + scene.studs.thickness / 2


def _post_screws(scene: Scene, done: SetOut) -> list[Fixings]:
    """Screws through this wall's post battens into both posts; a wall on its own has its returns' too."""
    screw = _fastener(scene.fixings.post_screw, "screw")
    cavity, width = scene.battens.thickness, scene.battens.width
    groups = []
    for right in (False, True):
        kind = done.side.right if right else done.side.left
        away = 1.0 if right else -1.0
        name = "right" if right else "left"
        foot, head = post_ends(done, right=right)
        beside = sorted((done.between[right], done.between[right] - away * SLOPES_AWAY))
        foot = max(foot, done.outline.foot_over(*beside))  # below a foot that rises from here it would show
        # The two rows into one post pass each other: the wall on its left takes the lower places.
        low = foot + FROM_END + (CROSSING if not right and kind is not CornerKind.END else 0.0)
        span = head - foot - 2 * FROM_END - CROSSING
        ups = spaced(low, low + span, scene.posts.screw_spacing)
        edge = (done.between[1] - width) if right else (done.between[0] + width)
        ups = sorted({_past_reveals(done, edge, up) for up in ups})
        face = done.between[1] if right else done.between[0]
        lean = done.side.lean if right else 0.0
        own = [(face + lean * up - away * (width - screw.head_thickness), up, -cavity / 2) for up in ups]
        groups.append(_group(done, f"post {name}", Use.POST, screw, own, (away, 0, 0), concealed=True))
        if kind is CornerKind.END:
            other = [
                (
                    face + lean * (up + CROSSING) + away * cavity / 2,
                    up + CROSSING,
                    -cavity - width + screw.head_thickness,
                )
                for up in ups
            ]
            mark = f"post {name} return"
            groups.append(_group(done, mark, Use.POST, screw, other, (0, 0, 1), concealed=True))
    return groups


def _past_reveals(done: SetOut, edge: float, up: float) -> float:
    """Shift a screw in a post batten's edge past an opening right beside it, where its head would show."""
    for opening in done.openings:
        near = opening.left - CLOSE < edge < opening.right + CLOSE
        low = 0.0 if opening.door else opening.clear_bottom
        if near and low - GAP_SHOWS < up < opening.clear_top + GAP_SHOWS:
            return opening.clear_top + GAP_SHOWS if opening.door else low - GAP_SHOWS
    return up


def _trim_screws(scene: Scene, done: SetOut) -> Fixings:
    screw = _fastener(scene.fixings.trim_screw, "screw")
    out = scene.trims.thickness - screw.head_thickness
    backed = [c for c in done.columns if c.role in (Role.TRIM, Role.POST)]
    most = scene.fixings.batten_spacing
    heads = []
    for opening in done.openings:
        foot = 0.0 if opening.door else sill_top(scene, opening, 0.0)
        ups = spaced(foot + FROM_END, opening.head - FROM_END, most)
        for low, high in ((opening.trim_left, opening.left), (opening.right, opening.trim_right)):
            places = [_overlap_middle(c, low, high) for c in backed]
            found = [x for x in places if x is not None]
            heads += [(found[0], up, out) for up in ups] if found else []
        across = spaced(opening.left + FROM_END, opening.right - FROM_END, most)
        middle = (opening.head + opening.trim_top) / 2
        heads += [(x, middle, out) for x in across]
    for riser in done.outline.risers():
        low, high = stop_left_right(scene, riser)
        places = [_overlap_middle(c, low, high) for c in backed]
        ups = spaced(riser.low + FROM_END, riser.high - FROM_END, most)
        heads += [(x, up, out) for x in places if x is not None for up in ups]
    return _group(done, "trim screws", Use.TRIM, screw, heads, (0, 0, -1), concealed=False)


def _overlap_middle(column: Column, low: float, high: float) -> float | None:
    """Middle of what a batten gives a trim to be screwed to, or None if that is too little."""
    left, right = max(column.left, low), min(column.right, high)
    return (left + right) / 2 if right - left >= LEAST_BEARING else None


def _fillet_screws(scene: Scene, done: SetOut) -> Fixings:
    screw = _fastener(scene.fixings.trim_screw, "screw")
    heads = []
    backs = {run: fillet_back(scene, done, run) for run in done.outline.top_runs()}
    for run, low, high in fillet_packers(scene, done):
        room = packer_height(scene, done, run)
        if room >= screw.diameter * 2:
            middle = (low + high) / 2
            out = backs[run] + scene.fillet.thickness - screw.head_thickness
            heads.append((middle, run.up(middle) - room / 2, out))
    return _group(done, "fillet screws", Use.FILLET, screw, heads, (0, 0, -1), concealed=False)
