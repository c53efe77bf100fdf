"""Recorded byte streams, and devices played by a pseudo-terminal or in memory."""

import os
import queue
import sys

WAIT_SECONDS = 10

CRATE_PUT_ON = (
    b"ST,GS,+  0.000kg\r\n"
    b"US,GS,+  1.873kg\r\n"
    b"US,GS,+  4.912kg\r\n"
    b"US,GS,+  5.031kg\r\n"
    b"ST,GS,+  5.060kg\r\n"
    b"ST,GS,+  5.060kg\r\n"
    b"US,GS,+  2.100kg\r\n"
    b"ST,GS,+  0.000kg\r\n"
)
"""A scale that marks steady readings: nothing, a crate swinging, at rest, taken off."""

NO_MARKS = b"".join(
    f"{pounds:7.3f} lb\r\n".encode()
    for pounds in (0.0, 0.612, 1.498, 1.552, 1.550, 1.551, 1.550, 1.550, 1.550, 0.2)
)
"""A scale that marks nothing: five in a row within one division are a steady 1.550 lb."""


class PipeSource:
    """A device in memory: chunks are sent, a moment's silence is an empty one, None pulls it."""

    def __init__(self):
        self._chunks = queue.Queue()
        self.closed = 0

    def send(self, data):
        self._chunks.put(data)

    def pull_out(self):
        self._chunks.put(None)

    def read(self):
        try:
            chunk = self._chunks.get(timeout=0.05)
        except queue.Empty:
            return b""
        if chunk is None:
            raise OSError("gone")
        return chunk

    def close(self):
        self.closed += 1


class MemoryPort:
    """Opens pipes one after another, as a port that is plugged in again and again."""

    def __init__(self):
        self.plugged = queue.Queue()

    def plug_in(self):
        source = PipeSource()
        self.plugged.put(source)
        return source

    def open_source(self):
        try:
            return self.plugged.get_nowait()
        except queue.Empty:
            raise FileNotFoundError(2, "No such device") from None


class PseudoTerminal:
    """A pseudo-terminal behind one fixed name, as a USB-serial device comes back under it."""

    def __init__(self, link):
        self.link = link
        self._master = None
        self._name = None

    def plug_in(self):
        import pty
        import tty

        self._master, slave = pty.openpty()
        tty.setraw(slave)
        self._name = os.ttyname(slave)
        os.close(slave)
        self.link.symlink_to(self._name)
        return self

    def send(self, data):
        while data:
            data = data[os.write(self._master, data) :]

    def pull_out(self):
        self.link.unlink()
        os.close(self._master)
        self._master = None

    def close(self):
        if self._master is not None:
            self.pull_out()


HAS_PSEUDO_TERMINALS = sys.platform != "win32"


class Heard(queue.Queue):
    """News of a device in the order it came."""

    def wait_for(self, kind):
        """The next news of this kind; others before it are dropped."""
        while True:
            news = self.get(timeout=WAIT_SECONDS)
            if isinstance(news, kind):
                return news

    def rest(self):
        found = []
        while not self.empty():
            found.append(self.get_nowait())
        return found
