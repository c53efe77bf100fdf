"""A file is written whole or not at all."""

import errno
import os
import shutil
import subprocess
from pathlib import Path

import pytest

from farmdesk.errors import NotWritten
from farmdesk.paper.safe_files import write_safely


def write_half(path: Path, trouble: BaseException) -> None:
    with write_safely(path) as draft:
        draft.write_text("half", encoding="utf-8")
        raise trouble


def names(folder: Path) -> list[str]:
    return sorted(one.name for one in folder.iterdir())


def test_a_new_file_is_written_and_nothing_else_is_left(tmp_path: Path) -> None:
    with write_safely(tmp_path / "week.csv") as draft:
        draft.write_text("a,b\n", encoding="utf-8")
        assert not (tmp_path / "week.csv").exists()
    assert names(tmp_path) == ["week.csv"]
    assert (tmp_path / "week.csv").read_text(encoding="utf-8") == "a,b\n"


def test_an_old_file_is_replaced_only_at_the_end(tmp_path: Path) -> None:
    path = tmp_path / "week.csv"
    path.write_text("old", encoding="utf-8")
    with write_safely(path) as draft:
        draft.write_text("new", encoding="utf-8")
        assert path.read_text(encoding="utf-8") == "old"
    assert path.read_text(encoding="utf-8") == "new"


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EACCES, errno.EIO])
def test_a_failing_disk_leaves_the_old_file(tmp_path: Path, code: int) -> None:
    path = tmp_path / "week.csv"
    path.write_text("old", encoding="utf-8")
    with pytest.raises(NotWritten) as caught:
        write_half(path, OSError(code, os.strerror(code)))
    assert path.read_text(encoding="utf-8") == "old"
    assert names(tmp_path) == ["week.csv"]
    (problem,) = caught.value.problems
    assert problem.code == "file_not_written"
    assert problem.facts == {"path": str(path), "reason": os.strerror(code)}


def test_a_disk_that_fails_at_the_last_flush(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", refuse)
    with pytest.raises(NotWritten), write_safely(tmp_path / "week.csv") as draft:
        draft.write_text("whole", encoding="utf-8")
    assert names(tmp_path) == []


def test_our_own_error_passes_unchanged_and_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(ZeroDivisionError):
        write_half(tmp_path / "week.csv", ZeroDivisionError())
    assert names(tmp_path) == []


def test_a_folder_that_is_missing_or_in_the_way(tmp_path: Path) -> None:
    with pytest.raises(NotWritten), write_safely(tmp_path / "none" / "week.csv"):
        pass
    (tmp_path / "week.csv").mkdir()
    with pytest.raises(NotWritten), write_safely(tmp_path / "week.csv"):
        pass
    assert names(tmp_path) == ["week.csv"]


def test_a_disk_that_is_really_full(tmp_path: Path) -> None:
    """A limit on the size of files stands in where no small disk may be mounted."""
    small = tmp_path / "small"
    small.mkdir()
    mounted = shutil.which("mount") is not None and (
        subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(small)],
            capture_output=True,
            check=False,
        ).returncode
        == 0
    )
    target = small / "week.csv" if mounted else Path("/dev/full")
    try:
        if mounted:
            target.write_text("old", encoding="utf-8")
            with pytest.raises(NotWritten) as caught, write_safely(target) as draft:
                draft.write_bytes(b"x" * 1_000_000)
            assert names(small) == ["week.csv"]
            assert target.read_text(encoding="utf-8") == "old"
            assert caught.value.problems[0].facts["reason"] == os.strerror(errno.ENOSPC)
        elif target.exists():
            with (
                pytest.raises(NotWritten),
                write_safely(tmp_path / "week.csv"),
                target.open("wb") as full,
            ):
                full.write(b"x" * 1_000_000)
            assert names(tmp_path) == ["small"]
    finally:
        if mounted:
            subprocess.run(["umount", str(small)], check=True)
