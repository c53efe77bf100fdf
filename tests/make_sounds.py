"""Makes the short sounds of scan answers (resources/sounds) with the standard library alone.

Each outcome has a rhythm and a pitch of its own, so that they differ without looking and for
ears that hear pitch badly.
"""

from __future__ import annotations

import math
import sys
import wave
from array import array
from pathlib import Path

RATE = 22_050
LOUDEST = 20_000
FADE_S = 0.006

SOUNDS: dict[str, tuple[tuple[float, float], ...]] = {
    # (pitch in hertz, 0 for silence; seconds)
    "done": ((1175, 0.11),),
    "already": ((587, 0.09), (0, 0.06), (587, 0.09)),
    "ask": ((659, 0.10), (784, 0.10), (988, 0.22)),
    "refused": ((262, 0.22), (0, 0.05), (196, 0.38)),
    "unknown": ((440, 0.05), (0, 0.05)) * 3 + ((440, 0.05),),
}


def tone(pitch: float, seconds: float) -> array[int]:
    """Samples of one tone with soft ends, a little of the octave in it."""
    count = round(RATE * seconds)
    made = array("h")
    for number in range(count):
        at = number / RATE
        soft = min(1.0, at / FADE_S, (count - number) / RATE / FADE_S)
        wave_now = math.sin(math.tau * pitch * at) + 0.3 * math.sin(2 * math.tau * pitch * at)
        made.append(round(LOUDEST * soft * wave_now / 1.3))
    return made


def make_sounds(folder: Path) -> None:
    """Write one WAV file for each outcome: 16 bit, one channel."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, parts in SOUNDS.items():
        samples = array("h")
        for pitch, seconds in parts:
            samples.extend(tone(pitch, seconds))
        if sys.byteorder == "big":
            samples.byteswap()
        with wave.open(str(folder / f"{name}.wav"), "wb") as out:
            out.setnchannels(1)
            out.setsampwidth(2)
            out.setframerate(RATE)
            out.writeframes(samples.tobytes())


if __name__ == "__main__":
    make_sounds(Path(__file__).resolve().parent.parent / "resources" / "sounds")
