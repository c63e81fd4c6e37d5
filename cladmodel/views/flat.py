"""Flat coloured pictures of pieces, seen square-on without perspective; drawn by VTK without a display."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from subprocess import DEVNULL
from typing import TYPE_CHECKING

import numpy as np

from cladmodel.errors import PictureError
from cladmodel.views.arrays import Bytes, Floats, Ints

if TYPE_CHECKING:
    import pyvista


FINER = 2  # drawn at so many times the size, then averaged
CREASE = 20.0  # faces meeting at more than this get a line between them [deg]
NEEDS = (
    "this picture needs OpenGL: apt install libgl1 libegl1 libgl1-mesa-dri (Debian, Ubuntu) "
    "or dnf install mesa-libGL mesa-libEGL mesa-dri-drivers (Fedora)"
)
TRIAL = """
import vtkmodules.vtkRenderingOpenGL2
from vtkmodules.vtkRenderingCore import vtkRenderWindow
window = vtkRenderWindow()
window.SetOffScreenRendering(True)
window.SetSize(8, 8)
window.Render()
"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Piece:
    """One piece and its colour.

    Attributes
    ----------
    vertices : (n, 3) float
        x to the right from the picture's left edge, y up from its upper edge (so below 0), z towards the
        eye. [pixels]
    faces : (m, 3) int
    colour : (3,) int
        Red, green, blue, 0 to 255.
    """

    vertices: Floats
    faces: Ints
    colour: tuple[int, int, int]


def draw(pieces: Sequence[Piece], size: tuple[int, int], ground: str) -> tuple[Bytes, Ints]:
    """Draw pieces in flat colours with dark outlines.

    Parameters
    ----------
    pieces : sequence of Piece
    size : (2,) int
        Columns and rows. [pixels]
    ground : str
        Background, hex.

    Returns
    -------
    shown : (rows, columns, 3) uint8
    piece : (rows, columns) int
        Which piece is seen at each pixel; -1 for none.

    Raises
    ------
    PictureError
        If there is no OpenGL on this machine.
    """
    counts = [len(piece.vertices) for piece in pieces]
    owner = np.repeat(np.arange(len(pieces)), [len(piece.faces) for piece in pieces])
    starts = np.repeat(np.cumsum([0, *counts[:-1]]), [len(piece.faces) for piece in pieces])
    faces = np.concatenate([piece.faces for piece in pieces]) + starts[:, None]
    vertices = np.concatenate([piece.vertices for piece in pieces])
    colour = np.array([piece.colour for piece in pieces], np.uint8)[owner]
    number = owner + 1
    code = np.column_stack([number & 255, (number >> 8) & 255, number >> 16]).astype(np.uint8)

    vertices[:, 2] -= vertices[:, 2].max()
    with _quiet():
        large = _shot(vertices, faces, colour, FINER, size, ground, outlined=True)
        codes = _shot(vertices, faces, code, 1, size, "#000000", outlined=False).astype(np.int64)
    shown = large.reshape(size[1], FINER, size[0], FINER, 3).mean(axis=(1, 3))
    seen = codes[..., 0] + (codes[..., 1] << 8) + (codes[..., 2] << 16) - 1
    return (shown + 0.5).astype(np.uint8), seen


def _shot(
    vertices: Floats,
    faces: Ints,
    colour: Bytes,
    finer: int,
    size: tuple[int, int],
    ground: str,
    *,
    outlined: bool,
) -> Bytes:
    plotter = _plotter((size[0] * finer, size[1] * finer))
    try:
        import pyvista

        mesh = pyvista.PolyData.from_regular_faces(vertices, faces)
        mesh.cell_data["colour"] = colour
        plotter.set_background(ground)
        plotter.add_mesh(mesh, scalars="colour", rgb=True, lighting=False, copy_mesh=False)
        if outlined:
            lines = mesh.extract_feature_edges(
                feature_angle=CREASE, boundary_edges=False, non_manifold_edges=False, manifold_edges=False
            )
            if lines.n_points:
                plotter.add_mesh(lines, color="#26282a", line_width=1.0 * finer, lighting=False)
        middle, away = (size[0] / 2, -size[1] / 2), float(np.ptp(vertices[:, 2])) + 10.0
        camera = plotter.camera
        camera.position, camera.focal_point, camera.up = (*middle, away), (*middle, 0.0), (0.0, 1.0, 0.0)
        camera.enable_parallel_projection()
        camera.parallel_scale = size[1] / 2
        plotter.renderer.ResetCameraClippingRange()
        shot = plotter.screenshot(return_img=True)
    except (RuntimeError, OSError, AttributeError) as error:
        raise _cannot(error) from error
    finally:
        plotter.close()
    if shot is None:
        raise PictureError(NEEDS)
    return np.asarray(shot, np.uint8)[..., :3]


def _plotter(size: tuple[int, int]) -> pyvista.Plotter:
    """Open a window off the screen."""
    if not _can_draw():
        raise PictureError(NEEDS)
    try:
        import pyvista

        plotter = pyvista.Plotter(off_screen=True, window_size=list(size), lighting="none")
        plotter.render_window.SetMultiSamples(0)  # colours that stand for pieces must not be mixed
    except Exception as error:
        raise _cannot(error) from error
    return plotter


def _cannot(error: Exception) -> PictureError:
    why = " ".join(f"{type(error).__name__}: {error}".split())
    return PictureError(f"{NEEDS} ({why})")


@cache
def _can_draw() -> bool:
    """Whether a window can be drawn in: tried in a process of its own, which VTK crashes without OpenGL."""
    command = [sys.executable, "-c", TRIAL]
    done = subprocess.run(command, stdin=DEVNULL, stdout=DEVNULL, stderr=DEVNULL, check=False)
    return done.returncode == 0


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep VTK from telling the terminal that there is no display, which is as it should be."""
    try:
        from vtkmodules.vtkCommonCore import vtkLogger
    except ImportError as error:
        raise _cannot(error) from error
    before = vtkLogger.GetCurrentVerbosityCutoff()
    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_OFF)
    try:
        yield
    finally:
        vtkLogger.SetStderrVerbosity(vtkLogger.ConvertToVerbosity(int(before)))
