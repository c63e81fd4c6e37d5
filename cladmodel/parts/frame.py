"""Sole and head plates, studs, doubled studs, lintels and sill plates."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from cladmodel.model import Kind
from cladmodel.parts.levels import levels
from cladmodel.parts.piece import Piece, polygons_of, upright
from cladmodel.scene.job import Scene
from cladmodel.settingout.openings import OpeningLines
from cladmodel.settingout.wall import SetOut
from cladmodel.solids.plates import Plate

Rectangle = tuple[float, float, float, float]
LEAST_STUD = 40.0  # a shorter stud is left out: the plates meet there [mm] common practice, no source


def frame_pieces(scene: Scene, done: SetOut) -> list[Piece]:
    """Make the stud frame.

    Parameters
    ----------
    scene : Scene
    done : SetOut

    Returns
    -------
    list of Piece
    """
    thick = scene.studs.thickness
    foot = scene.studs.plate_overhang
    low, high = foot + thick, done.height - thick
    pieces = [
        *_plate(scene, done, Kind.SOLE_PLATE, "PS", foot, low),
        *_plate(scene, done, Kind.HEAD_PLATE, "PH", high, done.height),
    ]
    members: list[tuple[Kind, Rectangle]] = []
    for opening in done.openings:
        members += _round_opening(opening, thick, scene.studs.lintel, low, high)
    taken = [shapely.box(*box) for _, box in members]
    for left, right in _stud_lines(scene, done):
        spans = _clear_spans(left, right, low, high, done.openings, thick, scene.studs.lintel)
        for bottom, top in spans:
            box = (left, bottom, right, top)
            if not any(shapely.box(*box).intersection(other).area > 1.0 for other in taken):
                members.append((Kind.STUD, box))
    counters: dict[Kind, int] = {}
    for kind, box in sorted(members, key=lambda m: (m[1][0], m[1][1])):
        counters[kind] = counters.get(kind, 0) + 1
        code = {Kind.STUD: "S", Kind.LINTEL: "L", Kind.SILL_PLATE: "W"}[kind]
        pieces.append(_member(scene, done, kind, f"{done.letter}{code}{counters[kind]:02d}", box))
    return pieces


def _plate(scene: Scene, done: SetOut, kind: Kind, code: str, low: float, high: float) -> Iterator[Piece]:
    band = done.outline.intersection(shapely.box(-1e6, low, 1e6, high))
    for opening in done.openings:
        if opening.door and kind is Kind.SOLE_PLATE:
            band = band.difference(shapely.box(opening.left, low, opening.right, high))
    for index, polygon in enumerate(polygons_of(band)):
        yield _timber(scene, done, kind, f"{done.letter}{code}{index + 1}", polygon, along_wall=True)


def _round_opening(
    opening: OpeningLines, thick: float, lintel: float, low: float, high: float
) -> list[tuple[Kind, Rectangle]]:
    """Doubled studs, lintel and sill plate of one opening."""
    top = min(opening.head + lintel, high)
    members: list[tuple[Kind, Rectangle]] = []
    for inner, away in ((opening.left, -1), (opening.right, 1)):
        near = sorted((inner, inner + away * thick))
        far = sorted((inner + away * thick, inner + 2 * away * thick))
        members.append((Kind.STUD, (near[0], low, near[1], opening.head)))
        members.append((Kind.STUD, (far[0], low, far[1], high)))
        if high - top > LEAST_STUD:
            members.append((Kind.STUD, (near[0], top, near[1], high)))
    members.append((Kind.LINTEL, (opening.left - thick, opening.head, opening.right + thick, top)))
    if not opening.door:
        under = opening.sill_underside
        members.append((Kind.SILL_PLATE, (opening.left, under - thick, opening.right, under)))
    return members


def _stud_lines(scene: Scene, done: SetOut) -> list[tuple[float, float]]:
    thick, centres = scene.studs.thickness, scene.studs.centres
    last = done.length - thick
    lines = [(0.0, thick)]
    at = centres
    while at + thick / 2 < last:
        lines.append((at - thick / 2, at + thick / 2))
        at += centres
    return [*lines, (last, done.length)]


def _clear_spans(
    left: float,
    right: float,
    low: float,
    high: float,
    openings: tuple[OpeningLines, ...],
    thick: float,
    lintel: float,
) -> list[tuple[float, float]]:
    spans = [(low, high)]
    for opening in openings:
        if right <= opening.left - thick or opening.right + thick <= left:
            continue
        under = low if opening.door else opening.sill_underside - thick
        over = opening.head + lintel
        spans = [s for a, b in spans for s in ((a, min(b, under)), (max(a, over), b))]
    return [(a, b) for a, b in spans if b - a > LEAST_STUD]


def _member(scene: Scene, done: SetOut, kind: Kind, mark: str, box: Rectangle) -> Piece:
    left, low, right, high = box
    polygon = shapely.box(left, low, right, high)
    if kind is Kind.STUD and right >= done.length:
        # The last stud follows a right-hand corner that is out of plumb.
        shift = [done.lean * low, done.lean * high]
        polygon = shapely.Polygon(
            [
                (left + shift[0], low),
                (right + shift[0], low),
                (right + shift[1], high),
                (left + shift[1], high),
            ]
        )
    return _timber(scene, done, kind, mark, polygon, along_wall=kind is not Kind.STUD)


def _timber(
    scene: Scene, done: SetOut, kind: Kind, mark: str, polygon: shapely.Polygon, *, along_wall: bool
) -> Piece:
    left, low, right, high = polygon.bounds
    length, across = (right - left, high - low) if along_wall else (high - low, scene.studs.thickness)
    return Piece(
        mark=mark,
        kind=kind,
        wall=done.name,
        bodies=(Plate(polygon=polygon, thickness=scene.studs.depth, frame=upright(levels(scene).inside)),),
        section=f"{scene.studs.depth:g} x {across:g}",
        cut_length_mm=length,
        material="frame",
    )
