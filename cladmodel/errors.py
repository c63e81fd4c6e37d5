"""Every error that cladmodel raises on purpose: a user reads them, so each says what to do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


class CladmodelError(Exception):
    """Base of all errors raised on purpose; its text is one clear message for a user."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing wrong with a scene.

    Attributes
    ----------
    path : str
        Where in the TOML file, as in ``board.width`` or ``opening[2].head``; empty for the file itself.
    value : object
        What was found there.
    allowed : str
        What would have been accepted.
    remedy : str
        What to do about it.
    """

    path: str
    value: Any
    allowed: str
    remedy: str

    def __str__(self) -> str:
        """One line: path = value: allowed; remedy."""
        if self.value is None:
            return f"{self.path or 'scene'}: {self.allowed}. {self.remedy}"
        shown = repr(self.value)
        if len(shown) > 60:
            shown = shown[:57] + "..."
        return f"{self.path or 'scene'} = {shown}: {self.allowed}. {self.remedy}"


class SceneError(CladmodelError):
    """A scene that cannot be built; carries all of its problems at once.

    Parameters
    ----------
    problems : list of Problem
        At least one.
    """

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = list(problems)
        super().__init__("\n".join(str(problem) for problem in problems))


class SettingOutError(CladmodelError):
    """Numbers from which no wall can be set out; the message names the rule and the remedy."""


class SolidError(CladmodelError):
    """A polygon or thickness from which no closed solid can be made."""


class PictureError(CladmodelError):
    """No picture can be drawn on this machine; the message names what to install."""


class OutputError(CladmodelError):
    """A file or folder cannot be written; the message names it and why."""
