"""No place, dialog or report shows a code that the farm stores: each is put into words."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

WALK = Path(__file__).with_name("made_up_language.py")
LEAST_TEXTS = 40_000
"""So many texts of the demo farm are looked at, at least: fewer, and the walk lost its way."""


def test_codes_are_shown_in_words() -> None:
    """A language is chosen before the desk is loaded, so that it walks in a process of its own."""
    done = subprocess.run(
        [sys.executable, str(WALK)], capture_output=True, text=True, encoding="utf-8", check=False
    )
    assert done.returncode == 0, done.stderr[-2000:]
    *bare, told = done.stdout.strip().splitlines()
    assert [line for line in bare if line] == []
    assert told.endswith("2 of 2 planted codes found")
    assert int(told.split()[0]) > LEAST_TEXTS
