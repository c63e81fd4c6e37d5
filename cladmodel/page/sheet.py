"""The page's figures as plain HTML, which stands without JavaScript and prints.

Every text may come from a stranger's scene, so that all of it is escaped here and nowhere else.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape
from typing import Any

from cladmodel.page.steps import Steps
from cladmodel.page.stock import StockPlace
from cladmodel.schedules.cautions import HEADING, VERDICTS

Json = dict[str, Any]

HEADINGS = {
    "fail": "What fails",
    "caution": "What to watch",
    "not_assessed": "Not assessed",
    "ok": "What is sound",
}


def facts(report: Json) -> str:
    """Sizes and verdict in a few lines.

    Parameters
    ----------
    report : dict
        From `cladmodel.schedules.report.report`.
    """
    walls = report["walls"]
    boards = sum(q["count"] for q in report["quantities"] if q["kind"] == "board")
    rows = [
        ("Clad area", f"{report['areas']['clad_m2']:.1f} m2"),
        (
            "Walls",
            ", ".join(f"{w['wall']} {_mm(w['length_mm'])} x {_mm(w['foot_to_soffit_mm'])}" for w in walls),
        ),
        ("Courses", str(len(report["rod"]))),
        ("Pieces of board", str(boards)),
    ]
    words = "".join(f"<div><dt>{escape(k)}</dt><dd>{escape(v)}</dd></div>" for k, v in rows)
    verdict = report["verdict"]
    return (
        f'<p class="verdict" data-verdict="{escape(verdict)}">{escape(VERDICTS[verdict])} '
        f"{escape(report['about'])}</p><dl class=facts>{words}</dl>"
    )


def sheet(report: Json, steps: Steps, places: Mapping[str, StockPlace]) -> str:
    """Everything below the picture.

    Parameters
    ----------
    report : dict
        From `cladmodel.schedules.report.report`.
    steps : Steps
        The building-up order.
    places : mapping of str to StockPlace
        By mark; empty if the stock is not known.
    """
    sections = [
        _section("checks", "Checks", _checks(report)),
        _section("rod", "Rod", _rod(report)),
        _section("cut-list", "Cut list", "".join(_cut_list(wall) for wall in report["walls"])),
        _section("stock", "Stock boards and what comes out of each", _stock(places)) if places else "",
        _section("order", "What is in the walls", _quantities(report)),
        _section("building-up", "Order of building up", _steps(steps)),
        _section("notes", "Notes from the setting-out", _list(report["notes"])) if report["notes"] else "",
        _section("cautions", HEADING, _cautions(report)),
    ]
    return "".join(sections)


def _section(name: str, title: str, inner: str) -> str:
    head = f'<h2 id="{name}-h">{escape(title)}</h2>'
    return f'<section id="{name}" aria-labelledby="{name}-h">{head}{inner}</section>'


def _list(texts: Iterable[str]) -> str:
    return "<ul>" + "".join(f"<li>{escape(text)}</li>" for text in texts) + "</ul>"


def _steps(steps: Steps) -> str:
    """The order of building up, all courses in one line."""
    courses = [course for course in steps.courses if course]
    lines = []
    for title, course in zip(steps.titles, steps.courses, strict=True):
        if not course:
            lines.append(title)
        elif course == courses[0]:
            lines.append(f"Boards, course {courses[0]} to {courses[-1]}, from the foot up")
    return "<ol class=steps>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + "</ol>"


def _cautions(report: Json) -> str:
    lines = "".join(
        f"<li><b>{escape(one['topic'])}</b>: {escape(one['text'])}</li>" for one in report["cautions"]
    )
    return (
        f"<ul>{lines}<li>{escape(report['about'])}</li>"
        "<li>Screen colours are illustrative: settle the finish on a sample.</li></ul>"
    )


def _checks(report: Json) -> str:
    """Findings, the worst first; each keeps its place in the report as its number."""
    out = []
    for verdict, heading in HEADINGS.items():
        found = [(i, f) for i, f in enumerate(report["findings"]) if f["verdict"] == verdict]
        if not found:
            continue
        lines = "".join(
            f'<li data-finding="{number}"><b>{escape(f["check"])}</b> '
            f"<span>{escape(' '.join(filter(None, (f['text'], f['remedy']))))}</span>"
            f" <small>{escape(f['basis'])}</small></li>"
            for number, f in found
        )
        inner = f'<ul class="findings" data-verdict="{verdict}">{lines}</ul>'
        title = f"{heading} ({len(found)})"
        # What is sound is long and of little use to a client: folded, and open to whoever asks.
        out.append(
            f"<details><summary>{escape(title)}</summary>{inner}</details>"
            if verdict == "ok"
            else f"<h3>{escape(title)}</h3>{inner}"
        )
    return "".join(out)


def _rod(report: Json) -> str:
    if len(report["walls"]) == 1:
        rows = [
            (str(r["course"]), _mm(r["from_foot_mm"], 1), _mm(r["from_head_mm"], 1), _mm(r["gauge_mm"], 1))
            for r in report["walls"][0]["rod"]
        ]
        heads = ("Course", "Above the foot", "Below the soffit", "Gauge")
        return table("Butt lines from the foot up [mm]", heads, rows)
    rows = [
        (
            str(r["course"]),
            _mm(r["from_datum_mm"], 1),
            _mm(r["gauge_mm"], 1),
            "all" if len(r["walls"]) == len(report["walls"]) else ", ".join(r["walls"]),
        )
        for r in report["rod"]
    ]
    return table(
        "One rod round all walls: butt lines above its 0 [mm]",
        ("Course", "Butt line", "Gauge", "Walls"),
        rows,
    )


def _cut_list(wall: Json) -> str:
    rows = [
        (
            _mm(g["length_mm"]),
            str(g["count"]),
            _mm(g["width_mm"]),
            g["ends"] + (", notched" if g["notched"] else ""),
            g["section"],
            Marks(g["marks"]),
        )
        for g in wall["cut_groups"]
    ]
    return table(
        f"{wall['wall']}: boards of equal length together, cut against one stop [mm]",
        ("Length", "Count", "Width", "Ends", "Section", "Marks"),
        rows,
    )


def _stock(places: Mapping[str, StockPlace]) -> str:
    boards: dict[tuple[str, int, int], list[tuple[int, str]]] = {}
    for mark, place in places.items():
        boards.setdefault((place.section, place.board, place.length), []).append((place.turn, mark))
    rows = [
        (str(number), str(length), section, Marks([mark for _, mark in sorted(held)]))
        for (section, number, length), held in sorted(boards.items())
    ]
    return table(
        "Sawn in this order, spare boards not counted [mm]", ("Board", "Length", "Section", "Pieces"), rows
    )


def _quantities(report: Json) -> str:
    rows = [
        (
            q["kind"],
            q["section"],
            str(q["count"]),
            "" if q["total_length_mm"] is None else f"{q['total_length_mm'] / 1000:.1f} m",
            "" if q["total_area_m2"] is None else f"{q['total_area_m2']:.1f} m2",
        )
        for q in report["quantities"]
    ]
    fixings = [(f["fastener"], f["material"], f["use"], str(f["count"])) for f in report["fixings"]]
    return table(
        "Pieces; nothing is added for waste", ("Piece", "Section", "Count", "Length", "Area"), rows
    ) + table("Nails and screws", ("Size", "Material", "Holds", "Count"), fixings)


class Marks(list[str]):
    """A cell of marks, which the script turns into buttons that show the pieces."""


def table(caption: str, heads: Sequence[str], rows: Sequence[Sequence[str | Marks]]) -> str:
    """Write one table that scrolls sideways on a phone and names its rows and columns to a screen reader.

    Parameters
    ----------
    caption : str
    heads : sequence of str
    rows : sequence of rows
        As many cells each as there are heads; the first one names the row.
    """
    top = "".join(f'<th scope="col">{escape(head)}</th>' for head in heads)
    body = "".join(
        "<tr>"
        + f'<th scope="row">{_cell(row[0])}</th>'
        + "".join(f"<td>{_cell(cell)}</td>" for cell in row[1:])
        + "</tr>"
        for row in rows
    )
    return (
        f'<div class="wide" role="region" tabindex="0" aria-label="{escape(caption)}"><table>'
        f"<caption>{escape(caption)}</caption><thead><tr>{top}</tr></thead><tbody>{body}</tbody></table></div>"
    )


def _cell(cell: str | Marks) -> str:
    if isinstance(cell, Marks):
        return " ".join(f'<span data-mark="{escape(mark)}">{escape(mark)}</span>' for mark in cell)
    return escape(cell)


def _mm(value: float | None, decimals: int = 0) -> str:
    return "" if value is None else f"{value:.{decimals}f}"
