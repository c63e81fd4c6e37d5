"""The cover fillet that hides the cut tops of the boards, under the soffit and along the rakes.

It hangs in front of the boards, off their faces by an air gap, on packers that stand on the battens
above the boards' tops::

            soffit
        ----------------
        batten|packer|==|  <- fillet
        batten|  |   |==|
        batten| /board  |
"""

from __future__ import annotations

import itertools
import math

import shapely

from cladmodel.model import CornerKind, Kind
from cladmodel.parts.piece import Piece, polygons_of, upright
from cladmodel.scene.job import Scene
from cladmodel.settingout.outline import Run
from cladmodel.settingout.setout import SetOut
from cladmodel.solids.plates import Plate

# Packers stand this far above the boards' cut tops. [mm] common practice, no source
OFF_TOPS = 1.5
# ... and by more under a rake, where a drying board's cut edge, below its nails, comes up towards them: this
# share of what a nail stands over its butt. [-] from memory: oak, green when hung
SHRINKS = 0.05
UP_TO_RAKE = 2.0  # at the least [mm] common practice, no source
LEAST_FILLET_PACKER = 5.0  # no room for a lower one [mm] common practice, no source


def fillet_pieces(scene: Scene, done: SetOut) -> list[Piece]:
    """Make the cover fillets of a wall, one along each stretch of its top, and their packers.

    Parameters
    ----------
    scene : Scene
    done : SetOut

    Returns
    -------
    list of Piece
    """
    pieces: list[Piece] = []
    for run in done.outline.top_runs():
        shape = _band(scene, done, run)
        for polygon in polygons_of(shape):
            pieces.append(
                Piece(
                    mark=f"{done.letter}C{len(pieces) + 1}",
                    kind=Kind.FILLET,
                    wall=done.name,
                    bodies=(
                        Plate(
                            polygon=polygon,
                            thickness=scene.fillet.thickness,
                            frame=upright(fillet_back(scene, done, run)),
                        ),
                    ),
                    section=f"{scene.fillet.height:g} x {scene.fillet.thickness:g}",
                    cut_length_mm=(polygon.bounds[2] - polygon.bounds[0]) * run.stretch,
                    material="trim",
                )
            )
    backs = {run: fillet_back(scene, done, run) for run in done.outline.top_runs()}
    at = upright(0.0)
    for n, (run, low, high) in enumerate(fillet_packers(scene, done)):
        back, room = backs[run], packer_height(scene, done, run)
        polygon = _packer(run, low, high, room)
        tall = room + abs(run.up(high) - run.up(low))
        pieces.append(
            Piece(
                mark=f"{done.letter}KC{n + 1:02d}",
                kind=Kind.PACKER,
                wall=done.name,
                bodies=(Plate(polygon=polygon, thickness=back, frame=at),),
                section=f"{tall:.0f} x {back:.1f}",
                cut_length_mm=high - low,
                material="batten",
            )
        )
    return pieces


def _ends(scene: Scene, done: SetOut, up: float) -> tuple[float, float]:
    """Left and right end between the posts, at a height. [mm]

    In an inside corner the fillets may stand prouder than the post: the wall on the left of the corner
    stops short of the other's.
    """
    gap = scene.board.fitting_gap
    right = done.between[1] + done.side.lean * up - gap
    if done.side.right is CornerKind.INSIDE:
        nose = max(c.kick_out + done.profile.butt * math.cos(c.tilt) for c in done.hung)
        front = nose + scene.fillet.stand_off + scene.fillet.thickness
        right = min(right, done.outline.length - scene.battens.thickness - front - gap)
    return done.between[0] + gap, right


def _band(scene: Scene, done: SetOut, run: Run) -> shapely.Geometry:
    """The fillet's face along one stretch: as high square to the stretch as its section."""
    depth = scene.fillet.height * run.stretch
    lowest = min(run.left_up, run.right_up)
    ends = [_ends(scene, done, up) for up in (lowest - depth, lowest)]
    left, right = ends[0][0], min(right for _, right in ends)
    low = left if run.left <= 0 else run.left
    high = right if run.right >= done.outline.length else run.right
    return shapely.Polygon(
        [
            (low, run.up(low) - depth),
            (high, run.up(high) - depth),
            (high, run.up(high)),
            (low, run.up(low)),
        ]
    )


def fillet_back(scene: Scene, done: SetOut, run: Run) -> float:
    """Z of the back of the fillet along one stretch: its stand-off in front of the boards' faces. [mm]

    Parameters
    ----------
    scene : Scene
    done : SetOut
    run : Run
        Of the top line.
    """
    depth = scene.fillet.height * run.stretch
    low = min(run.left_up, run.right_up) - depth
    high = max(run.left_up, run.right_up)
    faces = [0.0]
    for course in done.hung:
        if course.back_top > low and course.butt_line < high:
            nose = course.butt_line + done.profile.butt * math.sin(course.tilt)
            faces.append(course.face_out(done.profile, max(low, nose)))
    return max(faces) + scene.fillet.stand_off


def packer_height(scene: Scene, done: SetOut, run: Run) -> float:
    """Height of the packers over the boards' tops, whose front arrises rise above the back ones. [mm]

    Parameters
    ----------
    scene : Scene
    done : SetOut
    run : Run
        Of the top line.
    """
    rise = max(done.profile.butt * math.sin(course.tilt) for course in done.hung)
    if run.level:
        return scene.fillet.head_gap - OFF_TOPS - rise
    laps = (below.edge_up(done.profile) - course.butt_line for below, course in itertools.pairwise(done.hung))
    nailed = max(laps, default=0.0) + scene.fixings.clear_of_board_below
    return scene.fillet.head_gap - OFF_TOPS - rise - max(UP_TO_RAKE, SHRINKS * nailed)


def _packer(run: Run, low: float, high: float, room: float) -> shapely.Polygon:
    """Face of a packer, from the soffit down."""
    if run.left_up == run.right_up:
        return shapely.box(low, run.left_up - room, high, run.left_up)
    a, b = run.up(low), run.up(high)
    return shapely.Polygon([(low, a - room), (high, b - room), (high, b), (low, a)])


def fillet_packers(scene: Scene, done: SetOut) -> list[tuple[Run, float, float]]:
    """Packers that carry the fillets: the stretch each stands under, its left and its right.

    Parameters
    ----------
    scene : Scene
    done : SetOut
    """
    packers: list[tuple[Run, float, float]] = []
    runs = [run for run in done.outline.top_runs() if packer_height(scene, done, run) >= LEAST_FILLET_PACKER]
    for batten in done.battens:
        if not batten.at_top:
            continue
        for run in runs:
            left, right = _ends(scene, done, batten.head)
            near, far = batten.edges_at(batten.head)
            low = max(near, left, run.left if run.left > 0 else left)
            # Under a rake boards stop rising at the plumb end; a post that leans out stands beyond it.
            ends_here = run.right < done.outline.length or run.left_up != run.right_up
            high = min(far, right, run.right if ends_here else right)
            # Battens that lean meet at one height and, under a rake, end at two.
            if packers and packers[-1][0] == run:
                low = max(low, packers[-1][2])
            if high - low > LEAST_FILLET_PACKER:
                packers.append((run, low, high))
    return packers
