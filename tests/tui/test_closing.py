"""The app while it closes."""

from pathlib import Path

from tests.tui.screens import SMALL, running


async def test_a_second_that_passes_while_it_closes_finds_no_screen(empty_book: Path) -> None:
    async with running(empty_book, SMALL) as (app, _):
        pass
    assert not app.screen_stack
    app._tick()
    assert not [worker for worker in app.workers if worker.group == "poll" and worker.is_running]
