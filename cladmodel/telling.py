"""What a job came to, in lines for a terminal or a file; prints nothing."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from cladmodel.errors import CladmodelError, PictureError, SceneError

if TYPE_CHECKING:
    from cladmodel.checks.finding import Finding, Verdict
    from cladmodel.jobs import Outcome

TRACEBACK = "CLADMODEL_TRACEBACK"
"""Set in the environment, it has Python show where cladmodel itself failed."""


def finding_lines(outcome: Outcome, *, sound_too: bool = False) -> list[str]:
    """What was found, the worst first, and what the carpenter is to know.

    Parameters
    ----------
    outcome : Outcome
    sound_too : bool
        Whether to tell also what is sound.
    """
    from cladmodel.checks.finding import Verdict

    words = _words()
    lines: dict[str, None] = {}  # what several walls say alike is said once
    for verdict, word in words.items():
        if verdict is Verdict.OK and not sound_too:
            continue
        for f in outcome.findings:
            if f.verdict is verdict:
                text = f.text.replace("not assessed: ", "")
                lines[f"{word}: {f.check}: {text} {f.remedy}".rstrip()] = None
    return [*lines, *(f"note: {note}" for note in outcome.model.notes)]


def counts(findings: Iterable[Finding]) -> tuple[int, int, int, int]:
    """How many findings fail, are a caution, could not be assessed, are sound.

    Parameters
    ----------
    findings : iterable of Finding
    """
    found = [f.verdict for f in findings]
    fails, cautions, unknown, sound = (found.count(verdict) for verdict in _words())
    return fails, cautions, unknown, sound


def total(outcome: Outcome) -> str:
    """One line: the job and how many findings there are of each kind.

    Parameters
    ----------
    outcome : Outcome
    """
    parts = zip(counts(outcome.findings), _words().values(), strict=True)
    return f"{outcome.model.title}: {', '.join(f'{count} {word}' for count, word in parts)}"


def problem_lines(error: Exception) -> list[str]:
    """Why a scene cannot be built, one line a problem.

    Parameters
    ----------
    error : Exception
    """
    if isinstance(error, SceneError):
        return [f"cannot be built: {line}" for line in error.lines]
    if isinstance(error, PictureError):
        return [f"not drawn: {error}"]
    if isinstance(error, CladmodelError):
        return [f"cannot be built: {error}"]
    if isinstance(error, MemoryError):
        return ["cannot be built: there is not enough memory. Close other programs, or build fewer at once."]
    return [
        f"cladmodel itself failed ({type(error).__name__}: {error}). Nothing was written. "
        f"Please report it with the scene; {TRACEBACK}=1 shows where."
    ]


def _words() -> dict[Verdict, str]:
    from cladmodel.checks.finding import Verdict

    return {
        Verdict.FAIL: "FAILS",
        Verdict.CAUTION: "caution",
        Verdict.NOT_ASSESSED: "not assessed",
        Verdict.OK: "sound",
    }
