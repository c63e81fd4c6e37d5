"""The whole set of sheets: nothing overlaps or is cut short, and the printed rod is true to size."""

from __future__ import annotations

import io
import itertools
import re
from collections.abc import Iterator
from dataclasses import replace

import pypdf
import pytest
from shapely import STRtree
from shapely.geometry import box

from cladmodel.checks.finding import Finding
from cladmodel.checks.rules import Rules
from cladmodel.checks.run import run_checks
from cladmodel.drawings import page as pages
from cladmodel.drawings.cut_diagrams import cut_diagram_pages
from cladmodel.drawings.details import detail_sheets
from cladmodel.drawings.layout import FRAME, HEADING_LETTERS, Room
from cladmodel.drawings.lettering import text_box
from cladmodel.drawings.page import table_pages
from cladmodel.drawings.pdf import pdf_bytes
from cladmodel.drawings.primitives import SMALLEST_LETTERS, Fill, Layer, Sheet
from cladmodel.drawings.rod import STRIP, rod_lines, rod_pages
from cladmodel.drawings.sheets import drawing_sheets, sheets
from cladmodel.drawings.strokes import texts
from cladmodel.drawings.tables import Table, draw_table, set_table
from cladmodel.model import Kind, Model
from cladmodel.schedules.cutplan import CutSheet, PlanChoice, PlannedPiece, StockBoard

POINT = 72 / 25.4
TOUCH = 0.05  # mm2 of paper: letters' boxes may share a hair of their descenders' room
PRINTED = 0.2  # mm: what a mark of the printed rod may be out by


def board(number: int, length: float, *pieces: tuple[str, float]) -> StockBoard:
    lost = 4.0 * len(pieces)
    return StockBoard(
        number=number,
        section="170 x 22/9",
        length=length,
        trim=5.0,
        kerf=4.0,
        lost=lost,
        pieces=tuple(PlannedPiece(mark=mark, length=size) for mark, size in pieces),
        leftover=length - 10.0 - lost - sum(size for _, size in pieces),
    )


PLAN = CutSheet(
    boards=(
        board(1, 4800.0, ("A01a", 2390.0), ("A02a", 2380.0)),
        board(2, 4800.0, ("A03a", 2390.0), ("A04a", 2380.0)),
        board(3, 4800.0, ("A05a", 3100.0), ("A06b", 1200.0), ("A07c", 60.0)),
        board(4, 3600.0, ("A08a", 3585.0)),
        *(board(n, 4800.0, (f"B{n:02d}a", 1000.0 + n), (f"B{n:02d}b", 800.0)) for n in range(5, 30)),
    ),
    proof="No plan takes fewer boards.",
    by_hand=31,
    choices=(
        PlanChoice(boards=29, joints=9, cost=None, chosen=True),
        PlanChoice(boards=30, joints=7, cost=412.5, chosen=False),
    ),
)


@pytest.fixture(scope="module")
def findings(building: Model) -> tuple[Finding, ...]:
    return run_checks(building, Rules())


@pytest.fixture(scope="module")
def every(building: Model, findings: tuple[Finding, ...]) -> tuple[Sheet, ...]:
    return sheets(building, findings, PLAN)


def faults(sheet: Sheet) -> Iterator[str]:
    """Lettering that overlaps, leaves the frame, is cut short or is too small."""
    found = texts(sheet.primitives)
    boxes = [text_box(text) for text in found]
    for one, two in STRtree(boxes).query(boxes, predicate="intersects").T.tolist():
        if one < two and boxes[one].intersection(boxes[two]).area > TOUCH:
            yield f"{sheet.title}: {found[one].text} over {found[two].text}"
    frame: Room = FRAME if sheet.width > pages.A4[0] else pages.FRAME
    room = box(frame.left, frame.bottom, frame.right, frame.top)
    for text, place in zip(found, boxes, strict=True):
        if not room.contains(place):
            yield f"{sheet.title}: {text.text} leaves the frame"
        if text.text.endswith("…") and text.height < HEADING_LETTERS:
            yield f"{sheet.title}: {text.text} is cut short"
        if text.height < SMALLEST_LETTERS:
            yield f"{sheet.title}: {text.text} is too small"


def test_nothing_overlaps_or_is_cut_short(every: tuple[Sheet, ...]) -> None:
    assert [fault for sheet in every for fault in faults(sheet)] == []


def test_nothing_overlaps_on_lone_walls(model: Model) -> None:
    found = sheets(model, run_checks(model, Rules()), None)
    assert [fault for sheet in found for fault in faults(sheet)] == []


def test_the_fault_finder_finds(every: tuple[Sheet, ...]) -> None:
    sheet = every[-1]
    first = texts(sheet.primitives)[0]
    doubled = Sheet(title="x", width=sheet.width, height=sheet.height, primitives=(first, first))
    assert len(list(faults(doubled))) == 1


def test_everything_asked_for_is_there(every: tuple[Sheet, ...], building: Model) -> None:
    titles = [sheet.title.lower() for sheet in every]
    for wall in building.walls:
        for drawing in ("elevation", "section"):
            assert f"small l, wall {wall.name}, {drawing}" in titles
    for wanted in (
        "details",
        "outside corner",
        "inside corner",
        "rod at full size",
        "order",
        "cut diagrams",
        "cut list",
        "quantities",
        "checks and cautions",
    ):
        assert [title for title in titles if wanted in title], wanted
    sizes = {(sheet.width, sheet.height) for sheet in every}
    assert sizes == {(420.0, 297.0), (210.0, 297.0)}


def test_every_page_has_a_scale_bar_and_says_what_is_measured(every: tuple[Sheet, ...]) -> None:
    for sheet in every:
        words = [t.text for t in texts(sheet.primitives)]
        assert any(re.search(r"mm at .* on A3|this bar is 50 mm long", word) for word in words), sheet.title
        assert "This measures a model, not a building." in words


def test_the_pages_bar_is_as_long_as_it_says(every: tuple[Sheet, ...]) -> None:
    a4 = [sheet for sheet in every if sheet.width < 300]
    for sheet in a4:
        blocks = [
            p
            for p in sheet.primitives
            if isinstance(p, Fill) and p.layer is Layer.SEEN and max(y for _, y in p.outline) < 18
        ]
        xs = [x for block in blocks for x, _ in block.outline]
        assert max(xs) - min(xs) == pytest.approx(50.0)


def test_file_names_of_drawings_are_distinct(building: Model) -> None:
    names = [name for name, _ in drawing_sheets(building)]
    assert len(set(names)) == len(names)
    assert {"elevation-south", "section-west", "corner-1", "corner-2"} <= set(names)


def test_file_names_hold_nothing_that_a_file_must_not(building: Model) -> None:
    names = ("../up", "..\\up", "a/b", "A b", "…", "a b 2")
    renamed = {wall.name: name for wall, name in zip(building.walls, names, strict=True)}
    hostile = replace(
        building,
        walls=tuple(replace(wall, name=renamed[wall.name]) for wall in building.walls),
        parts=tuple(replace(part, wall=renamed[part.wall]) for part in building.parts),
        fixings=tuple(replace(group, wall=renamed[group.wall]) for group in building.fixings),
    )
    found = [name for name, _ in drawing_sheets(hostile)]
    assert all(re.fullmatch(r"[\w-]+", name) for name in found)
    assert len({name.casefold() for name in found}) == len(found)
    assert {"elevation-up", "elevation-up-2", "elevation-a-b", "elevation-A-b-2", "elevation-a-b-2-2"} <= set(
        found
    )


def test_details_are_at_one_to_two(building: Model) -> None:
    found = detail_sheets(building)
    assert {d.scale for sheet in found for d in sheet.dimensions} == {2.0}
    whats = {d.what for sheet in found for d in sheet.dimensions}
    assert {
        "kick-out",
        "ground clearance",
        "over the top board",
        "air gap at the fillet",
        "butt above the head flashing",
        "sill past the boards",
        "air under the sill",
    } <= whats


def test_details_name_every_wall_and_opening_and_share_sheets(building: Model) -> None:
    found = [[text.text for text in texts(sheet.primitives)] for sheet in detail_sheets(building)]
    words = " ".join(word for sheet in found for word in sheet)
    names = [name for wall in building.walls for name in (wall.name, *(o.name for o in wall.openings))]
    assert [name for name in names if name not in words] == []
    drawn = [[word for word in sheet if word.endswith(", 1:2")] for sheet in found]
    assert {"Foot, 1:2", "Head, 1:2"} <= set().union(*drawn)
    assert max(len(sheet) for sheet in drawn) > 2
    assert all(drawn)


def test_the_same_bytes_each_time(building: Model, findings: tuple[Finding, ...]) -> None:
    first, second = (pdf_bytes(sheets(building, findings, PLAN), building.title) for _ in range(2))
    assert first == second


def level_lines(data: bytes) -> list[tuple[int, float, float, float, float]]:
    """Page, left, right, height and pen width of every unbroken level line, from the operators. [mm]"""
    reader = pypdf.PdfReader(io.BytesIO(data))
    found = []
    for number, page in enumerate(reader.pages):
        scale, width, dashed, here = 1 / POINT, 0.0, False, (0.0, 0.0)
        content = page.get_contents()
        assert content is not None
        for operands, operator in pypdf.generic.ContentStream(content, reader).operations:
            if operator == b"cm":
                a, b, c, d, e, f = (float(v) for v in operands)
                assert (b, c, e, f) == (0, 0, 0, 0)
                assert a == d
                scale *= a
            elif operator == b"w":
                width = float(operands[0])
            elif operator == b"d":
                dashed = len(operands[0]) > 0
            elif operator == b"m":
                here = (float(operands[0]), float(operands[1]))
            elif operator == b"l":
                there = (float(operands[0]), float(operands[1]))
                if there[1] == here[1] and not dashed:
                    ends = sorted((here[0] * scale, there[0] * scale))
                    found.append((number, *ends, there[1] * scale, width))
                here = there
    return found


def test_printed_rod_marks_are_true_to_size(building: Model, gable: Model) -> None:
    for model in (building, gable):
        data = pdf_bytes(rod_pages(model), model.title)
        lines = level_lines(data)
        rod_pen = 0.35  # butt lines
        match_pen, match_length = 0.18, 40.0
        # Strips from page to page and left to right; each begins at its lower match line.
        matches = sorted(
            (page, round(left, 2), y)
            for page, left, right, y, width in lines
            if width == match_pen and right - left > match_length
        )
        strips = []
        for _, group in itertools.groupby(matches, key=lambda one: one[:2]):
            heights = [y for _, _, y in group]
            strips.append(min(heights))
            if len(heights) > 1:
                assert max(heights) - min(heights) == pytest.approx(STRIP, abs=PRINTED)
        places = list(dict.fromkeys((page, left) for page, left, _ in matches))
        base = rod_lines(model)[0].height
        printed = sorted(
            base
            + places.index((page, round(left, 2))) * STRIP
            + y
            - strips[places.index((page, round(left, 2)))]
            for page, left, right, y, width in lines
            if width == rod_pen and right - left > match_length
        )
        butts: dict[int, float] = {}
        for part in model.of_kind(Kind.BOARD):
            butts[part.course or 0] = min(butts.get(part.course or 0, 1e9), float(part.vertices[:, 1].min()))
        assert printed == pytest.approx(sorted(butts.values()), abs=PRINTED)
        assert max(abs(a - b) for a, b in zip(printed, sorted(butts.values()), strict=True)) < 0.01


def test_the_rod_names_sills_heads_and_soffits(building: Model) -> None:
    words = [line.words for line in rod_lines(building) if line.course is None]
    assert words == ["sill 900", "head 1800", "head 2000", "soffit 2100", "soffit 2250", "soffit 2400"]


def test_long_tables_flow_and_lose_no_row() -> None:
    rows = tuple((f"{n}", f"A{n:03d}a", "a note that is rather long " * (n % 7)) for n in range(300))
    found = table_pages("Job", "List", [Table(title="All", headings=("no", "mark", "note"), rows=rows)])
    assert len(found) > 3
    words = [t.text for sheet in found for t in texts(sheet.primitives)]
    for n in range(300):
        assert words.count(f"A{n:03d}a") == 1
    assert [fault for sheet in found for fault in faults(sheet)] == []


def test_a_row_is_not_parted_between_pages() -> None:
    rows = tuple((f"A{n:02d}", "word " * 60) for n in range(40))
    table = set_table(Table(title="", headings=("mark", "words"), rows=rows), 100.0)
    _, following = draw_table(table, Room(left=0.0, bottom=0.0, right=100.0, top=103.0))
    assert 0 < following < len(table.lines)
    assert table.starts[following]


def test_columns_of_words_give_way_before_figures() -> None:
    table = set_table(
        Table(title="", headings=("length", "words"), rows=(("1234.5", "many words " * 20),)), 60.0
    )
    (_, first), (left, right) = table.edges
    assert table.right == (True, False)
    assert right <= 60.0 + 1e-6
    assert first < left


def test_cut_diagrams_show_every_piece_and_every_millimetre() -> None:
    found = cut_diagram_pages(PLAN, "Job")
    assert [fault for sheet in found for fault in faults(sheet)] == []
    words = " ".join(t.text for sheet in found for t in texts(sheet.primitives))
    for stock in PLAN.boards:
        assert f"board {stock.number}: " + ", ".join(p.mark for p in stock.pieces) in words
    assert "2 x 4800" in words  # boards 1 and 2 are sawn alike
    assert "Running each offcut into the next course takes 31 boards: 2 more." in words
    assert "412.50" in words
    first = found[0]
    bars: dict[float, list[tuple[float, float]]] = {}
    for p in first.primitives:
        if isinstance(p, Fill) and max(y for _, y in p.outline) - min(
            y for _, y in p.outline
        ) == pytest.approx(7):
            low = min(y for _, y in p.outline)
            bars.setdefault(round(low, 3), []).append(
                (min(x for x, _ in p.outline), max(x for x, _ in p.outline))
            )
    assert len(bars) >= 3
    for low, blocks in bars.items():
        blocks.sort()
        for (_, end), (start, _) in itertools.pairwise(blocks):
            assert start == pytest.approx(end, abs=1e-9), low  # no gap, no overlap
    lengths = sorted(blocks[-1][1] - blocks[0][0] for blocks in bars.values())
    assert lengths[0] / lengths[-1] == pytest.approx(3600 / 4800)


def test_checks_are_listed_worst_first(every: tuple[Sheet, ...], findings: tuple[Finding, ...]) -> None:
    words = [
        t.text for sheet in every if "checks and cautions" in sheet.title for t in texts(sheet.primitives)
    ]
    for check in {finding.check for finding in findings}:
        assert check.replace("_", " ") in words
    order = [word for word in words if word in ("fail", "caution", "ok")]
    rank = {"fail": 0, "caution": 1, "ok": 2}
    assert [rank[word] for word in order] == sorted(rank[word] for word in order)
