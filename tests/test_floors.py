"""The house as DEVELOPERS.md describes it: rooms, sizes, and habits that a grep can hold."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "farmdesk"
LONGEST = 400


def sources() -> list[Path]:
    return [path for path in PACKAGE.rglob("*.py") if "_data" not in path.parts]


def test_every_room_is_on_the_map_and_nothing_else() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    told = set(re.findall(r"^\| [^|]+ \| `(\w+)/?`", text, flags=re.MULTILINE))
    rooms = {
        path.stem if path.is_file() else path.name
        for path in PACKAGE.iterdir()
        if (path.is_dir() and path.name not in ("__pycache__", "_data")) or path.suffix == ".py"
    }
    assert told == rooms - {"__init__"}


def test_no_file_is_too_long_to_read() -> None:
    long = {
        str(path.relative_to(ROOT)): lines
        for path in sources()
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > LONGEST
    }
    assert not long


def test_package_files_hold_a_docstring_only() -> None:
    for path in PACKAGE.rglob("__init__.py"):
        text = path.read_text(encoding="utf-8").strip()
        assert text.startswith('"""'), path
        assert text.count('"""') == 2, path
        assert text.endswith('"""'), path


def test_nothing_is_left_unfinished() -> None:
    marks = re.compile(r"\b(TODO|FIXME|XXX)\b|NotImplementedError|pragma: no cover")
    found = [str(path) for path in sources() if marks.search(path.read_text(encoding="utf-8"))]
    assert not found


def test_tests_wait_for_facts_not_for_time() -> None:
    fixed = re.compile(r"\bsleep\(|qtbot\.wait\(")
    found = [
        str(path)
        for path in (ROOT / "tests").rglob("*.py")
        if path != Path(__file__) and fixed.search(path.read_text(encoding="utf-8"))
    ]
    assert not found


def test_the_top_level_is_fixed() -> None:
    known = {"README.md", "DEVELOPERS.md", "pyproject.toml", "farmdesk", "resources", "tests"}
    top = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert known | {"demo_db"} <= top | {"demo_db"}
    strange = top - known - {"demo_db", "build", "dist"}
    assert not {name for name in strange if not name.endswith(".egg-info")}
