"""Which clock was meant by what was typed or scanned: a tag, a slot, an owner, words of what it is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from standwatch.judge.assessment import Assessment


@dataclass(frozen=True, slots=True)
class Found:
    """The clocks that fit, best first. `sure`: the first is meant, by its whole tag or slot or as the only one."""

    clocks: tuple[Assessment, ...]
    sure: bool


def find(text: str, clocks: Iterable[Assessment]) -> Found:
    """The clocks of which every word of `text` tells something; the whole tag goes before all, then the whole slot.

    Upper and lower case are one; a word tells by a part of the tag, by the slot, by the beginning of a word of owner,
    description or kind.
    """
    wanted = " ".join(text.casefold().split())
    if not wanted:
        return Found((), sure=False)
    ranked = [(rank, n, told) for n, told in enumerate(clocks) if (rank := _rank(wanted, told)) is not None]
    ranked.sort(key=lambda each: each[:2])
    whole = len([rank for rank, _, _ in ranked if rank == ranked[0][0]]) == 1 and bool(ranked) and ranked[0][0] <= 1
    return Found(tuple(told for _, _, told in ranked), sure=whole or len(ranked) == 1)


def _rank(wanted: str, told: Assessment) -> int | None:
    """How well a clock fits, the less the better; None where it doesn't."""
    history = told.estimates.history
    tag, slot = told.tag.casefold(), (history.position or "").casefold()
    if " ".join(tag.split()) == wanted:
        return 0
    if slot == wanted:
        return 1
    words = " ".join(
        part for part in (history.clock.owner, history.clock.description, history.traits.kind.title) if part
    )
    known = words.casefold().replace("-", " ").split()
    for word in wanted.split():
        if not (word in tag or slot.startswith(word) or any(each.startswith(word) for each in known)):
            return None
    return 2 if tag.startswith(wanted) else 3
