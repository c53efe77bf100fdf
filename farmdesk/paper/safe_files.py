"""A file is written whole or not at all: beside the old one, then put in its place."""

from __future__ import annotations

import contextlib
import os
import uuid
from collections.abc import Iterator
from pathlib import Path

from farmdesk.errors import NotWritten, problem


@contextlib.contextmanager
def write_safely(path: Path) -> Iterator[Path]:
    """Give a new file's path to write to; it takes the place of `path` when the block ends well.

    Any failure leaves the old file as it was and nothing else beside it. Raises NotWritten
    (`file_not_written`: path, reason) when the disk or the folder says no.
    """
    path = Path(path)
    try:
        draft = _open_draft(path)
    except OSError as trouble:
        raise _not_written(path, trouble) from trouble
    try:
        yield draft
        _flush_to_disk(draft)
        os.replace(draft, path)
        _flush_folder(path.parent)
    except OSError as trouble:
        raise _not_written(path, trouble) from trouble
    finally:
        with contextlib.suppress(OSError):
            draft.unlink(missing_ok=True)


def _open_draft(path: Path) -> Path:
    """Make an empty file beside `path`, with the rights any new file gets, or the old one's."""
    if path.is_dir():
        raise IsADirectoryError(f"{path.name} is a folder")
    draft = path.with_name(f".{path.name[:40]}.{uuid.uuid4().hex[:12]}.part")
    draft.open("xb").close()
    if path.exists():
        with contextlib.suppress(OSError):
            draft.chmod(path.stat().st_mode)
    return draft


def _flush_to_disk(draft: Path) -> None:
    with draft.open("rb+") as stream:
        os.fsync(stream.fileno())


def _flush_folder(folder: Path) -> None:
    """Make the new name itself durable where folders can be opened (not on Windows)."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError:
        return  # some network file systems refuse it; the file itself is already safe
    finally:
        os.close(handle)


def _not_written(path: Path, trouble: OSError) -> NotWritten:
    reason = trouble.strerror or str(trouble)
    return NotWritten(problem("file_not_written", path=str(path), reason=reason))
