"""Lint, types, import contracts and all tests, in this order; stops with the first that fails."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
HERE = Path(sys.executable).parent
STEPS: tuple[tuple[str, ...], ...] = (
    (sys.executable, "-m", "ruff", "check", "."),
    (sys.executable, "-m", "ruff", "format", "--check", "."),
    (sys.executable, "-m", "mypy"),
    (str(HERE / "lint-imports"), "--no-logo"),
)
# A worker that dies ends the run: its replacement may wait for ever for the lost tests.
TESTS = (
    *(sys.executable, "-m", "pytest", "-q", "-n", "2"),
    *("--dist", "loadfile", "--max-worker-restart=0"),
)
DIED = "FARMDESK_WORKER_DIED"
"""Names the file that the tests make when a worker process died (see conftest.py)."""


MEMORY = Path("/dev/shm")
ENOUGH_BYTES = 4 << 30


def main() -> int:
    """Run every step; the exit status of the first that fails."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    if MEMORY.is_dir() and shutil.disk_usage(MEMORY).free > ENOUGH_BYTES:
        # The farms of tests are thrown away: nothing need wait for a disk.
        os.environ.setdefault("TMPDIR", str(MEMORY))
    for step in STEPS:
        status = run(step)
        if status:
            return status
    return run_tests()


def run_tests() -> int:
    """All tests; once more, and said aloud, when a worker process died in the middle of them."""
    with tempfile.TemporaryDirectory() as folder:
        died = Path(folder) / "died"
        os.environ[DIED] = str(died)
        status = run(TESTS)
        if status and died.exists():
            print(f"A WORKER DIED ({died.read_text().strip()}). All tests are run once more.")
            status = run(TESTS)
    return status


def run(step: tuple[str, ...]) -> int:
    """One step; its exit status."""
    print("+", *[Path(part).name if os.sep in part else part for part in step], flush=True)
    return subprocess.run(step, cwd=ROOT, check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
