"""Labels to cut out: one for the rail, one to tie to each weight. A tag and what it is, nothing of whose it is."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from standwatch.horology.kinds import traits_of
from standwatch.judge.assessment import Assessment
from standwatch.model.facts import Clock
from standwatch.model.release import ReleaseRecord
from standwatch.model.text import natural
from standwatch.papers.blocks import Sheet, TagMark, Words
from standwatch.papers.fitting import order_note, weights_of

_MANY = 100
"""Labels take as many pages as they need: they are never set smaller."""


def rail_label(clock: Clock, made_at: datetime, *, slot: str = "", zone: str = "UTC") -> Sheet:
    """The labels of one clock, which hangs at `slot`; `made_at` is the time of what they say."""
    return _sheet(clock.tag, labels_of(clock, slot), made_at, zone)


def label_of(record: ReleaseRecord) -> Sheet:
    """The labels of a clock as it was let go."""
    return rail_label(record.clock, record.at, slot=record.position, zone=record.zone)


def rail_labels(clocks: Iterable[tuple[Clock, str]], made_at: datetime, *, zone: str = "UTC") -> Sheet:
    """The labels of several clocks, each with its slot, as many to a page as there is room for."""
    marks = tuple(mark for clock, slot in clocks for mark in labels_of(clock, slot))
    return _sheet("", marks, made_at, zone)


def labels_for(found: Iterable[Assessment], now: datetime, *, zone: str = "UTC") -> Sheet:
    """The labels of `found`, by slot; of several, those at their owners' are left out."""
    told = [each.estimates.history for each in found]
    here = sorted(
        (each for each in told if each.home_since is None or len(told) == 1),
        key=lambda each: (natural(each.position), natural(each.clock.tag)),
    )
    if len(here) == 1:
        return rail_label(here[0].clock, now, slot=here[0].position, zone=zone)
    return rail_labels([(each.clock, each.position) for each in here], now, zone=zone)


def labels_of(clock: Clock, slot: str) -> tuple[TagMark, ...]:
    """The rail's label, then one for each weight of those that could be exchanged."""
    traits = traits_of(clock)
    lines = [traits.kind.title + (f", slot {slot}" if slot else "")]
    if clock.description:
        lines.append(clock.description)
    told = [(weight.side.upper() or "THE", weight.drives, weight.told) for weight in weights_of(clock, traits)]
    if told:
        name = "Weight" if len(told) == 1 else "Weights"
        listed = (" ".join(weight if len(told) > 1 else weight[1:]) for weight in told)
        note = order_note(clock, traits)
        lines.append(f"{name}: {'; '.join(listed)}" + (f" ({note})" if note else ""))
    if clock.hazards:
        lines.append(f"CAUTION: {clock.hazards}")
    marks = [TagMark(clock.tag, tuple(lines), cut=True)]
    if len(told) > 1:
        marks += [TagMark(clock.tag, (f"{side} weight: {drives}", kg), cut=True) for side, drives, kg in told]
    return tuple(marks)


def _sheet(tag: str, marks: tuple[TagMark, ...], made_at: datetime, zone: str) -> Sheet:
    if not marks:
        return Sheet("labels", "Labels", "", (Words("No clock is on the stand."),), made_at, zone)
    told = Words("Cut along the broken lines. The square is the tag, for whoever types with a scanner.", "small")
    name = "label" if tag else "labels"
    return Sheet(name, "Labels", tag, (told, *marks), made_at, zone, pages=_MANY)
