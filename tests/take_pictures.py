"""Takes a picture of every page and dialog of the demo farm: light, dark, and at 200 % text.

Run by hand: `python tests/take_pictures.py FOLDER [light|dark|contrast|200 ...]`.
"""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parent / "desk")]

from demo_window import each_part, lay_out, open_demo  # noqa: E402
from every_dialog import DIALOGS, close_dialog  # noqa: E402
from farm_window import FarmWindow  # noqa: E402
from PySide6.QtWidgets import QApplication  # noqa: E402

from farmdesk.desk.commands import PLACES  # noqa: E402
from farmdesk.desk.theme import Theme  # noqa: E402

LOOKS = {
    "light": Theme("light", 1.0),
    "dark": Theme("dark", 1.0),
    "contrast": Theme("contrast", 1.0),
    "200": Theme("light", 2.0),
}
USUAL = ("light", "dark", "200")


def take_pages(shown: FarmWindow, folder: Path) -> int:
    """A picture of every part of every page."""
    count = 0
    for spec in PLACES:
        page = shown.show(spec.key)
        for part in each_part(page, shown):
            name = "-".join([spec.key, *part.lower().split()])
            lay_out(shown)
            shown.window.grab().save(str(folder / f"{_plain(name)}.png"))
            count += 1
    return count


def take_dialogs(shown: FarmWindow, folder: Path) -> int:
    """A picture of every dialog."""
    for name, open_dialog in DIALOGS.items():
        dialog = open_dialog(shown)
        lay_out(shown)
        dialog.grab().save(str(folder / f"dialog-{_plain(name)}.png"))
        close_dialog(dialog, shown)
    return len(DIALOGS)


def _plain(name: str) -> str:
    return "".join(sign if sign.isalnum() else "-" for sign in name)


def main(words: list[str]) -> int:
    """Take the pictures that the words ask for."""
    if not words or any(one not in LOOKS for one in words[1:]):
        print(__doc__)
        return 2
    app = QApplication.instance() or QApplication([])
    with tempfile.TemporaryDirectory() as built:
        for look in words[1:] or USUAL:
            folder = Path(words[0]) / look
            folder.mkdir(parents=True, exist_ok=True)
            with open_demo(Path(built), LOOKS[look], in_own_units=True) as shown:
                taken = take_pages(shown, folder) + take_dialogs(shown, folder)
            print(f"{taken} pictures in {folder}")
    app.processEvents()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
