"""How large the client's page is and how fast it draws, in Debian's Chromium without a graphics card.

    python tests/bench/bench_page.py [SCENE ...] [--frames 20] [--window 1280x800]

Prints, for each scene, the page's size, the time to pack it, the time from opening to the first frame on the
screen, and the mean time of a frame while turning, whole and cut. A frame's time includes waiting until it is
really drawn. Needs playwright and chromium. Leaves with 1 if a goal is missed.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

from cladmodel.build import build_model, load_scene, rules_of
from cladmodel.checks.run import run_checks
from cladmodel.model import Kind
from cladmodel.page.pack import page_html
from cladmodel.page.stock import StockPlace
from cladmodel.schedules.report import report

SCENES = Path(__file__).resolve().parents[2] / "scenes"
LARGEST = 3.0  # MB, a goal
FIRST_FRAME = 4.0  # s in software rendering, a goal
FLAGS = (
    "--no-sandbox",
    "--use-gl=angle",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--host-resolver-rules=MAP * ~NOTFOUND",
)
CUT = """() => {
  const v = cladmodelPage.viewer;
  v.state.plane = { normal: [1, 0, 0], at: v.stage.middle[0] };
  v.changed();
}"""


def packed(scene_file: Path) -> tuple[bytes, float]:
    """A scene's page, and the seconds that packing took."""
    scene = load_scene(scene_file)
    model = build_model(scene)
    rules = rules_of(scene)
    table = report(model, run_checks(model, rules), rules)
    boards = enumerate(model.of_kind(Kind.BOARD), start=1)
    stock = {
        part.mark: StockPlace(section=part.section, board=number, length=4800, turn=1, of=1)
        for number, part in boards
    }
    start = time.perf_counter()
    html = page_html(model, table, stock=stock)
    return html, time.perf_counter() - start


def measured(browser: Any, file: Path, frames: int, window: tuple[int, int]) -> tuple[float, float, float]:
    """First frame [s], then a frame whole and cut [ms]."""
    context = browser.new_context(viewport={"width": window[0], "height": window[1]})
    page = context.new_page()
    page.goto(file.as_uri())
    page.wait_for_selector("html[data-ready]", timeout=120_000)
    first = page.evaluate("cladmodelPage.viewer.firstFrame") / 1000
    whole = page.evaluate("count => cladmodelPage.frames(count)", frames)
    page.evaluate(CUT)
    cut = page.evaluate("count => cladmodelPage.frames(count)", frames)
    context.close()
    return first, whole, cut


def main() -> int:
    """Print the table; 1 if a goal is missed."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("scenes", nargs="*", type=Path)
    asked.add_argument("--frames", type=int, default=20)
    asked.add_argument("--window", default="1280x800")
    given = asked.parse_args()
    width, height = (int(side) for side in given.window.split("x"))
    scenes = given.scenes or sorted(SCENES.glob("*.toml"))
    program = shutil.which("chromium")
    if program is None:
        sys.exit("chromium is not installed: apt install chromium")
    missed = False
    print(f"{'scene':16} {'size MB':>8} {'pack s':>7} {'first s':>8} {'frame ms':>9} {'cut ms':>7}")
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as tool:
        browser = tool.chromium.launch(executable_path=program, args=list(FLAGS))
        for scene in scenes:
            html, seconds = packed(scene)
            file = Path(folder) / f"{scene.stem}.html"
            file.write_bytes(html)
            first, whole, cut = measured(browser, file, given.frames, (width, height))
            size = len(html) / 1e6
            print(f"{scene.stem:16} {size:8.2f} {seconds:7.2f} {first:8.2f} {whole:9.0f} {cut:7.0f}")
            missed |= size > LARGEST or first > FIRST_FRAME
        browser.close()
    print(
        f"goals: under {LARGEST:g} MB, first frame under {FIRST_FRAME:g} s: {'MISSED' if missed else 'met'}"
    )
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
