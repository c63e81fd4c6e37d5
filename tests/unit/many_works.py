"""What processes of their own do in the tests of many scenes: told by the name of the job."""

from __future__ import annotations

import os
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path

from cladmodel.folders.whole import staged
from cladmodel.many import Ending, Job, Result


def work(job: Job, say: Callable[[str], None]) -> Result:
    """Do as the first word of the job's name says."""
    say("beginning")
    word = job.name.split()[0]
    if word == "killed":
        half_made(job.folder, lambda: os.kill(os.getpid(), signal.SIGKILL))
    if word == "vanished":
        sys.exit(7)
    if word == "sleeps":
        half_made(job.folder, lambda: time.sleep(60))
    if word == "deaf":
        signal.signal(signal.SIGTERM, signal.SIG_IGN)
        half_made(job.folder, lambda: time.sleep(60))
    if word == "memory":
        raise MemoryError
    if word == "slow":
        time.sleep(0.3)
    ending = Ending.FAILS if word == "fails" else Ending.SOUND
    return Result(job=job, ending=ending, counts=(int(word == "fails"), 0, 0, 9))


def half_made(folder: Path | None, then: Callable[[], None]) -> None:
    """Begin a set, say so by a file beside it, and do what is to be done half way."""
    assert folder is not None
    with staged(folder) as stage:
        (stage / "half.txt").write_text("made")
        (folder.parent / f"{folder.name}.begun").write_text("begun")
        then()
