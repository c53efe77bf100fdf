"""Files of this computer's settings, written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import uuid
from pathlib import Path


def put_in_place(path: Path, text: str) -> None:
    """Write a draft beside the file, then put it in its place; raises OSError."""
    path.parent.mkdir(parents=True, exist_ok=True)
    draft = path.with_name(f".{path.name}.{uuid.uuid4().hex[:12]}.part")
    try:
        with draft.open("x", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(draft, path)
    finally:
        with contextlib.suppress(OSError):
            draft.unlink(missing_ok=True)
