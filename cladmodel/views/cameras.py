"""Level cameras: uprights stay upright, and the window is shifted instead of the camera tilted.

How far off, how high and how far round a view stands was chosen by eye on the example scenes.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from cladmodel.errors import OutputError
from cladmodel.model import Model, Part, Wall
from cladmodel.views.arrays import Floats, Singles

EYE = 1500.0  # height of the camera over the ground, about a person's eye [mm]
BELOW_EAVES = 0.72  # the camera stays under this share of the eaves' height, so that the horizon does too
MARGIN = 0.055  # clear space round what is framed, as a share of the picture
NARROWEST, WIDEST = 1.0, 120.0  # a wider level picture is stretched out of all likeness at its sides [deg]
STEEPEST = 3.0  # rise over run of a line of sight that a level camera can still show
MOST_SKY = 0.62  # of the space above and below, how much goes above


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """A level camera.

    Attributes
    ----------
    eye : (3,) float
        [mm, building axes]
    azimuth : float
        Which way it looks, about y from +z towards +x. [rad]
    window : (4,) float
        Left, right, bottom, top of the picture on a plane 1 in front of the eye. [-]
    """

    eye: tuple[float, float, float]
    azimuth: float
    window: tuple[float, float, float, float]

    @property
    def axes(self) -> Floats:
        """(3, 3) float: rows are right, up, ahead."""
        ahead = np.array([np.sin(self.azimuth), 0.0, np.cos(self.azimuth)])
        up = np.array([0.0, 1.0, 0.0])
        return np.stack([np.cross(ahead, up), up, ahead])

    def project(self, points: Floats, size: tuple[int, int]) -> Floats:
        """Where points fall in a picture.

        Parameters
        ----------
        points : (n, 3) float
            [mm, building axes]
        size : (2,) int
            Width and height. [pixels]

        Returns
        -------
        (n, 2) float
            From the left and from the top. [pixels]
        """
        local = (np.asarray(points) - self.eye) @ self.axes.T
        plane = local[:, :2] / local[:, 2:]
        left, right, bottom, top = self.window
        return np.column_stack(
            [
                (plane[:, 0] - left) / (right - left) * size[0],
                (top - plane[:, 1]) / (top - bottom) * size[1],
            ]
        )

    def pixel_size(self, points: Floats, size: tuple[int, int]) -> float:
        """How much the finest pixel shows of some points, square to the view. [mm]"""
        depth = (np.asarray(points) - self.eye) @ self.axes[2]
        depth = depth[depth > 1.0]  # what is behind the camera shows nothing
        left, right, _, _ = self.window
        return float(depth.min()) * (right - left) / size[0]

    def rays(self, columns: Singles, rows: Singles, size: tuple[int, int]) -> Singles:
        """Unit rays through places in a picture.

        Parameters
        ----------
        columns, rows : (n,) float
            From the left and from the top. [pixels]
        size : (2,) int
            [pixels]

        Returns
        -------
        (n, 3) float
        """
        left, right, bottom, top = self.window
        axes = self.axes.astype(np.float32)
        x = np.float32(left) + columns * np.float32((right - left) / size[0])
        y = np.float32(top) - rows * np.float32((top - bottom) / size[1])
        rays = x[:, None] * axes[0] + y[:, None] * axes[1] + axes[2]
        rays /= np.sqrt(x * x + y * y + np.float32(1))[:, None]
        return np.asarray(rays, np.float32)

    def inside(self, box: tuple[float, float, float, float], size: tuple[int, int]) -> Camera:
        """The same view with its window shrunk into part of a picture, and more shown round it.

        Parameters
        ----------
        box : (4,) float
            Left, top, right, bottom of where all that is now framed is to go. [pixels]
        size : (2,) int
            [pixels]
        """
        left, right, bottom, top = self.window
        scale = max((right - left) / (box[2] - box[0]), (top - bottom) / (box[3] - box[1]))
        x = (left + right) / 2 - scale * (box[0] + box[2]) / 2
        y = (bottom + top) / 2 + scale * (box[1] + box[3]) / 2
        return replace(self, window=(x, x + scale * size[0], y - scale * size[1], y))

    def fitted(self, size: tuple[int, int]) -> Camera:
        """The same view, its window widened (never narrowed) to a picture's shape."""
        left, right, bottom, top = self.window
        wide, tall = right - left, top - bottom
        shape = size[0] / size[1]
        if wide / tall < shape:
            more = (tall * shape - wide) / 2
            return replace(self, window=(left - more, right + more, bottom, top))
        more = wide / shape - tall
        return replace(self, window=(left, right, bottom - more * (1 - MOST_SKY), top + more * MOST_SKY))


def points_of(model: Model, parts: Iterable[Part]) -> Floats:
    """All vertices of some parts, the lawn, the horizon and what is under the ground left out.

    Returns
    -------
    (n, 3) float
        [mm, building axes]
    """
    chosen = [p for p in parts if p.section not in ("grass", "bank")]
    points = np.concatenate([model.to_building(p.wall, p.vertices) for p in chosen])
    points[:, 1] = np.maximum(points[:, 1], ground_level(model))
    return points


def framing(
    points: Floats,
    towards: float,
    distance: float,
    eye_height: float,
    size: tuple[int, int],
    *,
    margin: float = MARGIN,
) -> Camera:
    """Stand off from some points and frame them all.

    Parameters
    ----------
    points : (n, 3) float
        All of these will be in the picture. [mm, building axes]
    towards : float
        Where the camera stands, seen from the points' middle, about y from +z towards +x. [rad]
    distance : float
        From the nearest of them, measured level. [mm]
    eye_height : float
        y of the camera. [mm]
    size : (2,) int
        Only its shape counts. [pixels]
    margin : float
        Clear space on each side, as a share of the picture. [-]
    """
    out = np.array([np.sin(towards), 0.0, np.cos(towards)])
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    eye = middle + out * (float(((points - middle) @ out).max()) + distance)
    eye[1] = eye_height
    camera = Camera(
        eye=(float(eye[0]), float(eye[1]), float(eye[2])),
        azimuth=towards + np.pi,
        window=(-1.0, 1.0, -1.0, 1.0),
    )
    local = (points - eye) @ camera.axes.T
    plane = local[:, :2] / local[:, 2:]
    (left, bottom), (right, top) = plane.min(axis=0), plane.max(axis=0)
    pad = margin * max(right - left, (top - bottom) * size[0] / size[1])
    window = (float(left - pad), float(right + pad), float(bottom - pad), float(top + pad))
    return replace(camera, window=window).fitted(size)


def three_quarter(
    model: Model, parts: Iterable[Part], size: tuple[int, int], *, side: str = "left", wall: str | None = None
) -> Camera:
    """Whole building from one corner of a wall, the wall turned most of its face.

    Parameters
    ----------
    model : Model
    parts : iterable of Part
        Everything that must be in the picture.
    size : (2,) int
        [pixels]
    side : str
        ``left`` or ``right``: the corner of the wall that is nearer.
    wall : str, optional
        The first wall if not given.
    """
    points = points_of(model, parts)
    outward = facing(model.walls[0] if wall is None else model.wall_by_name[wall])
    turn = np.radians(33.0) * (-1.0 if side == "left" else 1.0)
    reach = float(np.linalg.norm(np.ptp(points, axis=0)[[0, 2]]))
    return framing(points, outward + turn, 0.78 * reach, eye_height(model), size)


def square_on(model: Model, parts: Iterable[Part], wall: str, size: tuple[int, int]) -> Camera:
    """One wall from straight in front."""
    points = points_of(model, parts)
    reach = float(np.ptp(points, axis=0).max())
    return framing(points, facing(model.wall_by_name[wall]), 1.6 * reach, eye_height(model), size)


def close_corner(model: Model, wall: str, size: tuple[int, int], *, side: str = "left") -> Camera:
    """Stand close to a corner post, a little below eye height: posts, noses and nail heads.

    Parameters
    ----------
    model : Model
    wall : str
    size : (2,) int
        [pixels]
    side : str
        ``left`` or ``right`` end of the wall.
    """
    placed = model.wall_by_name[wall]
    at = 0.0 if side == "left" else placed.length
    sign = -1.0 if side == "left" else 1.0
    outward = facing(placed)
    middle = min(1100.0, 0.55 * placed.head)
    shown = np.array([[at + sign * 300.0, middle - 330.0, -200.0], [at - sign * 780.0, middle + 330.0, 40.0]])
    ends = np.array([[x, y, z] for x in shown[:, 0] for y in shown[:, 1] for z in shown[:, 2]])
    points = model.to_building(wall, ends)
    floor = float(model.to_building(wall, np.array([[0.0, middle, 0.0]]))[0, 1])
    return framing(points, outward + sign * np.radians(35.0), 1150.0, floor + 60.0, size)


def close_lap(model: Model, wall: str, size: tuple[int, int]) -> Camera:
    """Look along the boards from below, clear of doors: the shadow under each lap."""
    placed = model.wall_by_name[wall]
    x, low = _clear_of_openings(placed)
    high = low + min(620.0, placed.head)
    ends = np.array([[a, y, z] for a in (x - 380.0, x + 380.0) for y in (low, high) for z in (0.0, 45.0)])
    points = model.to_building(wall, ends)
    outward = facing(placed)
    return framing(points, outward - np.radians(28.0), 900.0, float(points[:, 1].min()) + 120.0, size)


def _clear_of_openings(wall: Wall) -> tuple[float, float]:
    """Middle of the first stretch of boards low on a wall that is long enough, and its foot. [mm]"""
    wanted, low, aside = 1200.0, 800.0, 120.0  # to be shown; below windows; trims, and a little
    taken = sorted((o.left - aside, o.right + aside) for o in wall.openings if o.sill < low)
    edges = [0.0, *(edge for pair in taken for edge in pair), wall.length]
    clear = [(b - a, (a + b) / 2) for a, b in zip(edges[::2], edges[1::2], strict=True)]
    long = [middle for length, middle in clear if length >= wanted]
    x = long[0] if long else max(clear)[1]
    return x, foot_at(wall, x)


def foot_at(wall: Wall, x: float) -> float:
    """Height of the foot line at x. [mm, wall axes]"""
    steps = wall.foot_line[:, 0] + np.arange(len(wall.foot_line)) * 1e-3  # the two points of a step apart
    return float(np.interp(x, steps, wall.foot_line[:, 1]))


def eye_height(model: Model) -> float:
    """Height of the camera: a person's eye, but well under the lowest eaves. [mm, building axes]"""
    ground = ground_level(model)
    eaves = min(
        float(model.to_building(w.name, np.array([[0.0, w.top_line[:, 1].min(), 0.0]]))[0, 1])
        for w in model.walls
    )
    return ground + min(EYE, BELOW_EAVES * (eaves - ground))


def facing(wall: Wall) -> float:
    """Which way a wall's outside faces, about y from +z towards +x. [rad]"""
    outward = wall.frame[:3, 2]
    return float(np.arctan2(outward[0], outward[2]))


def ground_level(model: Model) -> float:
    """Level of the lowest ground. [mm, building axes]"""
    return min(float(model.to_building(w.name, np.array([[0.0, w.ground, 0.0]]))[0, 1]) for w in model.walls)


def by_numbers(
    eye: tuple[float, float, float],
    towards: tuple[float, float, float],
    field_deg: float,
    size: tuple[int, int],
) -> Camera:
    """Stand anywhere and look anywhere; the camera stays level, and its window is shifted up or down.

    Parameters
    ----------
    eye, towards : (3,) float
        Where it stands, and what is in the middle of the picture. [mm, building axes]
    field_deg : float
        From the left edge of the picture to the right. [deg]
    size : (2,) int
        Only its shape counts. [pixels]

    Raises
    ------
    OutputError
        If it looks straight up or down, or the field is no angle.
    """
    east, up, south = (float(b - a) for a, b in zip(eye, towards, strict=True))
    away = float(np.hypot(east, south))
    if not NARROWEST <= field_deg <= WIDEST:
        raise OutputError(f"field = {field_deg:g}: from {NARROWEST:g} to {WIDEST:g} degrees")
    if away < 1.0 or abs(up) > STEEPEST * away:
        raise OutputError("camera: too steep for a level camera; stand farther off or look nearer the level")
    half = float(np.tan(np.radians(field_deg) / 2))
    tall = half * size[1] / size[0]
    lift = up / away
    return Camera(
        eye=(float(eye[0]), float(eye[1]), float(eye[2])),
        azimuth=float(np.arctan2(east, south)),
        window=(-half, half, lift - tall, lift + tall),
    )
