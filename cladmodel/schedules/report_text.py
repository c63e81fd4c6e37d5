"""The report for people, as Markdown: the verdict first, then what to do, then the figures."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any

from cladmodel.checks.finding import WEIGHT, Verdict
from cladmodel.schedules.cautions import HEADING, VERDICTS

Json = dict[str, Any]

_SPECIAL = re.compile(r"([\\`*_\[\]#|<>~&])")


def escape(text: str) -> str:
    r"""Write a text so that Markdown shows it as it is, on one line.

    Parameters
    ----------
    text : str

    Examples
    --------
    >>> escape("A|B *big* <i>")
    'A\\|B \\*big\\* \\<i\\>'
    """
    return _SPECIAL.sub(r"\\\1", " ".join(str(text).split()))


def report_markdown(report: Json) -> str:
    """Write a report for people.

    Parameters
    ----------
    report : dict
        From `cladmodel.schedules.report.report`.
    """
    lines = [f"# {escape(report['title'])}", "", f"**{VERDICTS[report['verdict']]}** {report['about']}", ""]
    lines += _problems("What fails", report, "fail")
    lines += _problems("What to watch", report, "caution")
    lines += _problems("Not assessed", report, "not_assessed")
    if report["notes"]:
        lines += ["## Notes from the setting-out", "", *(f"- {escape(note)}" for note in report["notes"]), ""]
    lines += _corners(report)
    if len(report["walls"]) > 1:
        lines += _building_rod(report)
    for wall in report["walls"]:
        lines += _wall(wall)
    lines += _cutting(report)
    lines += _quantities(report)
    lines += _measured(report)
    lines += [f"## {HEADING}", ""]
    lines += [f"- **{escape(one['topic'])}**: {escape(one['text'])}" for one in report["cautions"]]
    lines += [f"- {report['about']}", "", f"{report['tool']['name']} {report['tool']['version']}", ""]
    return "\n".join(lines)


def _cutting(report: Json) -> list[str]:
    """What the cutting plan takes, and what the hand method would have taken."""
    plan = report["cutting"]
    if plan is None:
        return []
    bought = Counter((board["section"], board["stock_mm"]) for board in plan["boards"])
    lines = ["## Boards to buy", "", "Sawing, board by board: sheets.pdf and schedules/sawing.csv.", ""]
    lines += ["| boards | section | stock |", "| --- | --- | --- |"]
    lines += [
        f"| {count} | {escape(section)} | {_mm(length)} |"
        for (section, length), count in sorted(bought.items(), key=lambda item: -item[0][1])
    ]
    lines += ["", escape(plan["proof"])]
    if plan["boards_by_hand"] is not None:
        lines += [f"Running each offcut into the next course would take {plan['boards_by_hand']} boards."]
    return [*lines, ""]


SHOWN = 3
"""Findings of one check written out in full; the rest are listed by mark."""


def _problems(title: str, report: Json, verdict: str) -> list[str]:
    """Findings of one verdict, a check at a time, the furthest from its limit first."""
    found = [finding for finding in report["findings"] if finding["verdict"] == verdict]
    if not found:
        return []
    lines = [f"## {title}", ""]
    for name in dict.fromkeys(finding["check"] for finding in found):
        own = sorted((f for f in found if f["check"] == name), key=_miss, reverse=True)
        once = list({finding["text"]: finding for finding in own}.values())  # what several walls say alike
        lines += [f"- **{escape(name)}**: {escape(finding['text'])}" for finding in once[:SHOWN]]
        if len(once) > SHOWN:
            marks = sorted({finding["mark"] for finding in once[SHOWN:] if finding["mark"]})
            of_which = f": {escape(', '.join(marks))}" if marks else ""
            lines.append(f"- **{escape(name)}**: {len(once) - SHOWN} more{of_which}.")
        remedies = dict.fromkeys(finding["remedy"] for finding in own if finding["remedy"])
        lines += [f"  - What to do: {escape(remedy)}" for remedy in remedies]
    return [*lines, ""]


def _miss(finding: Json) -> float:
    measured, limit = finding["measured"], finding["limit"]
    return 0.0 if measured is None or limit is None else float(abs(measured - limit))


def _corners(report: Json) -> list[str]:
    """Make-up of each post, and how level the courses meet there."""
    lines = [
        "## Corner posts",
        "",
        "A post and its battens go up as one piece. Screws go through the batten's edge, out of sight; "
        "their places are measured from the batten's foot.",
        "",
    ]
    rows, screws = [], []
    for row in report["corners"]:
        post = row["post"]
        size = f"{_mm(post['width_mm'])} x {_mm(post['depth_mm'])}"
        plan = f"{_mm(post['relief_along_mm'])} x {_mm(post['relief_out_mm'])}"
        relief = f"{plan}, {_mm(post['relief_height_mm'])} high"
        rows.append(
            (escape(row["corner"]), row["kind"], escape(post["mark"]), size, _mm(post["length_mm"]), relief)
        )
        for batten in row["battens"]:
            places = ", ".join(f"{place:.0f}" for place in batten["screws_from_foot_mm"])
            section = f"{_mm(batten['thickness_mm'])} x {_mm(batten['width_mm'])}"
            number = len(batten["screws_from_foot_mm"])
            screws.append(
                (escape(post["mark"]), escape(batten["mark"]), section, _mm(batten["length_mm"]),
                 f"{number} of {escape(batten['screw'])}", places)
            )  # fmt: skip
    lines += _table(("corner", "kind", "post", "size", "length", "relieved at the foot"), rows)
    lines += _table(("post", "batten", "size", "length", "screws", "at"), screws)
    return lines


def _building_rod(report: Json) -> list[str]:
    """One rod round all walls, and the difference where two walls meet."""
    lines = ["## Rod round the building", "", "Butt lines above the rod's 0, the highest first.", ""]
    everywhere = len(report["walls"])
    lines += _table(
        ("course", "height", "gauge", "walls"),
        [
            (
                row["course"],
                _mm(row["from_datum_mm"]),
                _mm(row["gauge_mm"]),
                "all" if len(row["walls"]) == everywhere else escape(", ".join(row["walls"])),
            )
            for row in reversed(report["rod"])
        ],
    )
    return lines + _table(
        ("corner", "courses compared", "most difference"),
        [
            (escape(row["corner"]), row["courses_compared"], f"{row['level_difference_mm']:.3f}")
            for row in report["corners"]
            if row["level_difference_mm"] is not None
        ],
    )


def _wall(wall: Json) -> list[str]:
    name = escape(wall["wall"])
    head = f"{_mm(wall['length_mm'])} long at the foot, {_mm(wall['foot_to_soffit_mm'])} from foot to soffit"
    lines = [f"## Wall {name}", "", f"{head}. Millimetres throughout.", ""]
    lines += _section(wall["section"])
    lines += ["### Rod", "", "Butt lines, the highest first, read off the boards.", ""]
    lines += _table(
        ("course", "above the foot", "below the soffit", "gauge"),
        [
            (row["course"], _mm(row["from_foot_mm"]), _mm(row["from_head_mm"]), _mm(row["gauge_mm"]))
            for row in reversed(wall["rod"])
        ],
    )
    lines += [
        "### Cut list",
        "",
        "Equal pieces together, the longest first. Notches are in report.json, piece by piece.",
        "",
    ]
    lines += _table(
        ("pieces", "length", "width", "section", "", "marks"),
        [
            (
                row["count"],
                _mm(row["length_mm"]),
                _mm(row["width_mm"]),
                escape(row["section"]),
                _how_cut(row),
                escape(", ".join(row["marks"])),
            )
            for row in wall["cut_groups"]
        ],
    )
    return lines


def _how_cut(row: Json) -> str:
    words = ["notched"] if row["notched"] else []
    return ", ".join([*words, *([] if row["ends"] == "square" else [row["ends"]])])


def _section(section: Json) -> list[str]:
    """The few figures a carpenter asks for first, each as a range over the courses."""
    courses = section["courses"]
    rows = [
        ("gauge", _range(c["gauge_mm"] for c in courses)),
        ("lap along the board", _range(c["lap_mm"] for c in courses)),
        ("plumb lap", _range(c["plumb_lap_mm"] for c in courses)),
        ("tilt, degrees", _range((c["tilt_deg"] for c in courses), places=2)),
        ("kick-out", _range(c["kick_out_mm"] for c in courses)),
        ("nail above the board below", _range(n["above_board_below_mm"] for n in section["nails"])),
        ("nail in the batten", _range(n["in_batten_mm"] for n in section["nails"])),
        ("cavity, clear", _mm(section["cavity_mm"])),
        ("air gap at the cover fillet", _mm(section["fillet_air_gap_mm"])),
        ("ground clearance", _mm(section["ground_clearance_mm"])),
    ]
    lines = ["### Section", "", f"Cut at {_mm(section['cut_at_mm'])} from the left corner.", ""]
    return lines + _table(("measured", "least to most"), [row for row in rows if row[1]])


def _quantities(report: Json) -> list[str]:
    lines = ["## Quantities", "", "As built, without waste.", ""]
    lines += _table(
        ("what", "section", "pieces", "metres", "square metres"),
        [
            (
                escape(q["kind"]),
                escape(q["section"]),
                q["count"],
                "" if q["total_length_mm"] is None else f"{q['total_length_mm'] / 1000:.2f}",
                "" if q["total_area_m2"] is None else f"{q['total_area_m2']:.2f}",
            )
            for q in report["quantities"]
        ],
    )
    lines += _table(
        ("fixing", "material", "use", "number"),
        [
            (escape(f["fastener"]), escape(f["material"]), escape(f["use"]), f["count"])
            for f in report["fixings"]
        ],
    )
    area = report["areas"]
    return [*lines, f"Clad area {area['clad_m2']:.2f} square metres; boards {area['boards_m2']:.2f}.", ""]


def _measured(report: Json) -> list[str]:
    """Each check's worst figure, its limit and where the limit comes from."""
    lines = ["## How it was measured", "", "On the finished solids, never on the input.", ""]
    worst: dict[str, Json] = {}
    for finding in report["findings"]:
        held = worst.get(finding["check"])
        if held is None or WEIGHT[Verdict(finding["verdict"])] > WEIGHT[Verdict(held["verdict"])]:
            worst[finding["check"]] = finding
    rows = [
        (
            escape(name),
            finding["verdict"].replace("_", " "),
            _number(finding["measured"]),
            _number(finding["limit"]),
            escape(finding["unit"]),
            escape(finding["basis"]),
        )
        for name, finding in worst.items()
    ]
    return lines + _table(("check", "verdict", "measured", "limit", "unit", "basis of the limit"), rows)


def _table(headings: Sequence[str], rows: Iterable[Sequence[object]]) -> list[str]:
    body = ["| " + " | ".join(str(cell) for cell in row) + " |" for row in rows]
    if not body:
        return []
    return ["| " + " | ".join(headings) + " |", "|" + " --- |" * len(headings), *body, ""]


def _mm(value: float | None) -> str:
    return "" if value is None else f"{value:.1f}"


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.6g}"


def _range(values: Iterable[float | None], places: int = 1) -> str:
    known = [value for value in values if value is not None]
    if not known:
        return ""
    low, high = f"{min(known):.{places}f}", f"{max(known):.{places}f}"
    return low if low == high else f"{low} to {high}"
