"""Files of this computer's settings, written whole or not at all."""

from __future__ import annotations

import contextlib
import json
import os
import uuid
from collections.abc import Mapping
from pathlib import Path

from farmdesk.errors import NotWritten, problem


def read_object(path: Path, *, largest: int) -> dict[str, object]:
    """A JSON object; raises OSError, ValueError or RecursionError for a file that is none."""
    if path.stat().st_size > largest:
        raise ValueError("too long for settings")
    found = json.loads(path.read_text(encoding="utf-8-sig"))
    if not isinstance(found, dict):
        raise ValueError("not an object")
    return found


def write_object(path: Path, value: Mapping[str, object]) -> None:
    """Write a JSON object whole or not at all; raises NotWritten."""
    try:
        put_in_place(path, json.dumps(value, indent=1) + "\n")
    except OSError as trouble:
        reason = trouble.strerror or str(trouble)
        raise NotWritten(problem("file_not_written", path=str(path), reason=reason)) from trouble


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
