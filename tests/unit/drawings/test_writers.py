"""PNG and SVG show what is on the sheet."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
from PIL import Image

from cladmodel.drawings.png import png_bytes, write_png
from cladmodel.drawings.primitives import Fill, Hatch, Layer, Sheet, Text
from cladmodel.drawings.section import section_sheet
from cladmodel.drawings.strokes import texts
from cladmodel.drawings.svg import svg_text, write_svg
from cladmodel.model import Model

RING = ((10.0, 10.0), (50.0, 10.0), (50.0, 40.0), (10.0, 40.0))
HOLE = ((20.0, 20.0), (30.0, 20.0), (30.0, 30.0), (20.0, 30.0))
SVG = "{http://www.w3.org/2000/svg}"


def pixels(sheet: Sheet, width_px: int) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(png_bytes(sheet, width_px=width_px))))


def test_png_is_as_wide_as_asked_and_the_same_each_time(window: Model) -> None:
    sheet = section_sheet(window, "north")
    first = png_bytes(sheet)
    assert Image.open(io.BytesIO(first)).size == (2400, 1697)
    assert first == png_bytes(section_sheet(window, "north"))


def test_fills_and_holes_are_where_they_should_be() -> None:
    fill = Fill(layer=Layer.CUT, outline=RING, holes=(HOLE,), colour="#eccb9a")
    picture = pixels(Sheet(title="", width=100.0, height=50.0, primitives=(fill,)), 1000)
    assert picture.shape == (500, 1000, 3)
    assert picture[500 - 150, 150].tolist() == [0xEC, 0xCB, 0x9A]  # inside: 15, 15 from the bottom left
    assert picture[500 - 250, 250].tolist() == [255, 255, 255]  # in the hole
    assert picture[100 - 50, 250].tolist() == [255, 255, 255]  # above it
    assert picture[500 - 100, 150].sum() < 200  # on its outline


def test_hatches_stay_inside() -> None:
    hatch = Hatch(outline=RING, holes=(HOLE,), angle=0.7, spacing=1.0, crossed=True)
    picture = pixels(Sheet(title="", width=100.0, height=50.0, primitives=(hatch,)), 1000).min(axis=2)
    inked = picture < 240
    assert inked[500 - 190 : 500 - 110, 110:190].mean() > 0.1
    assert not inked[500 - 298 : 500 - 202, 202:298].any()
    assert not inked[:, 505:].any()


def test_files(tmp_path: Path) -> None:
    sheet = Sheet(title="One", width=100.0, height=50.0, primitives=(Text(at=(5.0, 5.0), text="one"),))
    write_png(sheet, tmp_path / "one.png")
    write_svg(sheet, tmp_path / "one.svg")
    assert (tmp_path / "one.png").read_bytes() == png_bytes(sheet)
    assert (tmp_path / "one.svg").read_text(encoding="utf-8") == svg_text(sheet)


def test_svg_is_well_formed_true_to_size_and_escaped(window: Model) -> None:
    sheet = section_sheet(window, "north")
    root = ET.fromstring(svg_text(sheet))
    assert root.get("width") == "420mm"
    assert root.get("viewBox") == "0 0 420 297"
    written = [element.text for element in root.iter(f"{SVG}text")]
    assert written == [text.text for text in texts(sheet.primitives)]
    assert "Shed <north> & co" in written
