"""A small building of two walls, one of them turned, with every shape that the writers must carry."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import NoReturn

import numpy as np
import platformdirs
import pytest
import shapely

from cladmodel.model import Fastener, Fixings, Kind, Model, Part, Use, Wall
from cladmodel.solids.plates import Plate, frame, lift

TILT = 0.092  # rad, near a feather-edge board's lean
UP_THE_BOARD = (0.0, np.cos(TILT), -np.sin(TILT))
ALONG, UP = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)

RING_NAIL = Fastener(
    name="ring-shank nail 2.65 x 50",
    diameter=2.65,
    length=50.0,
    head_diameter=6.0,
    head_thickness=1.0,
    headed=True,
    ringed=True,
    material="stainless steel",
)
PIN = Fastener(
    name="pin 1.6 x 40",
    diameter=1.6,
    length=40.0,
    head_diameter=1.6,
    head_thickness=0.0,
    headed=False,
    ringed=False,
    material="stainless steel",
)


def wall_frame(turn_deg: float, origin: tuple[float, float, float]) -> np.ndarray:
    """Frame of a wall turned about the upright axis, anticlockwise seen from above."""
    angle = np.radians(turn_deg)
    result = np.eye(4)
    result[0, [0, 2]] = np.cos(angle), np.sin(angle)
    result[2, [0, 2]] = -np.sin(angle), np.cos(angle)
    result[:3, 3] = origin
    return result


def wall(name: str, placed: np.ndarray) -> Wall:
    return Wall(
        name=name,
        frame=placed,
        length=2000.0,
        outline=np.array([[0.0, 0], [2000, 0], [2000, 300], [0, 300]]),
        ground=-150.0,
        head=300.0,
        openings=(),
        rod=np.array([0.0, 131, 262]),
        depth_to_frame=35.0,
        frame_depth=140.0,
    )


def parts_of(name: str, letter: str, board_length: float) -> list[Part]:
    notch = shapely.box(400, 100, 700, 200)
    slots = shapely.MultiPolygon([shapely.box(x, -15, x + 20, -10) for x in range(50, 550, 100)])
    board, notched, batten, strip, post = lift(
        [
            Plate(
                polygon=shapely.box(0, 0, board_length, 170),
                thickness=22.0,
                taper=13 / 170,
                frame=frame((3.0, 0.0, 15.6), ALONG, UP_THE_BOARD),
            ),
            Plate(
                polygon=shapely.box(0, 0, 900, 170) - notch,
                thickness=22.0,
                taper=13 / 170,
                frame=frame((7.0, 131.0, 15.6), ALONG, UP_THE_BOARD),
                plumb=TILT,
                square_at=(0.0, 170.0),
            ),
            Plate(
                polygon=shapely.box(0, 0, 50, 300), thickness=25.0, frame=frame((375.0, 2, -25.0), ALONG, UP)
            ),
            Plate(
                polygon=shapely.box(0, -25, 600, 0) - slots,
                thickness=2.0,
                frame=frame((0.0, 2.0, 0.0), ALONG, (0.0, 0.0, 1.0)),
            ),
            Plate(
                polygon=shapely.box(-45, 0, 0, 310), thickness=45.0, frame=frame((0.0, -10, -25), ALONG, UP)
            ),
        ]
    )
    made = [
        (Kind.BOARD, f"{letter}01-1", board, 1, "170 x 22/9", board_length, "board", None),
        (Kind.BOARD, f"{letter}02-1", notched, 2, "170 x 22/9", 900.0, "board", None),
        (Kind.BATTEN, f"{letter}B1", batten, None, "50 x 25", 300.0, "batten", f"{letter}P1 made up"),
        (Kind.VENT_STRIP, f"{letter}V1", strip, None, "25 x 2", 600.0, "plastic", None),
        (Kind.POST, f"{letter}P1", post, None, "45 x 45", 310.0, "post", f"{letter}P1 made up"),
    ]
    return [
        Part(
            mark=mark,
            kind=kind,
            wall=name,
            vertices=solid.vertices,
            faces=solid.faces,
            course=course,
            section=section,
            cut_length_mm=length,
            material=material,
            assembly=assembly,
        )
        for kind, mark, solid, course, section, length, material, assembly in made
    ]


@pytest.fixture(scope="session")
def model() -> Model:
    walls = (wall("North", np.eye(4)), wall("East", wall_frame(-35.0, (2100.0, 40.0, -700.0))))
    ground = Plate(
        polygon=shapely.box(-500, -900, 2500, 900),
        thickness=5.0,
        frame=frame((0.0, -150, 0), ALONG, (0.0, 0.0, -1.0)),
    )
    (scenery,) = lift([ground])
    return Model(
        title="Two walls – a trial",
        walls=walls,
        parts=(*parts_of("North", "N", 1000.0), *parts_of("East", "E", 1234.5)),
        fixings=(
            Fixings(
                mark="NN",
                wall="North",
                use=Use.BOARD,
                fastener=RING_NAIL,
                heads=np.array([[400.0, 46.0, 32.0], [850.0, 46.0, 32.0], [400.0, 177.0, 32.0]]),
                directions=np.tile([0.0, 0.0, -1.0], (3, 1)),
                concealed=False,
            ),
            Fixings(
                mark="EN",
                wall="East",
                use=Use.TRIM,
                fastener=PIN,
                heads=np.array([[410.0, 50.0, 31.0], [420.0, 60.0, -40.0]]),
                directions=np.array([[0.6, 0.0, -0.8], [0.0, 0.0, 1.0]]),
                concealed=False,
            ),
            Fixings(
                mark="ES",
                wall="East",
                use=Use.POST,
                fastener=RING_NAIL,
                heads=np.array([[60.0, 100.0, -12.5]]),
                directions=np.array([[-1.0, 0.0, 0.0]]),
                concealed=True,
            ),
        ),
        surroundings=(
            Part(
                mark="ground",
                kind=Kind.SCENERY,
                wall="North",
                vertices=scenery.vertices,
                faces=scenery.faces,
                material="ground",
            ),
        ),
    )


# What no format may stumble over: quotes, brackets, line ends, signs of many alphabets, path and STEP signs.
HOSTILE = "\"quoted\" 'it' <b>&amp;</b> & ]]> \n\t\\X2\\ $ ; ../.. %s Größe 壁 \U0001f332"


def hostile_name(text: str) -> str:
    """A name that says which it is and is 200 signs long."""
    return f"{text} {HOSTILE}".ljust(200, "x")


@pytest.fixture(scope="session")
def hostile(model: Model) -> Model:
    """The same building with every name as bad as it can be."""
    return replace(
        model,
        title=hostile_name("title"),
        walls=tuple(replace(wall, name=hostile_name(wall.name)) for wall in model.walls),
        parts=tuple(
            replace(
                part,
                mark=hostile_name(part.mark),
                wall=hostile_name(part.wall),
                section=hostile_name(part.section),
                material=hostile_name(part.material),
                assembly=None if part.assembly is None else hostile_name(part.assembly),
            )
            for part in model.parts
        ),
        fixings=tuple(
            replace(
                group,
                mark=hostile_name(group.mark),
                wall=hostile_name(group.wall),
                fastener=replace(group.fastener, name=hostile_name(group.fastener.name)),
            )
            for group in model.fixings
        ),
        surroundings=(),
    )


VALIDATOR = "gltf-validator@2.0.0-dev.3.10"
VALIDATE = """
import validator from 'gltf-validator';
import fs from 'fs';
const bytes = new Uint8Array(fs.readFileSync(process.argv[1]));
const report = await validator.validateBytes(bytes, {maxIssues: 50});
console.log(JSON.stringify(report.issues));
"""


def validator_folder() -> Path:
    """Folder whose node_modules holds the validator; installed into the user's cache if need be.

    Where it cannot be had the test is skipped, except on CI, where it must be there.
    """

    def do_without(reason: str) -> NoReturn:
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)

    if shutil.which("node") is None:
        do_without("node is not installed")
    given = os.environ.get("CLADMODEL_GLTF_VALIDATOR")
    folder = Path(given) if given else platformdirs.user_cache_path("cladmodel") / "gltf-validator"
    if (folder / "node_modules" / "gltf-validator").is_dir():
        return folder
    if given:
        do_without(f"CLADMODEL_GLTF_VALIDATOR: no node_modules/gltf-validator in {folder}")
    if shutil.which("npm") is None:
        do_without("npm is not installed")
    folder.mkdir(parents=True, exist_ok=True)
    install = ["npm", "install", "--prefix", str(folder), "--no-audit", "--no-fund", VALIDATOR]
    done = subprocess.run(install, capture_output=True, text=True, timeout=120, check=False)
    if done.returncode:
        do_without(f"npm could not install {VALIDATOR}: {done.stderr.strip()[-300:]}")
    return folder


@pytest.fixture(scope="session")
def gltf_validator(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., None]:
    """Assert that the Khronos validator has nothing to say against a GLB; hints may be let through."""
    folder = validator_folder()

    def validate(data: bytes, *, allow_hints: bool = False) -> None:
        path = tmp_path_factory.mktemp("validator") / "model.glb"
        path.write_bytes(data)
        command = ["node", "--input-type=module", "-e", VALIDATE, str(path)]
        done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=120, check=False)
        assert done.returncode == 0, done.stderr
        issues = json.loads(done.stdout)
        counts = [issues["numErrors"], issues["numWarnings"]]
        if not allow_hints:
            counts += [issues["numInfos"], issues["numHints"]]
        assert not any(counts), issues["messages"]

    return validate
