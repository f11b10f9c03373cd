"""Where the service works: one thread with a stand of its own, so that the screen never waits."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

from standwatch.service.stand import Stand

T = TypeVar("T")


class Backroom:
    """Runs jobs on a stand, one after another, on the one thread that opened its book."""

    def __init__(self, open_stand: Callable[[], Stand]) -> None:
        self._open = open_stand
        self._thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="backroom")
        self._stand: Stand | None = None

    async def ask(self, job: Callable[[Stand], T]) -> T:
        """`job`'s answer; its exceptions come through."""
        return await asyncio.get_running_loop().run_in_executor(self._thread, self._do, job)

    async def keep(self, job: Callable[[Stand], T]) -> T:
        """`job`'s answer, as of `ask`; it is done even where nobody waits for it any more, as when the app is left."""
        return await asyncio.shield(asyncio.get_running_loop().run_in_executor(self._thread, self._do, job))

    async def apart(self, job: Callable[[Stand], T]) -> T:
        """A long job on a thread and a stand of its own, so that others needn't wait for it."""
        return await asyncio.to_thread(self._do_apart, job)

    def _do(self, job: Callable[[Stand], T]) -> T:
        if self._stand is None:
            self._stand = self._open()
        return job(self._stand)

    def _do_apart(self, job: Callable[[Stand], T]) -> T:
        stand = self._open()
        try:
            return job(stand)
        finally:
            stand.close()

    def close(self) -> None:
        """Let the job in hand end, close the book, end the thread."""
        self._thread.submit(self._close)
        self._thread.shutdown(wait=True, cancel_futures=False)

    def _close(self) -> None:
        if self._stand is not None:
            self._stand.close()
            self._stand = None
