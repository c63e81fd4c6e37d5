"""What the front end was bundled into, and what to say when it is not there."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from cladmodel.errors import OutputError

FOLDER = Path(__file__).parent / "bundle"
MISSING = (
    "the client's page was left out when cladmodel was installed (CLADMODEL_WITHOUT_PAGE=1): "
    "install cladmodel again without that, with the npm registry in reach."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bundle:
    """Text of the front end: ready for the browser, without anything of a job in it.

    Attributes
    ----------
    shell, style, script : str
        HTML with slots, CSS and JavaScript.
    """

    shell: str
    style: str
    script: str


def load_bundle(folder: Path = FOLDER) -> Bundle:
    """Read the bundle that was made when cladmodel was installed.

    Parameters
    ----------
    folder : Path

    Raises
    ------
    OutputError
        If it is not there; the message says why and what to do, in one line.
    """
    try:
        shell, style, script = (
            (folder / name).read_text(encoding="utf-8") for name in ("shell.html", "page.css", "page.js")
        )
    except FileNotFoundError as error:
        raise OutputError(MISSING) from error
    return Bundle(shell=shell, style=style, script=script)
