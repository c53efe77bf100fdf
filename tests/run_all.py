"""Lint, types, import contracts and all tests, in this order; stops with the first that fails."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
HERE = Path(sys.executable).parent
STEPS: tuple[tuple[str, ...], ...] = (
    (sys.executable, "-m", "ruff", "check", "."),
    (sys.executable, "-m", "ruff", "format", "--check", "."),
    (sys.executable, "-m", "mypy"),
    (str(HERE / "lint-imports"), "--no-logo"),
    # A worker that dies ends the run: its replacement may wait for ever for the lost tests.
    (
        *(sys.executable, "-m", "pytest", "-q", "-n", "2"),
        *("--dist", "loadfile", "--max-worker-restart=0"),
    ),
)


def main() -> int:
    """Run every step; the exit status of the first that fails."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    for step in STEPS:
        print("+", *[Path(part).name if os.sep in part else part for part in step], flush=True)
        status = subprocess.run(step, cwd=ROOT, check=False).returncode
        if status:
            return status
    return 0


if __name__ == "__main__":
    sys.exit(main())
