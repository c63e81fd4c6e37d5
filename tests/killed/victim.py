"""A run of cladmodel that kills itself at one of its file-system calls, as the power or a person might.

    python tests/killed/victim.py AT PLACE put READY OUT        puts a ready-made set into OUT
    python tests/killed/victim.py AT PLACE command WORDS...     any command of cladmodel

Python tells an audit hook of every call just before it is made. Calls on what lies in the folder PLACE are
counted, and the exchange of two folders too; at the one numbered AT the process kills itself as
``kill -9`` does, so nothing of it runs any more. With 0 it lives, and prints its calls, one a line after
``call:``.
"""

from __future__ import annotations

import os
import shutil
import signal
import sys

CALLS = ("open", "os.", "shutil.", "fcntl.")
EXCHANGE = "ctypes.dlsym"


def watch(at: int, place: str) -> list[str]:
    """Count the calls from here on; return the list that they are written to."""
    seen: list[str] = []

    def told(event: str, words: tuple[object, ...]) -> None:
        paths = [os.fsdecode(w) for w in words if isinstance(w, str | bytes | os.PathLike)]
        here = event.startswith(CALLS) and any(path.startswith(place) for path in paths)
        swap = event == EXCHANGE and words[-1] in ("renameat2", "renamex_np")
        if here or swap:
            seen.append(f"{'exchange' if swap else event} {' '.join(p.removeprefix(place) for p in paths)}")
            if len(seen) == at:
                os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(told)
    return seen


def put(ready: str, out: str) -> None:
    """Put a ready-made set into a folder."""
    from pathlib import Path

    from cladmodel.folders.whole import staged

    with staged(Path(out)) as stage:
        shutil.copytree(ready, stage, dirs_exist_ok=True)


def main() -> int:
    """Run as the words say."""
    at, place, what, *words = sys.argv[1:]
    code: int | str | None = 0
    if what == "put":
        import cladmodel.folders.whole  # noqa: F401 - before calls are counted

        seen = watch(int(at), place)
        put(*words)
    else:
        from cladmodel.cli import main as command

        seen = watch(int(at), place)
        sys.argv = ["cladmodel", *words]
        try:
            command()
        except SystemExit as end:
            code = end.code
    for line in list(seen):
        print("call:", line.encode(errors="replace").decode())
    return int(code or 0)


if __name__ == "__main__":
    sys.exit(main())
