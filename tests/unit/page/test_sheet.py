"""The tables say what the report says, and nothing in them is taken for HTML."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from typing import Any

from cladmodel.page.sheet import Marks, facts, sheet
from cladmodel.page.sheet import table as html_table
from cladmodel.page.steps import steps_of

from ...building import Built


class Reader(HTMLParser):
    """Cells of every table, and whether tags close as they opened."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: set[str] = set()
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.open.append(tag)
        self.tags.add(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def read(html: str) -> Reader:
    reader = Reader()
    reader.feed(html)
    reader.close()
    assert reader.open == []
    return reader


def test_all_of_the_report_is_there(wall: Built, table: dict[str, Any]):
    html = sheet(table, steps_of(wall.model), {})
    text = " ".join(read(html).words)
    for piece in table["walls"][0]["cut_list"]:
        assert piece["mark"] in text
    for finding in table["findings"]:
        assert finding["text"] in text
        assert finding["basis"] in text
    for caution in table["cautions"]:
        assert caution["text"] in text
    for row in table["walls"][0]["rod"]:
        assert f"{row['from_foot_mm']:.1f}" in text
    assert re.search(r"Boards, course 1 to \d+, from the foot up", text)
    numbers = [int(n) for n in re.findall(r'data-finding="(\d+)"', html)]
    assert sorted(numbers) == list(range(len(table["findings"])))


def test_hostile_words_stay_words(wall: Built, table: dict[str, Any]):
    evil = "<img src=x onerror=alert(1)>\"'&"
    spoiled = {
        **table,
        "notes": [evil],
        "findings": [
            {**f, **dict.fromkeys(("text", "basis", "remedy", "check"), evil)} for f in table["findings"]
        ],
        "cautions": [{"topic": evil, "text": evil}],
        "walls": [{**w, "wall": evil} for w in table["walls"]],
        "quantities": [{**q, "kind": evil, "section": evil} for q in table["quantities"]],
    }
    reader = read(sheet(spoiled, steps_of(wall.model), {}) + facts(spoiled))
    assert "img" not in reader.tags
    assert "script" not in reader.tags
    assert sum(evil in words for words in reader.words) >= len(table["findings"])


def test_marks_carry_what_the_script_looks_up():
    html = html_table("c", ("a", "b"), [("1", Marks(['x"><b>', "A01a"]))])
    assert 'data-mark="A01a"' in html
    assert "<b>" not in html
    assert html.count('scope="col"') == 2
    assert html.count('scope="row"') == 1
