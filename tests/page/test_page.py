"""The page as a file: offline, safe, quick, readable without scripts, on a phone, on paper and aloud."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from cladmodel.model import Kind
from cladmodel.page.pack import page_html
from cladmodel.schedules.report import report

from .conftest import FINISHES, PHONE, Job, Open, Opened

LARGEST = 3_000_000  # bytes
FIRST_FRAME = 4_000  # ms, software rendering


def test_opens_from_disk_in_silence_and_asks_for_nothing(opened: Opened, seed_store: Job):
    opened.drawn()
    assert opened.said == []
    assert opened.asked == [seed_store.file.as_uri()]
    assert opened.state("v.firstFrame") < FIRST_FRAME
    assert len(seed_store.html) < LARGEST
    assert opened.pixels().std() > 20, "something is drawn"


def test_nothing_in_the_file_points_outside(seed_store: Job):
    text = seed_store.html.decode("utf-8")
    head, _, _ = text.partition('<script type="application/octet-stream"')
    assert not re.search(r"""(?:src|href|action)\s*=\s*["']?(?!data:)[^"'\s>]""", head)
    assert "default-src 'none'" in head
    assert "unsafe" not in head.partition("<style>")[0]


def test_the_model_in_the_page_is_the_model(opened: Opened, seed_store: Job):
    model = seed_store.model
    own = opened.state("v.model.head.parts.own")
    marks = opened.state("v.model.head.parts.mark")[:own]
    assert marks == [part.mark for part in model.parts]
    assert opened.state("v.model.head.fixingCounts") == [len(group.heads) for group in model.fixings]
    boxes = opened.state("[...v.model.boxes]")
    for i in range(0, own, 37):
        part = model.parts[i]
        placed = model.to_building(part.wall, part.vertices)
        assert boxes[6 * i : 6 * i + 3] == pytest.approx(placed.min(axis=0), abs=0.01)
        assert boxes[6 * i + 3 : 6 * i + 6] == pytest.approx(placed.max(axis=0), abs=0.01)


def test_stands_without_scripts(open_page: Open, seed_store: Job):
    plain = open_page(ready=False, java_script_enabled=False)
    assert plain.page.locator("#poster").is_visible()
    assert plain.page.locator("#tray").count() == 0
    text = plain.page.inner_text("body")
    for heading in ("Checks", "Rod", "Cut list", "Before you build", "Order of building up"):
        assert heading in text
    for part in seed_store.model.of_kind(Kind.BOARD)[::17]:
        assert part.mark in text
    for caution in seed_store.report["cautions"]:
        assert caution["text"] in text
    assert plain.asked == [seed_store.file.as_uri()]


def test_stands_where_nothing_can_be_drawn(open_page: Open, seed_store: Job):
    """A browser without WebGL keeps picture and tables, and says so."""
    page = open_page().page.context.new_page()
    page.add_init_script("HTMLCanvasElement.prototype.getContext = () => null")
    page.goto(seed_store.file.as_uri())
    page.locator("#without:has-text('cannot be shown')").wait_for()
    assert page.locator("#poster").is_visible()
    assert page.locator("#tray").count() == 0


def test_fits_a_phone(open_page: Open):
    phone = open_page(window=PHONE, has_touch=True, is_mobile=True)
    assert phone.page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    box = phone.page.locator("#canvas").bounding_box()
    assert box["height"] > 0.5 * PHONE["height"]
    assert box["y"] + box["height"] < 1.05 * PHONE["height"]
    spot = phone.on_screen((3600.0, 400.0, 40.0))
    phone.page.locator("#canvas").tap(position={"x": spot[0], "y": spot[1]})
    phone.drawn()
    assert phone.state("v.state.picked.length") == 1
    card = phone.page.locator("#card").bounding_box()
    assert card["x"] >= 0
    assert card["x"] + card["width"] <= PHONE["width"]
    small = phone.page.eval_on_selector_all(
        "#tray summary, #tray button, #tray select",
        "all => all.filter(e => e.offsetParent && e.getBoundingClientRect().height < 40).length",
    )
    assert small == 0, "a finger needs room"


def test_two_fingers_come_nearer(open_page: Open):
    phone = open_page(window=PHONE, has_touch=True, is_mobile=True)
    before = phone.state("v.orbit.stand.far")
    wire = phone.page.context.new_cdp_session(phone.page)
    box = phone.page.locator("#canvas").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    def touch(kind: str, apart: float | None) -> None:
        points = (
            [] if apart is None else [{"x": x - apart, "y": y, "id": 1}, {"x": x + apart, "y": y, "id": 2}]
        )
        wire.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", 40)
    for apart in (50, 65, 80):
        touch("touchMove", apart)
    touch("touchEnd", None)
    phone.drawn()
    assert phone.state("v.orbit.stand.far") == pytest.approx(before / 2, rel=0.15)


def test_prints_picture_and_tables(opened: Opened):
    opened.page.evaluate("dispatchEvent(new Event('beforeprint'))")
    opened.page.emulate_media(media="print")
    opened.page.evaluate("document.getElementById('printed').decode()")
    assert opened.page.locator("#printed").is_visible()
    assert opened.page.evaluate("document.getElementById('printed').naturalWidth") > 300
    assert not opened.page.locator("#tray").is_visible()
    assert opened.page.locator("#cautions").is_visible()
    assert opened.page.pdf().startswith(b"%PDF")


def test_can_be_read_aloud(opened: Opened):
    nameless = opened.page.evaluate(
        """() => [...document.querySelectorAll("button, select, input")].filter(one =>
          !one.labels?.length && !one.getAttribute("aria-label") && !one.textContent.trim()).length"""
    )
    assert nameless == 0
    for table in opened.page.locator("table").all():
        assert table.locator("caption").count() == 1
        assert table.locator("thead th[scope=col]").count() >= 3
        rows = table.locator("tbody tr").count()
        assert rows > 0
        assert table.locator("tbody th[scope=row]").count() == rows
    assert opened.page.get_attribute("html", "lang") == "en"
    assert opened.page.get_attribute("#card", "aria-live") == "polite"
    levels = opened.page.eval_on_selector_all("h1, h2, h3", "all => all.map(h => Number(h.tagName[1]))")
    assert levels[0] == 1
    assert all(b - a <= 1 for a, b in pairwise(levels))


HOSTILE = "</script><script>alert(1)</script><img src=x onerror=alert(2)>\"' & \u202e<!--slot:script-->"


def test_a_strangers_words_stay_words(open_page: Open, seed_store: Job, tmp_path: Path):
    model = seed_store.model
    first = replace(model.parts[0], mark=HOSTILE, section=HOSTILE)
    board = model.of_kind(Kind.BOARD)[0]
    changed = tuple(
        replace(p, mark=HOSTILE + "2", section=HOSTILE) if p is board else p for p in model.parts[1:]
    )
    bad = replace(model, title=HOSTILE, parts=(first, *changed), notes=(HOSTILE,))
    findings = tuple(replace(f, text=HOSTILE, remedy=HOSTILE) for f in seed_store.built.findings)
    table = report(bad, findings, seed_store.built.rules)
    file = tmp_path / "page.html"
    file.write_bytes(page_html(bad, table, finishes=FINISHES))
    opened = open_page(file)
    assert opened.said == []
    assert opened.asked == [file.as_uri()]
    assert opened.page.title().split() == HOSTILE.split()
    assert opened.page.inner_text("h1").split() == HOSTILE.split()
    assert opened.page.locator("img[src=x]").count() == 0
    opened.page.evaluate(
        "m => cladmodelPage.viewer.showParts([cladmodelPage.viewer.model.partOf.get(m)])", HOSTILE + "2"
    )
    assert HOSTILE.split()[0] in opened.page.inner_text("#card")
    assert opened.page.locator("#card img").count() == 0
    assert opened.said == []
