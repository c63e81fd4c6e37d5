"""The documents, taken apart: blocks of commands, scenes, Python and shown output, links and headings."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from ..building import ROOT

DOCUMENTS = (
    "README.md",
    "DEVELOPERS.md",
    *sorted(str(path.relative_to(ROOT)) for path in (ROOT / "shared" / "docs").rglob("*.md")),
)

# A fenced block, with what a comment just above it says of it to whoever runs it.
_BLOCK = re.compile(
    r"^(?:<!-- (?P<told>[^\n]*?) -->\n)?```(?P<language>\w*)\n(?P<text>.*?)^```$", re.MULTILINE | re.DOTALL
)
_LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)\)")
_IMAGE = re.compile(r"<img src=\"([^\"]+)\"")
_HEADING = re.compile(r"^#+ (.+)$", re.MULTILINE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One fenced block.

    Attributes
    ----------
    line : int
        Where it begins.
    told : str
        The comment above it; empty without one.
    language, text : str
    """

    line: int
    told: str
    language: str
    text: str


def text_of(name: str) -> str:
    """A document's text."""
    return (ROOT / name).read_text(encoding="utf-8")


def blocks(name: str) -> list[Block]:
    """Every fenced block of a document, in order."""
    return blocks_in(text_of(name))


def blocks_in(text: str) -> list[Block]:
    """Every fenced block of a text, in order."""
    return [
        Block(
            line=text.count("\n", 0, found.start()) + 1,
            told=found["told"] or "",
            language=found["language"],
            text=found["text"],
        )
        for found in _BLOCK.finditer(text)
    ]


def commands(block: Block) -> list[str]:
    """The commands of a block of shell: one a line, without what a line says after a #."""
    joined = block.text.replace("\\\n", " ")
    lines = [re.sub(r"(?:^|\s)#.*", "", line).strip() for line in joined.splitlines()]
    return [part.strip() for line in lines if line for part in line.split(" && ")]


def without_blocks(text: str) -> str:
    """A document's sentences."""
    return _BLOCK.sub("", text)


def links(name: str) -> list[str]:
    """Everything that a document links to or shows."""
    text = without_blocks(text_of(name))
    return _LINK.findall(text) + _IMAGE.findall(text)


def anchors(path: Path) -> set[str]:
    """What a link may point to within a document: its headings, as a reader's browser names them."""
    headings = _HEADING.findall(without_blocks(path.read_text(encoding="utf-8")))
    return {re.sub(r"[^\w\- ]", "", heading).strip().lower().replace(" ", "-") for heading in headings}
