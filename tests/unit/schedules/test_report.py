"""report.json and report.md: complete, JSON-safe, documented, escaped."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from cladmodel.build import rules_of
from cladmodel.checks.finding import Finding, Verdict
from cladmodel.checks.run import run_checks
from cladmodel.model import Kind, Model
from cladmodel.scene.job import Scene
from cladmodel.schedules.cautions import CAUTIONS
from cladmodel.schedules.report import report, report_markdown
from cladmodel.schedules.report_text import escape

DOCS = Path(__file__).parents[3] / "shared" / "docs" / "report.md"
UNITS = ("_mm", "_deg", "_m2", "_m3", "_kg")

NASTY = Finding(
    check="lap",
    verdict=Verdict.FAIL,
    wall="north",
    mark="A|1",
    other=None,
    where=(1.0, 2.0, np.float64(3)),
    measured=np.float64("nan"),
    limit=25.0,
    unit="mm",
    basis="a | b",
    remedy="*saw* it\nagain",
    text="Board A|1 <laps> too_little.",
)


@pytest.fixture(scope="module")
def table(model: Model, scene: Scene) -> dict[str, Any]:
    rules = rules_of(scene)
    return report(model, run_checks(model, rules), rules)


def keys(value: object) -> set[str]:
    if isinstance(value, dict):
        return set(value) | {key for item in value.values() for key in keys(item)}
    if isinstance(value, list):
        return {key for item in value for key in keys(item)}
    return set()


def test_json_round_trips(table: dict[str, Any]) -> None:
    text = json.dumps(table, allow_nan=False, ensure_ascii=False)
    assert json.loads(text) == table
    assert table["format"] == 1


def test_it_is_the_same_each_time(model: Model, scene: Scene, table: dict[str, Any]) -> None:
    rules = rules_of(scene)
    assert json.dumps(report(model, run_checks(model, rules), rules)) == json.dumps(table)


def test_every_key_is_documented(table: dict[str, Any]) -> None:
    words = set(re.findall(r"`([a-z0-9_]+)`", DOCS.read_text(encoding="utf-8")))
    plain = {key: value for key, value in table.items() if key != "limits"}
    assert (keys(plain) | set(table)) - words == set()
    assert set(table["limits"]) - words == set()
    assert {"value", "unit", "basis"} <= words


def test_figures_carry_their_unit(table: dict[str, Any]) -> None:
    plain = {
        "format",
        "count",
        "found",
        "course",
        "courses_compared",
        "worst_course",
        "measured",
        "limit",
        "value",
        "ok",
        "caution",
        "fail",
        "not_assessed",
        "needed",
        "buy",
        "spare",
        "cost",
        "boards_bought",
        "boards_by_hand",
        "boards",
        "joints",
        "number",
    }

    def walk(value: object, key: str) -> None:
        if isinstance(value, dict):
            for inner, item in value.items():
                walk(item, inner)
        elif isinstance(value, list):
            for item in value:
                walk(item, key)
        elif isinstance(value, float | int) and not isinstance(value, bool):
            assert key.endswith(UNITS) or key in plain, key

    walk(table, "")


def test_walls_hold_the_rod_the_section_and_the_cut_list(model: Model, table: dict[str, Any]) -> None:
    (wall,) = table["walls"]
    assert [row["from_foot_mm"] for row in wall["rod"]] == pytest.approx(
        model.walls[0].rod[:-1].tolist(), abs=1e-5
    )
    assert len(wall["cut_list"]) == len(model.of_kind(Kind.BOARD))
    courses = wall["section"]["courses"]
    assert [c["course"] for c in courses] == [row["course"] for row in wall["rod"]]
    assert all(c["lap_mm"] > 0 for c in courses[:-1])
    assert courses[-1]["lap_mm"] is None
    assert math.isclose(wall["section"]["ground_clearance_mm"], 170.0, abs_tol=1e-6)
    assert [one["topic"] for one in table["cautions"]] == [topic for topic, _ in CAUTIONS]


def test_not_a_number_becomes_null(model: Model, scene: Scene) -> None:
    table = report(model, [NASTY], rules_of(scene))
    (finding,) = table["findings"]
    assert finding["measured"] is None
    assert finding["where_mm"] == [1.0, 2.0, 3.0]
    assert table["verdict"] == "fail"
    assert table["counts"] == {"ok": 0, "caution": 0, "fail": 1, "not_assessed": 0}
    assert table["checks"] == [{"check": "lap", "verdict": "fail", "found": 1}]


def test_markdown_says_the_verdict_first_and_what_fails_next(model: Model, scene: Scene) -> None:
    caution = replace(NASTY, verdict=Verdict.CAUTION, text="Watch this.")
    text = report_markdown(report(model, [caution, NASTY], rules_of(scene)))
    lines = text.splitlines()
    assert lines[2].startswith("**Not to be built like this")
    assert text.index("## What fails") < text.index("## What to watch") < text.index("### Rod")
    assert "Board A\\|1 \\<laps\\> too\\_little." in text
    assert "\\*saw\\* it again" in text
    assert lines[0] == "# Shed \\| \\*north\\* \\<b\\>"


def test_a_buildings_report_has_its_rod_and_posts(building: Model, scene: Scene) -> None:
    table = report(building, [], rules_of(scene))
    assert [row["corner"] for row in table["corners"]][:2] == ["south / east", "east / porch"]
    assert all(row["level_difference_mm"] < 0.01 for row in table["corners"])
    assert table["rod"][0]["walls"] == ["south", "west"]
    text = report_markdown(table)
    assert "## Rod round the building" in text
    assert text.index("## Corner posts") < text.index("## Wall south")
    assert len(re.findall(r"8 of screw 5 x 80|6 of screw 5 x 80|7 of screw 5 x 80", text)) == 12


def test_ends_out_of_square_are_not_called_notched(table: dict[str, Any]) -> None:
    (wall,) = table["walls"]
    leaning = [row for row in wall["cut_list"] if row["end_cuts"]]
    assert leaning
    assert {row["ends"] for row in leaning} == {"end out of square"}
    assert any(not row["notched"] and row["ends"] == "end out of square" for row in wall["cut_groups"])
    assert "| end out of square |" in report_markdown(table)


def test_many_findings_of_one_check_are_gathered(model: Model, scene: Scene) -> None:
    many = [
        replace(NASTY, mark=f"A{n:02}", measured=20.0 - n, text=f"Board A{n:02} is short.") for n in range(6)
    ]
    text = report_markdown(report(model, many, rules_of(scene)))
    fails = text[text.index("## What fails") :].splitlines()[2:8]
    assert [line for line in fails if "short" in line] == [
        f"- **lap**: Board A0{n} is short." for n in (5, 4, 3)
    ]
    assert "- **lap**: 3 more: A00, A01, A02." in fails
    assert fails.count("  - What to do: \\*saw\\* it again") == 1


def test_what_several_walls_say_alike_is_said_once(model: Model, scene: Scene) -> None:
    alike = [replace(NASTY, mark=None, text=f"Climate {n % 5} is not known.") for n in range(20)]
    fails = report_markdown(report(model, alike, rules_of(scene))).split("## What fails")[1].splitlines()[2:7]
    assert fails[:3] == [f"- **lap**: Climate {n} is not known." for n in range(3)]
    assert fails[3] == "- **lap**: 2 more."


def test_every_kind_has_a_name_on_drawings() -> None:
    from cladmodel.drawings.section_parts import NAMES

    assert {kind for kind in Kind if kind not in (Kind.SCENERY, Kind.POST)} <= set(NAMES)


def test_a_sound_wall_lists_no_problem(table: dict[str, Any]) -> None:
    text = report_markdown(table)
    assert ("## What fails" in text) == (table["counts"]["fail"] > 0)
    for heading in (
        "## Wall north",
        "### Rod",
        "### Cut list",
        "## Quantities",
        "## How it was measured",
        "## Before you build",
    ):
        assert heading in text


def test_every_table_row_has_as_many_cells_as_its_heading(
    model: Model, scene: Scene, table: dict[str, Any]
) -> None:
    del table
    lines = report_markdown(report(model, [NASTY], rules_of(scene))).splitlines()
    cells = [len(re.findall(r"(?<!\\)\|", line)) for line in lines]
    for n, line in enumerate(lines):
        if line.startswith("|") and lines[n - 1].startswith("|"):
            assert cells[n] == cells[n - 1], line


@pytest.mark.parametrize("text", ["a|b", "*x*", "_y_", "`z`", "<i>", "[a](b)", "# h", "1 & 2", "a\\b"])
def test_escaped_text_holds_no_live_mark(text: str) -> None:
    escaped = escape(text)
    assert not re.search(r"(?<!\\)[`*_\[\]<>|#&]", escaped.replace("\\\\", ""))
    assert re.sub(r"\\(.)", r"\1", escaped) == text
