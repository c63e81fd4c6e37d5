"""Every error that cladmodel raises on purpose: a user reads them, so each says what to do."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from typing import Any

# A refusal is read, not scrolled through: longer texts are cut short, and no more problems than so many told.
LONGEST_VALUE, LONGEST_PATH, LONGEST_WORDS, MOST_TOLD = 60, 90, 400, 40
# Signs that join letters in several scripts; all others of their kind are not seen.
_JOINERS = "\u200c\u200d"


def unseen(sign: str) -> bool:
    r"""Whether a sign is not shown but obeyed: it ends a line, colours a terminal or turns text about.

    Parameters
    ----------
    sign : str
        One sign.

    Examples
    --------
    >>> [unseen(sign) for sign in ("a", "\u00e9", " ", "\n", "\u001b", "\u202e")]
    [False, False, False, True, True, True]
    """
    if sign.isprintable() or sign in _JOINERS:
        return False
    code = ord(sign)
    nothing = 0xFDD0 <= code <= 0xFDEF or code & 0xFFFE == 0xFFFE  # never letters, by the Unicode standard
    return nothing or unicodedata.category(sign) in ("Cc", "Cf", "Cs", "Zl", "Zp")


def readable(text: str, most: int = 10_000) -> str:
    r"""A text that can be printed whatever a stranger wrote: on one line, nothing unseen, and not too long.

    Parameters
    ----------
    text : str
    most : int
        Letters kept.

    Examples
    --------
    >>> readable("red \x1b[31m wall")
    'red \\x1b[31m wall'
    """
    if len(text) > most:
        text = text[: most - 3] + "..."
    if text.isprintable():
        return text
    return "".join(sign.encode("unicode_escape").decode() if unseen(sign) else sign for sign in text)


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
        path = readable(self.path, LONGEST_PATH) or "scene"
        said = f"{readable(self.allowed, LONGEST_WORDS)}. {readable(self.remedy, LONGEST_WORDS)}"
        if self.value is None:
            return f"{path}: {said}"
        return f"{path} = {readable(repr(self.value), LONGEST_VALUE)}: {said}"


class SceneError(CladmodelError):
    """A scene that cannot be built; carries all of its problems at once.

    Parameters
    ----------
    problems : list of Problem
        At least one.
    """

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = list(problems)
        super().__init__("\n".join(self.lines))

    @property
    def lines(self) -> list[str]:
        """One line a problem; of very many the first, and how many more there are."""
        told = [str(problem) for problem in self.problems[:MOST_TOLD]]
        more = len(self.problems) - len(told)
        return [*told, f"and {more} problems more, not told here. Mend these first."] if more else told


class SettingOutError(CladmodelError):
    """Numbers from which no wall can be set out; the message names the rule and the remedy."""


class SolidError(CladmodelError):
    """A polygon or thickness from which no closed solid can be made.

    Parameters
    ----------
    reason : str
    plate : int, optional
        Which of the plates that were lifted together.
    """

    def __init__(self, reason: str, plate: int | None = None) -> None:
        self.reason, self.plate = reason, plate
        super().__init__(reason if plate is None else f"plate {plate}: {reason}")


class PictureError(CladmodelError):
    """No picture can be drawn on this machine; the message names what to install."""


class OutputError(CladmodelError):
    """A file or folder cannot be written; the message names it and why."""
