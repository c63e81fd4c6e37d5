"""Make the documents' pictures again, all of them or those that are named.

    python tests/docs/make_pictures.py [NAME ...]

Each is made by cladmodel from the seed store, the page's by looking at it in Chromium, then made small:
drawings as PNG of few colours, pictures as JPEG. They go to shared/docs/pictures. About five minutes.
"""

from __future__ import annotations

import argparse
import io
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path

from PIL import Image

from cladmodel.build import build_planned, load_scene
from cladmodel.drawings.corner import corner_sheets
from cladmodel.drawings.cut_diagrams import cut_diagram_pages
from cladmodel.drawings.elevation import elevation_sheet
from cladmodel.drawings.png import png_bytes
from cladmodel.drawings.primitives import Sheet
from cladmodel.drawings.rod import rod_pages
from cladmodel.drawings.section import section_sheet
from cladmodel.measuring import plan_of
from cladmodel.model import Model

ROOT = Path(__file__).resolve().parents[2]
SCENE = ROOT / "scenes" / "seed-store.toml"
PICTURES = ROOT / "shared" / "docs" / "pictures"
WIDE, NARROW = 1400, 800  # of A3 sheets and of A4 pages [pixels]
COLOURS = 24  # of a drawing: its tints, inks and the greys between
QUALITY = 82  # of a JPEG
WINDOW = {"width": 1280, "height": 800}


@cache
def job() -> tuple[Model, Sequence[Sheet]]:
    """The seed store and its cut diagrams."""
    scene = load_scene(SCENE)
    planned = build_planned(scene)
    plan = plan_of(scene, planned)
    assert plan is not None
    return planned.model, cut_diagram_pages(plan, scene.title)


def run(*words: str) -> None:
    """One command of cladmodel, as a reader would type it."""
    code = "from cladmodel.cli import main; main()"
    subprocess.run([sys.executable, "-c", code, *words], check=True)


def rendered(*words: str, size: str = "1400x875") -> Image.Image:
    """What ``cladmodel render`` draws."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "picture.png"
        run("render", str(SCENE), str(file), "--size", size, *words)
        return Image.open(io.BytesIO(file.read_bytes()))


def drawn(sheet: Sheet, width: int) -> Image.Image:
    """A sheet as a picture of few colours."""
    image = Image.open(io.BytesIO(png_bytes(sheet, width_px=width))).convert("RGB")
    return image.quantize(COLOURS, dither=Image.Dither.NONE)


def page(*, phone: bool = False) -> Image.Image:
    """The client's page in a browser: peeled to the boards half way on a desk, a piece tapped on a phone."""
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as folder, sync_playwright() as tool:
        file = Path(folder) / "page.html"
        run("page", str(SCENE), "--out", str(file))
        flags = ["--no-sandbox", "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
        browser = tool.chromium.launch(executable_path="/usr/bin/chromium", args=flags)
        window = {"width": 390, "height": 780} if phone else WINDOW
        context = browser.new_context(viewport=window, reduced_motion="reduce")
        opened = context.new_page()
        opened.goto(file.as_uri())
        opened.wait_for_selector("html[data-ready]", timeout=60_000)
        if not phone:
            opened.locator("#step").evaluate(
                "step => { step.value = 0.62 * step.max; step.dispatchEvent(new Event('input')); }"
            )
        opened.wait_for_timeout(4_000)  # the picture grows finer while nobody turns it
        shot = opened.screenshot()
        browser.close()
    return Image.open(io.BytesIO(shot))


def section() -> Sheet:
    return section_sheet(job()[0], "south")


MADE: dict[str, Callable[[], Image.Image]] = {
    "store.jpg": lambda: rendered("--finish", "oiled"),
    "evening.jpg": lambda: rendered("--light", "low evening", "--finish", "black", size="1200x750"),
    "finishes.jpg": lambda: rendered("--finish", "oiled,black,silver,#7f9a8f"),
    "layers.jpg": lambda: rendered("--view", "layers"),
    "cut.jpg": lambda: rendered("--view", "cut", size="1200x750"),
    "lap.png": lambda: rendered("--coloured-by", "lap").convert("RGB").quantize(64),
    "section.png": lambda: drawn(section(), WIDE),
    "elevation.png": lambda: drawn(elevation_sheet(job()[0], "south"), WIDE),
    "corner.png": lambda: drawn(corner_sheets(job()[0])[0], WIDE),
    "rod.png": lambda: drawn(rod_pages(job()[0])[0], NARROW),
    "cuts.png": lambda: drawn(job()[1][1], NARROW),
    "page.jpg": page,
    "phone.jpg": lambda: page(phone=True),
}


def save(image: Image.Image, file: Path) -> None:
    """Write a picture, as small as it may be."""
    if file.suffix == ".jpg":
        image.convert("RGB").save(file, quality=QUALITY, optimize=True, progressive=True)
    else:
        image.save(file, optimize=True)


def main() -> None:
    parser = argparse.ArgumentParser(description="Make the documents' pictures again.")
    parser.add_argument("names", nargs="*", metavar="NAME", help=f"of {', '.join(MADE)}")
    names = parser.parse_args().names or list(MADE)
    if unknown := set(names) - set(MADE):
        parser.error(f"no picture is called {', '.join(sorted(unknown))}")
    PICTURES.mkdir(parents=True, exist_ok=True)
    for name in names:
        save(MADE[name](), PICTURES / name)
        print(f"{PICTURES / name}: {(PICTURES / name).stat().st_size // 1000} kB")


if __name__ == "__main__":
    main()
