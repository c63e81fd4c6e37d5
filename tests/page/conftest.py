"""The seed store's page, opened from disk in Debian's Chromium, where no name can be looked up."""

from __future__ import annotations

import io
import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NoReturn

import numpy as np
import pytest
from PIL import Image

from cladmodel.errors import OutputError
from cladmodel.model import Kind, Model
from cladmodel.page.bundle import load_bundle
from cladmodel.page.looks import Finish
from cladmodel.page.pack import page_html
from cladmodel.page.stock import StockPlace
from cladmodel.schedules.report import report

from ..building import SCENES, Built, build_file

# Software rendering, and every name leads nowhere: what the page would ask for, it would not get.
FLAGS = (
    "--no-sandbox",
    "--use-gl=angle",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--host-resolver-rules=MAP * ~NOTFOUND",
)
WINDOW = {"width": 900, "height": 560}
PHONE = {"width": 390, "height": 780}

FINISHES = (
    Finish(name="bare", title="Bare", colours={"board": "#d0a878", "post": "#d0a878", "trim": "#d0a878"}),
    Finish(name="blue", title="Painted blue", colours={"board": "#3050a0", "post": "#e8e4da"}, opaque=True),
)


def missing(what: str) -> NoReturn:
    """Skip where something is not installed; in CI it has to be."""
    if os.environ.get("CI") == "true":
        pytest.fail(f"{what}: CI must have it")
    pytest.skip(what)


@dataclass(frozen=True, eq=False)
class Job:
    """A built scene and its page."""

    built: Built
    report: dict[str, Any]
    stock: dict[str, StockPlace]
    html: bytes
    file: Path

    @property
    def model(self) -> Model:
        return self.built.model


@pytest.fixture(scope="session")
def poster() -> bytes:
    """A picture that could not be mistaken for the model: red."""
    out = io.BytesIO()
    Image.new("RGB", (1600, 1000), (200, 30, 30)).save(out, "PNG")
    return out.getvalue()


@pytest.fixture(scope="session")
def seed_store(tmp_path_factory: pytest.TempPathFactory, poster: bytes) -> Job:
    try:
        load_bundle()
    except OutputError as error:
        missing(str(error))
    built = build_file(SCENES / "seed-store.toml")
    table = report(built.model, built.findings, built.rules)
    boards = enumerate(built.model.of_kind(Kind.BOARD), start=1)
    stock = {
        part.mark: StockPlace(section=part.section, board=number, length=4800, turn=1, of=1)
        for number, part in boards
    }
    html = page_html(built.model, table, poster=poster, finishes=FINISHES, finish="bare", stock=stock)
    file = tmp_path_factory.mktemp("page") / "page.html"
    file.write_bytes(html)
    return Job(built=built, report=table, stock=stock, html=html, file=file)


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        missing("playwright is not installed: pip install playwright")
    program = shutil.which("chromium")
    if program is None:
        missing("chromium is not installed: apt install chromium")
    with sync_playwright() as tool:
        started = tool.chromium.launch(executable_path=program, args=list(FLAGS))
        yield started
        started.close()


@dataclass(eq=False)
class Opened:
    """A page that is open, and all that it said and asked for."""

    page: Any
    said: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def state(self, words: str) -> Any:
        """Look something up in the page's own viewer."""
        return self.page.evaluate(f"(() => {{ const v = window.cladmodelPage.viewer; return {words}; }})()")

    def drawn(self) -> None:
        """Wait until what has changed is on the screen."""
        self.page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")

    def landed(self) -> None:
        """Wait for the end of a flight."""
        self.comes_true("!v.orbit.flying")
        self.drawn()

    def comes_true(self, words: str) -> None:
        """Wait for something of the viewer's; the page's policy stops the browser tool's own waiting."""
        for _ in range(200):
            self.drawn()
            if self.state(words):
                return
        raise AssertionError(f"never came true: {words}")

    def pixels(self) -> np.ndarray:
        """(rows, columns, 3) int: what the model's window shows."""
        self.drawn()
        shot = self.page.locator("#glass").screenshot()
        with Image.open(io.BytesIO(shot)) as image:
            return np.asarray(image.convert("RGB"), np.int16)

    def on_screen(self, point: Any) -> tuple[float, float]:
        """Where a point of the building [mm] is in the window."""
        x, y, z = (float(value) for value in point)
        spot = self.state(f"v.orbit.screen([{x}, {y}, {z}])")
        return spot["x"], spot["y"]

    def tap(self, x: float, y: float) -> None:
        """Tap inside the model's window."""
        self.page.locator("#canvas").click(position={"x": x, "y": y})
        self.drawn()

    def look_square(self, wall: str) -> None:
        """Stand square to a wall."""
        self.page.select_option("#stand", label=f"square to {wall}")
        self.landed()


Open = Callable[..., Opened]


def watched(context: Any) -> Opened:
    """Open an empty page and keep all that it says and asks for."""
    opened = Opened(context.new_page())
    page = opened.page
    page.on("console", lambda message: opened.said.append(f"{message.type}: {message.text}"))
    page.on("pageerror", lambda error: opened.said.append(f"error: {error}"))
    page.on("dialog", lambda dialog: opened.said.append(f"dialog: {dialog.message}"))
    page.on("request", lambda request: opened.asked.append(request.url))
    return opened


def load(opened: Opened, file: Path, *, ready: bool = True) -> None:
    """Open a file, as if by a double click."""
    opened.page.goto(file.as_uri())
    if ready:
        opened.page.wait_for_selector("html[data-ready]", timeout=30_000)


@pytest.fixture
def open_page(browser: Any, seed_store: Job) -> Iterator[Open]:
    """Open a page in a window of its own."""
    contexts = []

    def opener(
        file: Path | None = None, *, window: dict[str, int] = WINDOW, ready: bool = True, **more: Any
    ) -> Opened:
        context = browser.new_context(viewport=window, reduced_motion="reduce", **more)
        contexts.append(context)
        opened = watched(context)
        load(opened, file or seed_store.file, ready=ready)
        return opened

    yield opener
    for context in contexts:
        context.close()


@pytest.fixture(scope="session")
def desktop(browser: Any) -> Iterator[Opened]:
    """One desktop window for all tests that need no other; a new window costs seconds."""
    context = browser.new_context(viewport=WINDOW, reduced_motion="reduce")
    yield watched(context)
    context.close()


@pytest.fixture
def opened(desktop: Opened, seed_store: Job) -> Opened:
    """The seed store's page, just opened in a desktop window."""
    desktop.page.emulate_media(media="screen")
    desktop.said.clear()
    desktop.asked.clear()
    load(desktop, seed_store.file)
    return desktop
