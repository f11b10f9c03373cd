"""Starting work behind the screen: the one place where Textual's worker types are told what we hand over."""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from typing import TYPE_CHECKING, Any, cast

from textual.dom import DOMNode
from textual.worker import Worker

if TYPE_CHECKING:
    from textual.worker import WorkType


def behind(
    node: DOMNode, job: Callable[[], Coroutine[Any, Any, None]], *, group: str, exclusive: bool = False
) -> Worker[None]:
    """Run `job` as a worker of `node`; an exclusive one replaces those of its group."""
    return node.run_worker(cast("WorkType[None]", job), group=group, exclusive=exclusive)
