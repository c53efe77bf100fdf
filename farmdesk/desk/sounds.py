"""Short sounds of scan answers, played beside the work by what the system has; never a trouble.

Windows plays through its own sound call, macOS and Linux through their usual small players. Where
there is none, the system's beep is sounded once or more often. Nothing is played without a screen.
"""

from __future__ import annotations

import contextlib
import queue
import shutil
import subprocess
import sys
import tempfile
import threading
import wave
from array import array
from collections.abc import Callable, Mapping
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QTimer
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from farmdesk.settings.places import resource_path

if sys.platform == "win32":
    import winsound

BEEPS: Mapping[str, int] = {"done": 1, "already": 2, "ask": 3, "refused": 4, "unknown": 5}
"""How often the system beeps for an outcome where sound files cannot be played."""
BEEP_MS = 160
LONGEST_S = 3.0
_PLAYERS: tuple[tuple[str, ...], ...] = (
    ("afplay",),
    ("pw-play",),
    ("paplay",),
    ("aplay", "-q"),
)

Player = Callable[[Path], object]


def find_player() -> Player | None:
    """What plays a WAV file on this computer; None where nothing is found."""
    if sys.platform == "win32":
        return _play_on_windows
    for words in _PLAYERS:
        found = shutil.which(words[0])
        if found is not None:
            return _player_of(found, *words[1:])
    return None


def has_screen() -> bool:
    """Whether people can see the program: without a screen it stays silent."""
    return QGuiApplication.platformName() not in ("offscreen", "minimal", "")


class Sounds:
    """Plays an outcome's sound at a volume of 0 to 100; `play` returns at once, never raises."""

    def __init__(
        self,
        *,
        volume: int = 70,
        is_muted: bool = False,
        player: Player | None = None,
        beep: Callable[[int], object] | None = None,
    ) -> None:
        self.volume = volume
        self.is_muted = is_muted
        self._player = player
        self._beep = beep
        self._waiting: queue.SimpleQueue[tuple[str, int] | None] = queue.SimpleQueue()
        self._thread: threading.Thread | None = None
        self._folder: tempfile.TemporaryDirectory[str] | None = None

    def play(self, outcome: str) -> None:
        """Let the sound of an outcome be heard, unless muted."""
        if self.is_muted or self.volume <= 0 or outcome not in BEEPS:
            return
        if self._player is None:
            if self._beep is not None:
                self._beep(BEEPS[outcome])
            return
        if self._thread is None:
            self._thread = threading.Thread(target=self._work, name="sounds", daemon=True)
            self._thread.start()
        self._waiting.put((outcome, self.volume))

    def close(self) -> None:
        """Stop playing and take the made files away."""
        if self._thread is not None:
            self._waiting.put(None)
            self._thread.join(LONGEST_S + 1)
            self._thread = None
        if self._folder is not None:
            with contextlib.suppress(OSError):
                self._folder.cleanup()
            self._folder = None

    def _work(self) -> None:
        wanted = self._waiting.get()
        while wanted is not None:
            with contextlib.suppress(OSError, subprocess.SubprocessError, RuntimeError, ValueError):
                self._play_now(*wanted)
            wanted = self._newest()

    def _newest(self) -> tuple[str, int] | None:
        """The next sound; when scans were quicker than sounds, only the last one counts."""
        found = self._waiting.get()
        while found is not None and not self._waiting.empty():
            found = self._waiting.get()
        return found

    def _play_now(self, outcome: str, volume: int) -> None:
        if self._player is not None:
            self._player(self._file_of(outcome, volume))

    def _file_of(self, outcome: str, volume: int) -> Path:
        if self._folder is None:
            self._folder = tempfile.TemporaryDirectory(
                prefix="farmdesk-sounds-", ignore_cleanup_errors=True
            )
        made = Path(self._folder.name) / f"{outcome}-{volume}.wav"
        if not made.exists():
            write_scaled(resource_path("sounds", f"{outcome}.wav"), made, volume)
        return made


def open_sounds(*, volume: int, is_muted: bool) -> Sounds:
    """The sounds of this computer; silent without a screen."""
    if not has_screen():
        return Sounds(volume=volume, is_muted=is_muted)
    return Sounds(volume=volume, is_muted=is_muted, player=find_player(), beep=beep_times)


def write_scaled(source: Path, made: Path, volume: int) -> None:
    """Write a 16 bit WAV file again, quieter: at volume v samples are times (v / 100) squared."""
    factor = (min(100, max(0, volume)) / 100) ** 2
    with wave.open(str(source), "rb") as wav:
        facts, frames = wav.getparams(), wav.readframes(wav.getnframes())
    samples = array("h", frames)
    if sys.byteorder == "big":
        samples.byteswap()
    quieter = array("h", (round(one * factor) for one in samples))
    if sys.byteorder == "big":
        quieter.byteswap()
    with wave.open(str(made), "wb") as out:
        out.setparams(facts)
        out.writeframes(quieter.tobytes())


def beep_times(count: int) -> None:
    """Let the system beep so often, from the GUI thread."""
    app = QCoreApplication.instance()
    if app is not None:
        for turn in range(count):
            QTimer.singleShot(turn * BEEP_MS, app, QApplication.beep)


def _player_of(*words: str) -> Player:
    def play(path: Path) -> object:
        return subprocess.run(
            [*words, str(path)],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            timeout=LONGEST_S,
            check=False,
        )

    return play


def _play_on_windows(path: Path) -> object:
    if sys.platform == "win32":
        winsound.PlaySound(str(path), winsound.SND_FILENAME | winsound.SND_NODEFAULT)
    return None
