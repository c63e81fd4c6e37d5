"""What the page holds, byte for byte and word for word."""

from __future__ import annotations

import base64
import gzip
import hashlib
import io
import json
import re
import struct
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from PIL import Image

from cladmodel.errors import OutputError
from cladmodel.model import Kind
from cladmodel.page.bundle import MISSING, Bundle, load_bundle
from cladmodel.page.looks import SUNS, Finish
from cladmodel.page.pack import POSTER_WIDTH, page_html
from cladmodel.page.stock import StockPlace
from cladmodel.parts.surroundings import surroundings
from cladmodel.views.sun import WORDS

from ...building import Built

SINGLE_PRECISION = 1e-3  # mm, at ten metres


def html_of(wall: Built, table: dict[str, Any], bundle: Bundle, **more: Any) -> str:
    return page_html(wall.model, table, bundle=bundle, **more).decode("utf-8")


def data_of(html: str) -> tuple[dict[str, Any], bytes]:
    """Head and arrays, read by the format's own description."""
    packed = re.search(r'id="model">([^<]*)<', html).group(1)
    data = gzip.decompress(base64.b64decode(packed))
    (length,) = struct.unpack_from("<I", data)
    assert length % 4 == 0
    return json.loads(data[4 : 4 + length]), data[4 + length :]


def test_every_piece_is_there_to_a_thousandth(wall: Built, table: dict[str, Any], bundle: Bundle):
    head, arrays = data_of(html_of(wall, table, bundle))
    model = wall.model
    parts = [*model.parts, *surroundings(model.walls, model.parts)]
    assert head["parts"]["own"] == len(model.parts)
    assert head["parts"]["mark"] == [part.mark for part in parts]
    vertices = sum(head["vertexCounts"])
    found = np.frombuffer(arrays, "<f4", 3 * vertices).reshape(-1, 3)
    wanted = np.concatenate([model.to_building(part.wall, part.vertices) for part in parts])
    assert np.abs(found - wanted).max() < SINGLE_PRECISION
    at = 12 * vertices
    count = sum(head["fixingCounts"])
    assert count == sum(len(group.heads) for group in model.fixings)
    fixings = np.frombuffer(arrays, "<f4", 6 * count, at).reshape(-1, 6)
    assert np.allclose(np.linalg.norm(fixings[:, 3:], axis=1), 1.0, atol=1e-6)
    at += 24 * count
    steps = np.frombuffer(arrays, "<u2", count, at)
    assert steps.max() < len(head["steps"])
    at += (2 * count + 3) // 4 * 4
    faces = np.frombuffer(arrays, "<u2", 3 * sum(head["triangleCounts"]), at).reshape(-1, 3)
    assert not head["wide"]
    assert np.array_equal(faces, np.concatenate([part.faces for part in parts]))
    assert len(arrays) == at + (faces.nbytes + 3) // 4 * 4


def test_same_job_same_page(wall: Built, table: dict[str, Any], bundle: Bundle):
    assert html_of(wall, table, bundle) == html_of(wall, table, bundle)


def test_only_its_own_script_may_run(wall: Built, table: dict[str, Any], bundle: Bundle):
    html = html_of(wall, table, bundle)
    policy = re.search(r'content="([^"]*)"', html).group(1)
    digest = base64.b64encode(hashlib.sha256(b"start()").digest()).decode()
    assert f"script-src 'sha256-{digest}'" in policy
    assert policy.startswith("default-src 'none'")
    assert "unsafe" not in policy


def test_words_from_a_scene_are_never_taken_for_slots(wall: Built, table: dict[str, Any], bundle: Bundle):
    evil = '<!--slot:script--></title><script>x</script>"&'
    model = replace(wall.model, title=evil)
    html = page_html(model, {**table, "title": evil}, bundle=bundle).decode()
    assert html.count("start()") == 1
    assert "<script>x" not in html
    assert "&lt;!--slot:script--&gt;" in html
    head, _ = data_of(html)
    assert head["title"] == evil


def test_finish_and_sun_first_shown(wall: Built, table: dict[str, Any], bundle: Bundle):
    colours = {"a": "#112233", "b": "#445566"}
    finishes = [Finish(name=n, title=n, colours={"board": c}) for n, c in colours.items()]
    head, _ = data_of(html_of(wall, table, bundle, finishes=finishes, finish="b"))
    assert head["finish"] == 1
    assert head["finishes"][1]["colours"] == {"board": "#445566"}
    assert [sun["name"] for sun in head["suns"]] == [sun.name for sun in SUNS]
    head, _ = data_of(html_of(wall, table, bundle, finishes=finishes, finish="unheard of"))
    assert head["finish"] == 0
    with pytest.raises(ValueError, match="at least one"):
        html_of(wall, table, bundle, finishes=())


def test_suns_stand_where_the_pictures_have_them():
    assert [sun.name for sun in SUNS] == list(WORDS)
    for sun in SUNS:
        assert np.degrees([sun.azimuth, sun.altitude]) == pytest.approx(WORDS[sun.name])
    assert {sun.name for sun in SUNS if sun.strength == 0} == {"overcast"}


def test_colours_are_colours():
    with pytest.raises(ValueError, match="red"):
        Finish(name="x", title="X", colours={"board": "red"})


def test_stock_is_told_by_mark(wall: Built, table: dict[str, Any], bundle: Bundle):
    boards = wall.model.of_kind(Kind.BOARD)
    places = {
        part.mark: StockPlace(section=part.section, board=1 + n // 2, length=4800, turn=1 + n % 2, of=2)
        for n, part in enumerate(boards)
    }
    html = html_of(wall, table, bundle, stock=places)
    head, _ = data_of(html)
    told = dict(zip(head["parts"]["mark"], head["parts"]["stock"], strict=True))
    assert {mark: words for mark, words in told.items() if words} == {m: str(p) for m, p in places.items()}
    assert 'id="stock"' in html
    assert 'id="stock"' not in html_of(wall, table, bundle)


def test_findings_are_placed_in_the_building(wall: Built, table: dict[str, Any], bundle: Bundle):
    turned = np.array([[0.0, 0, 1, 5000], [0, 1, 0, 0], [-1, 0, 0, 700], [0, 0, 0, 1]])
    model = replace(wall.model, walls=(replace(wall.model.walls[0], frame=turned),))
    head, _ = data_of(page_html(model, table, bundle=bundle).decode())
    placed = 0
    for row, finding in zip(head["findings"], table["findings"], strict=True):
        where = finding["where_mm"]
        if where is not None:
            assert row["where"] == pytest.approx([where[2] + 5000, where[1], 700 - where[0]])
            placed += 1
    assert placed > 3


def test_poster_is_made_small(wall: Built, table: dict[str, Any], bundle: Bundle):
    big = io.BytesIO()
    Image.new("RGBA", (3200, 2000), (10, 200, 30, 255)).save(big, "PNG")
    html = html_of(wall, table, bundle, poster=big.getvalue())
    data = re.search(r'src="data:image/jpeg;base64,([^"]*)"', html).group(1)
    with Image.open(io.BytesIO(base64.b64decode(data))) as image:
        assert image.size == (POSTER_WIDTH, 750)
        assert image.getpixel((600, 300))[1] > 180
    assert 'alt="Picture of Trial"' in html


def test_poster_that_is_none(wall: Built, table: dict[str, Any], bundle: Bundle):
    with pytest.raises(OutputError, match="no PNG, JPEG or WebP"):
        html_of(wall, table, bundle, poster=b"not a picture")


def test_without_the_bundle_one_line_says_so(tmp_path):
    with pytest.raises(OutputError) as error:
        load_bundle(tmp_path)
    assert str(error.value) == MISSING
    assert "\n" not in MISSING
    assert "CLADMODEL_WITHOUT_PAGE" in MISSING
