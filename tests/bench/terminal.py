"""A program in a real terminal of its own: keys go in, what its screen shows comes out."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import termios
import time
from collections.abc import Sequence
from types import TracebackType

import pyte


class Terminal:
    """Runs `command` in a pseudo-terminal of `size` columns and rows until it is left."""

    def __init__(self, command: Sequence[str], size: tuple[int, int] = (80, 24)) -> None:
        self._screen = pyte.Screen(*size)
        self._stream = pyte.ByteStream(self._screen)
        self.child, self._terminal = pty.fork()
        if self.child == 0:
            os.environ.update(TERM="xterm-256color", COLORTERM="truecolor", COLUMNS=str(size[0]), LINES=str(size[1]))
            os.execv(command[0], list(command))  # noqa: S606  # its own program in its own terminal
        fcntl.ioctl(self._terminal, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))

    def __enter__(self) -> Terminal:
        """Itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """End the program, however it is."""
        self.kill()
        os.close(self._terminal)

    def kill(self) -> None:
        """kill -9, and wait until it is gone."""
        if self.child:
            os.kill(self.child, signal.SIGKILL)
            os.waitpid(self.child, 0)
            self.child = 0

    @property
    def text(self) -> str:
        """What the screen shows."""
        return "\n".join(self._screen.display)

    def press(self, keys: str) -> None:
        """Type `keys`."""
        os.write(self._terminal, keys.encode())

    def read(self, most: float) -> bool:
        """Take in what was painted within `most` seconds, as far as the first piece; whether anything was."""
        if not select.select([self._terminal], [], [], most)[0]:
            return False
        try:
            self._stream.feed(os.read(self._terminal, 65536))
        except OSError:  # the program has ended
            return False
        return True

    def quiet(self, still: float = 0.05, most: float = 30.0) -> None:
        """Take in what is painted until nothing more comes for `still` seconds."""
        until = time.monotonic() + most
        while time.monotonic() < until and self.read(still):
            pass

    def wait_for(self, text: str, most: float = 60.0) -> None:
        """Until the screen shows `text`; TimeoutError where it doesn't."""
        until = time.monotonic() + most
        while text not in self.text:
            if time.monotonic() > until:
                raise TimeoutError(f"the screen did not show {text!r} in {most:.0f} s:\n{self.text}")
            self.read(0.1)

    def seconds_to_paint(self, key: str, most: float = 5.0) -> float:
        """Seconds from a key until the program begins to paint."""
        self.quiet()
        begun = time.perf_counter()
        self.press(key)
        ready = select.select([self._terminal], [], [], most)[0]
        taken = time.perf_counter() - begun
        if not ready:
            raise TimeoutError(f"{key!r} painted nothing in {most:.0f} s")
        return taken
