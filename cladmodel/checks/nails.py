"""Board nails: through one board only, clear of the one below, into a batten, and one at every batten."""

from __future__ import annotations

from collections.abc import Iterator

from cladmodel.checks import unheld
from cladmodel.checks.driven import Driven, clears, drive
from cladmodel.checks.finding import Finding, Verdict, conclude, point, worst_each
from cladmodel.checks.leans import off_lean
from cladmodel.checks.rules import COMMON, EXACT, TOUCH, Limit, Rules
from cladmodel.model import Kind, Model, Part, Use

NAME = unheld.NAME

ONE = Limit(
    value=1.0,
    unit="boards",
    basis="one nail, one board: boards must be free to move (RMIT; Illinois local code 8-3-9)",
)
BACK = Limit(value=0.0, unit="mm", basis=f"a point through the batten pierces the membrane, {COMMON}")


def check_nails(model: Model, rules: Rules) -> Iterator[Finding]:
    """Follow every board nail through the solids, and look for battens crossed without one.

    Parameters
    ----------
    model : Model
    rules : Rules
        `nail_clearance`, `nail_penetration`, `nail_edge`, `nail_end`, `nail_seat`.
    """
    leaning = off_lean(model, rules)
    for wall in model.walls:
        boards = model.of_kind(Kind.BOARD, wall=wall.name)
        if not boards:
            continue
        courses: dict[int, list[Part]] = {}
        for board in boards:
            courses.setdefault(board.course or 0, []).append(board)
        nails: list[Driven] = []
        for group in model.fixings_for(Use.BOARD, wall=wall.name):
            look = max(rules.nail_end.value, rules.nail_edge.value * group.fastener.diameter) + unheld.AS_ONE
            nails += drive(model, group, TOUCH, look)
        faults: list[tuple[object, float, Finding]] = []
        clearest: tuple[float, Driven] | None = None
        for nail, below in zip(nails, clears(nails, boards), strict=True):
            over = min((height for height, _ in below), default=None)
            if over is not None and (clearest is None or over < clearest[0]):
                clearest = (over, nail)
            for kind, badness, finding in _faults(nail, over, leaning, rules):
                faults.append(((finding.mark, kind), badness, finding))
                break
        faults += unheld.unheld(model, wall.name, courses, nails, rules)
        yield from conclude(worst_each(faults), _sound(wall.name, nails, clearest, rules))


def _faults(
    nail: Driven, over: float | None, leaning: frozenset[str], rules: Rules
) -> Iterator[tuple[str, float, Finding]]:
    """Everything wrong with one nail, the gravest first."""
    if not nail.boards:
        yield (
            "misses",
            1.0,
            _nail(nail, None, "goes through no board.", 0.0, ONE, "Drive it through a board."),
        )
        return
    board = nail.boards[0].mark
    if len(nail.boards) > 1:
        text = f"goes through board {board} and also through {nail.boards[1].mark} below it."
        yield "two boards", 1.0, _nail(nail, nail.boards[1].mark, text, len(nail.boards), ONE,
                                       "Nail higher, clear of the board underneath.")  # fmt: skip
    elif over is not None and over < rules.nail_clearance.value - EXACT:
        text = f"in board {board} is {over:.1f} mm above the top of the board below."
        yield "clearance", -over, _nail(nail, None, text, over, rules.nail_clearance, "Nail higher.")
    if nail.batten is None:
        yield "no batten", 1.0, _nail(nail, None, f"in board {board} misses the batten.", 0.0,
                                      rules.nail_penetration, "Move it onto the batten.")  # fmt: skip
        return
    batten = nail.batten.mark
    edge = rules.nail_edge.value * nail.fastener.diameter
    if nail.penetration < rules.nail_penetration.value - EXACT:
        text = f"in board {board} goes only {nail.penetration:.1f} mm into batten {batten}."
        yield (
            "penetration",
            -nail.penetration,
            _nail(nail, batten, text, nail.penetration, rules.nail_penetration, "Use a longer nail."),
        )
    if nail.to_edge < edge - EXACT:
        limit = Limit(value=edge, unit="mm", basis=rules.nail_edge.basis)
        text = f"in board {board} is {nail.to_edge:.1f} mm from the side of batten {batten}."
        yield (
            "edge",
            -nail.to_edge,
            _nail(nail, batten, text, nail.to_edge, limit, "Move it to the batten's middle."),
        )
    if nail.to_end < rules.nail_end.value - EXACT:
        text = f"in board {board} is {nail.to_end:.1f} mm from the board's end."
        yield "end", -nail.to_end, _nail(nail, batten, text, nail.to_end, rules.nail_end,
                                         "Move it from the end, or double the batten.")  # fmt: skip
    if board not in leaning and abs(nail.seat) > rules.nail_seat.value + EXACT:
        how = "stands off" if nail.seat > 0 else "is sunk into"
        text = f"has a head that {how} board {board} by {abs(nail.seat):.1f} mm."
        yield (
            "seat",
            abs(nail.seat),
            _nail(nail, None, text, abs(nail.seat), rules.nail_seat, "Drive it to the face."),
        )
    if nail.beyond > TOUCH:
        text = f"in board {board} comes out {nail.beyond:.1f} mm behind batten {batten}."
        remedy = "Use a shorter nail or a thicker batten."
        yield "beyond", nail.beyond, _nail(nail, batten, text, nail.beyond, BACK, remedy, Verdict.CAUTION)


def _nail(
    nail: Driven,
    other: str | None,
    text: str,
    measured: float,
    limit: Limit,
    remedy: str,
    verdict: Verdict = Verdict.FAIL,
) -> Finding:
    return Finding(
        check=NAME,
        verdict=verdict,
        wall=nail.group.wall,
        mark=nail.boards[0].mark if nail.boards else nail.group.mark,
        other=other,
        where=point(*nail.head),
        measured=float(measured),
        limit=limit.value,
        unit=limit.unit,
        basis=limit.basis,
        remedy=remedy,
        text=f"A nail at x {nail.head[0]:.0f}, y {nail.head[1]:.0f} {text}",
    )


def _sound(wall: str, nails: list[Driven], clearest: tuple[float, Driven] | None, rules: Rules) -> Finding:
    if not nails:
        return Finding(check=NAME, verdict=Verdict.NOT_ASSESSED, wall=wall, text="There are no board nails.")
    least = min(n.penetration for n in nails)
    text = f"All {len(nails)} board nails go through one board into a batten, at least {least:.1f} mm deep"
    over, nail = clearest if clearest else (None, nails[0])
    return Finding(
        check=NAME,
        verdict=Verdict.OK,
        wall=wall,
        mark=nail.boards[0].mark,
        where=point(*nail.head),
        measured=over,
        limit=rules.nail_clearance.value if clearest else None,
        unit="mm",
        basis=rules.nail_clearance.basis if clearest else "",
        text=text + (f", and clear the board below by at least {over:.1f} mm." if clearest else "."),
    )
