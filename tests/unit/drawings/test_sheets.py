"""Lettering on every sheet: no two texts overlap, all lie inside the frame, none is too small to read."""

from __future__ import annotations

from itertools import combinations

import pytest
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath
from shapely.geometry import Polygon, box

from cladmodel.drawings.corner import corner_sheets
from cladmodel.drawings.elevation import elevation_sheet
from cladmodel.drawings.layout import FRAME, HEADING_LETTERS
from cladmodel.drawings.lettering import body, text_box, text_width
from cladmodel.drawings.primitives import SMALLEST_LETTERS, Sheet, Text
from cladmodel.drawings.section import section_sheet
from cladmodel.drawings.strokes import texts
from cladmodel.model import Model

TOUCH = 0.05  # mm2 of paper: letters' boxes may share a hair of their descenders' room


def overlapping(found: list[Text]) -> list[tuple[str, str]]:
    boxes = [(text, text_box(text)) for text in found]
    return [
        (a.text, b.text)
        for (a, one), (b, two) in combinations(boxes, 2)
        if one.intersection(two).area > TOUCH
    ]


@pytest.fixture(scope="module", params=[section_sheet, elevation_sheet], ids=["section", "elevation"])
def sheet(request: pytest.FixtureRequest, model: Model) -> Sheet:
    return request.param(model, model.walls[0].name)


@pytest.fixture(scope="module")
def building_sheets(building: Model) -> list[Sheet]:
    sheets = [
        draw(building, wall.name) for wall in building.walls for draw in (section_sheet, elevation_sheet)
    ]
    return [*sheets, *corner_sheets(building)]


def test_no_texts_overlap_on_a_buildings_sheets(building_sheets: list[Sheet], model: Model) -> None:
    frame = box(FRAME.left, FRAME.bottom, FRAME.right, FRAME.top)
    for sheet in (*building_sheets, *corner_sheets(model)):
        found = texts(sheet.primitives)
        assert overlapping(found) == [], sheet.title
        assert [t.text for t in found if not frame.contains(text_box(t))] == [], sheet.title
        assert [t.text for t in found if t.text.endswith("…") and t.height < HEADING_LETTERS] == [], (
            sheet.title
        )


def test_no_texts_overlap(sheet: Sheet) -> None:
    found = texts(sheet.primitives)
    assert len(found) > 30
    assert overlapping(found) == []


def test_the_overlap_test_can_fail() -> None:
    one = Text(at=(50.0, 50.0), text="lap 37.2")
    assert overlapping([one, Text(at=(60.0, 51.0), text="gauge")]) == [("lap 37.2", "gauge")]
    assert overlapping([one, Text(at=(50.0, 54.0), text="gauge")]) == []


def test_all_texts_lie_in_the_frame(sheet: Sheet) -> None:
    frame = box(FRAME.left, FRAME.bottom, FRAME.right, FRAME.top)
    assert [t.text for t in texts(sheet.primitives) if not frame.contains(text_box(t))] == []


def test_only_a_title_is_ever_cut_short(sheet: Sheet, model: Model) -> None:
    short = [t.text for t in texts(sheet.primitives) if t.text.endswith("…")]
    assert all(model.title.startswith(text[:-1]) for text in short)


def test_letters_are_large_enough_to_read_on_a3(sheet: Sheet) -> None:
    assert min(t.height for t in texts(sheet.primitives)) >= SMALLEST_LETTERS
    assert (sheet.width, sheet.height) == (420.0, 297.0)


def test_cautions_and_title_are_on_the_sheet(sheet: Sheet, model: Model) -> None:
    words = " ".join(t.text for t in texts(sheet.primitives))
    for needed in (
        model.title[:30],
        "This measures a model, not a building.",
        "Fire:",
        "Work at height:",
        "licensed",
        "never burnt",
        "Wind and structure:",
    ):
        assert needed in words


@pytest.mark.parametrize(
    ("text", "bold"), [("gauge 133.3", False), ("Cover fillet 45 x 15", True), ("5.3°", False)]
)
def test_room_for_letters_agrees_with_matplotlib_outlines(text: str, bold: bool) -> None:
    font = FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal")
    outline = TextPath((0, 0), text, size=body(10.0), prop=font).get_extents()
    # The room counts the white beside the first and last letter, at most a tenth of the body each.
    assert outline.width <= text_width(text, 10.0, bold) <= outline.width + 0.2 * body(10.0)
    room: Polygon = text_box(Text(at=(0.0, 0.0), text=text, height=10.0, bold=bold))
    assert room.bounds[3] == pytest.approx(10.0)
    assert room.bounds[1] <= outline.y0
