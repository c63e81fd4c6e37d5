"""Files that are no scene at all, or are one written as nobody writes it."""

from __future__ import annotations

import random

from .case import Case
from .signs import TEXTS

GOOD = 'title = "Trial"\n\n[wall]\nlength = 1800\nheight = 2100\n'
MEGABYTE = 1_000_000


def strange_file(rng: random.Random) -> Case:
    """Empty, binary, huge, wrongly encoded, or no file."""
    made = rng.choice(
        (
            lambda: Case("file", b""),
            lambda: Case("file", b"\n" * rng.choice((1, 10_000))),
            lambda: Case("file", b"\xef\xbb\xbf" + GOOD.encode()),
            lambda: Case("file", b"\xef\xbb\xbf" * 2 + GOOD.encode()),
            lambda: Case("file", GOOD.encode(rng.choice(("utf-16", "utf-16-le", "utf-32", "cp037")))),
            lambda: Case("file", GOOD.replace("Trial", "Gerät").encode("latin-1")),
            lambda: Case("file", GOOD.encode() + b"\x00"),
            lambda: Case("file", GOOD.encode().replace(b"i", b"\x00")),
            lambda: Case("file", GOOD.replace("Trial", "x\ud800").encode("utf-8", "surrogatepass")),
            lambda: Case("file", b"\xff\xfe\xfd" * 100),
            lambda: Case("file", b"\xc0\x80" + GOOD.encode()),
            lambda: Case("file", rng.randbytes(rng.choice((10, 1_000, 100_000)))),
            lambda: Case("file", GOOD.replace("\n", "\r\n").encode()),
            lambda: Case("file", GOOD.replace("\n", "\r").encode()),
            lambda: Case("file", GOOD.encode() + b"#" + b"x" * 10 * MEGABYTE),
            lambda: Case("file", (GOOD + "# x\n" * 200_000).encode()),
            lambda: Case("file", ('title = "' + "x" * 900_000 + '"\n').encode()),
            lambda: Case("file", ("x" * 900_000 + " = 1\n").encode()),
            lambda: Case("file", ("a." * 400_000 + "a = 1\n").encode()),
            lambda: Case("file", ("[" * 400_000).encode()),
            lambda: Case("file", ("a = " + "[" * 400_000).encode()),
            lambda: Case("file", ("a = " + "[1," * 100_000 + "]" * 100_000).encode()),
            lambda: Case("file", ("a = " + "{b=" * 100_000).encode()),
            lambda: Case("file", ("a = [" + "1," * 400_000 + "]\n").encode()),
            lambda: Case("file", b"a = " + b"9" * 900_000),
            lambda: Case("file", b"a = 0x" + b"f" * 900_000),
            lambda: Case("file", b"a = 1e" + b"9" * 900_000),
            lambda: Case("file", ('a = "' + "\\u0000" * 100_000 + '"\n').encode()),
            lambda: Case("file", ("".join(f"k{n} = 1\n" for n in range(60_000))).encode()),
            lambda: Case("file", ("".join(f"[t{n}]\n" for n in range(60_000))).encode()),
            lambda: Case("file", ("".join("[[opening]]\n" for n in range(60_000))).encode()),
            lambda: Case("file", b"", place="folder"),
            lambda: Case("file", b"", place="missing"),
            lambda: Case("file", GOOD.encode(), place="unreadable"),
            lambda: Case("file", b"", place="loop"),
            lambda: Case("file", GOOD.encode(), place="link"),
            lambda: Case("file", b"", place="device"),
            lambda: Case("file", rng.choice((GOOD, "title = 3")).encode(), place="odd name"),
        )
    )
    return made()


def strange_keys(rng: random.Random) -> Case:
    """Keys and tables that are long, odd, repeated, dotted or deep."""
    odd = "".join(f"\\U{ord(sign):08x}" for sign in rng.choice(TEXTS))
    long = "k" * rng.choice((100, 10_000, 200_000))
    table = rng.choice(("board", "wall", "studs", "fixings.board_nail", "nothing"))
    made = rng.choice(
        (
            f'"{odd}" = 1\n{GOOD}',
            f'{GOOD}"{odd}" = 1\n',
            f'{GOOD}[board."{odd}"]\nx = 1\n',
            f'{GOOD}["{odd}".a."{odd}"]\n',
            f"{long} = 1\n{GOOD}",
            f"{GOOD}[{table}.{long}]\n",
            f"{GOOD}[{long}]\nx = 1\n",
            f'{GOOD}[{table}]\n"{odd}" = "{odd}"\n',
            f"{GOOD}[{table}]\n[{table}]\n",
            f"{GOOD}[[{table}]]\n[[{table}]]\n",
            f"{GOOD}[wall]\nlength = 3\n",
            f"wall.length = 1800\n{GOOD}",
            f"{GOOD}name = 'a'\nname = 'b'\n",
            "title.x = 1\nwall = 3\n",
            GOOD.replace("length", "length.foot.x"),
            GOOD.replace("length", "LENGTH"),
            GOOD.replace("length", "lеngth"),  # a Cyrillic letter
            GOOD.replace("length", '"length"'),
            GOOD.replace("length", '""'),
            GOOD + "[" + ".".join("a" * rng.choice((8, 9, 500))) + "]\n",
            GOOD + "[board." + ".".join("a" * rng.choice((5, 6, 7, 900))) + "]\n",
            GOOD + "opening = [" + "{ left = 1 }," * rng.choice((1, 41, 2_000)) + "]\n",
            f"[opening]\n{GOOD}",
            f"{GOOD}[[opening.x]]\n",
            f"{GOOD}[[wall]]\n",
            f"[[wall]]\n{GOOD}",
            f"{GOOD}__class__ = 1\n__init__ = {{}}\nmodel_config = 1\nmodel_fields = 2\n",
            f"__class__ = 1\nmodel_fields_set = []\nmodel_dump = 3\n{GOOD}",
        )
    )
    return Case("keys", made.encode("utf-8", "surrogatepass"))
