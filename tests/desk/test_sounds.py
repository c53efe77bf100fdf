"""Sounds: distinct by rhythm and pitch, quieter by volume, silent when muted, never a trouble."""

from __future__ import annotations

import itertools
import queue
import wave
from array import array
from pathlib import Path

import pytest

from farmdesk.desk.answers import OUTCOME_WORDS
from farmdesk.desk.sounds import BEEPS, Sounds, find_player, open_sounds, write_scaled
from farmdesk.settings.places import resource_path


class Ear:
    """A player that keeps what it was given."""

    def __init__(self) -> None:
        self.heard: queue.Queue[Path] = queue.Queue()

    def __call__(self, path: Path) -> None:
        assert path.is_file()
        self.heard.put(path)

    def next_name(self) -> str:
        return self.heard.get(timeout=10).name


def samples_of(path: Path) -> tuple[array, int]:
    with wave.open(str(path), "rb") as wav:
        assert (wav.getnchannels(), wav.getsampwidth()) == (1, 2)
        return array("h", wav.readframes(wav.getnframes())), wav.getframerate()


def runs_of(outcome: str) -> list[tuple[int, int]]:
    """(hundredths of a second, hertz) of each sounding stretch, by zero crossings."""
    samples, rate = samples_of(resource_path("sounds", f"{outcome}.wav"))
    step, runs, length, crossings = rate // 100, [], 0, 0
    for start in range(0, len(samples), step):
        part = samples[start : start + step]
        if max(map(abs, part)) > 1500:
            length += 1
            crossings += sum(a < 0 <= b for a, b in itertools.pairwise(part))
        elif length:
            runs.append((length, crossings * 100 // length))
            length = crossings = 0
    return [*runs, (length, crossings * 100 // length)] if length else runs


def test_each_outcome_has_a_sound_and_each_differs_in_rhythm_and_pitch() -> None:
    assert set(BEEPS) == set(OUTCOME_WORDS)
    runs = {outcome: runs_of(outcome) for outcome in BEEPS}
    rhythms = {tuple(round(length, -1) for length, _ in one) for one in runs.values()}
    pitches = sorted(one[0][1] for one in runs.values())
    assert len(rhythms) == len(BEEPS)
    assert all(high > low * 1.1 for low, high in itertools.pairwise(pitches))
    assert len(set(BEEPS.values())) == len(BEEPS)


def test_no_sound_is_longer_than_the_next_scan_is_away() -> None:
    for outcome in BEEPS:
        samples, rate = samples_of(resource_path("sounds", f"{outcome}.wav"))
        assert len(samples) / rate < 0.8


def test_volume_makes_samples_smaller_by_its_square(tmp_path) -> None:
    source = resource_path("sounds", "done.wav")
    write_scaled(source, tmp_path / "half.wav", 50)
    loud, _ = samples_of(source)
    quiet, _ = samples_of(tmp_path / "half.wav")
    assert len(quiet) == len(loud)
    assert max(quiet) == pytest.approx(max(loud) / 4, abs=1)


def test_an_outcome_is_played_and_muted_it_is_not() -> None:
    ear = Ear()
    sounds = Sounds(volume=40, player=ear)
    sounds.play("done")
    assert ear.next_name() == "done-40.wav"
    sounds.is_muted = True
    sounds.play("refused")
    sounds.is_muted, sounds.volume = False, 0
    sounds.play("refused")
    sounds.volume = 80
    sounds.play("ask")
    assert ear.next_name() == "ask-80.wav"
    sounds.close()
    assert ear.heard.empty()


def test_a_player_that_fails_is_no_trouble_and_the_next_sound_is_played() -> None:
    ear = Ear()
    tries: queue.Queue[str] = queue.Queue()

    def play(path: Path) -> None:
        tries.put(path.name)
        if path.name.startswith("done"):
            raise OSError("no sound card")
        ear(path)

    sounds = Sounds(player=play)
    sounds.play("done")
    assert tries.get(timeout=10).startswith("done")
    sounds.play("ask")
    assert ear.next_name().startswith("ask")
    sounds.close()


def test_without_a_player_the_system_beeps_so_often() -> None:
    beeps: list[int] = []
    sounds = Sounds(beep=beeps.append)
    for outcome in ("done", "ask", "nonsense"):
        sounds.play(outcome)
    assert beeps == [1, 3]


def test_without_a_screen_nothing_is_played(qapp) -> None:
    sounds = open_sounds(volume=70, is_muted=False)
    sounds.play("done")
    assert sounds._thread is None


def test_the_usual_players_are_looked_for_on_the_path(tmp_path, monkeypatch) -> None:
    monkeypatch.setattr("farmdesk.desk.sounds.sys.platform", "linux")
    monkeypatch.setenv("PATH", str(tmp_path))
    assert find_player() is None
