"""A kill at any moment leaves the last sheet whole, by the system's own signal."""

import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
LENGTH = 3_000_000

# Writes pages of one letter, over and over; says so when the first one is there.
WRITER = f"""
import sys
from pathlib import Path
from calclib.sheet.page import write
path = Path(sys.argv[1])
for turn in range(100_000):
    write("ab"[turn % 2] * {LENGTH}, path)
    if turn == 0:
        print("written", flush=True)
"""

# Dies by itself as it calls one of the functions that a write goes through.
DIES_AT = """
import os, signal, sys, tempfile
from pathlib import Path
from calclib.sheet.page import write

def die(*_, **__):
    os.kill(os.getpid(), signal.SIGKILL)

where, name = sys.argv[2].rsplit(".", 1)
setattr({"os": os, "tempfile": tempfile, "Path": Path}[where], name, die)
write("b" * 3_000_000, Path(sys.argv[1]))
"""


@pytest.fixture
def sheet(tmp_path):
    path = tmp_path / "sheet.html"
    path.write_text("a" * LENGTH, encoding="utf-8")
    return path


def is_whole(path):
    text = path.read_text(encoding="utf-8")
    return len(text) == LENGTH and text in ("a" * LENGTH, "b" * LENGTH)


def test_kills_at_random_moments_never_leave_half_a_sheet(sheet):
    """What a killed run leaves beside the sheet is no sheet that a recheck of the folder takes."""
    dice = random.Random(20261128)
    for _ in range(3):
        with subprocess.Popen(
            [sys.executable, "-c", WRITER, str(sheet)], cwd=ROOT, stdout=subprocess.PIPE
        ) as run:
            assert run.stdout.readline() == b"written\n"
            time.sleep(dice.uniform(0, 0.05))
            run.send_signal(signal.SIGKILL)

        assert run.returncode == -signal.SIGKILL
        assert is_whole(sheet)
        assert list(sheet.parent.glob("*.html")) == [sheet]


@pytest.mark.parametrize(
    "place", ["tempfile.mkstemp", "os.fdopen", "os.fsync", "os.umask", "Path.chmod", "Path.replace"]
)
def test_a_kill_at_any_step_of_a_write_leaves_the_last_sheet(sheet, place):
    done = subprocess.run([sys.executable, "-c", DIES_AT, str(sheet), place], cwd=ROOT)

    assert done.returncode == -signal.SIGKILL
    assert sheet.read_text(encoding="utf-8") == "a" * LENGTH
