"""Call-back rates: of all, by what was repaired, waived, days tested, months since and code, each with its interval."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from textual.content import Content
from textual.geometry import Size

from standwatch.service.after.returns import (
    FAULTS,
    FIRST_MONTHS,
    Rate,
    Returns,
    interval_words,
    most_words,
    share_words,
)
from standwatch.tui.draw.glyphs import small
from standwatch.tui.draw.paint import MUTED, PLAIN, WARNING, Lines, fit, line, stack, strong, wrapped

_NAME, _FAULT, _BACK = 29, 38, 9


def page(found: Returns, first: int, size: Size) -> Content:
    """The two numbers large, then a line a group from line `first` of them on."""
    every = found.all
    if every is None:
        told = "No clock has gone home yet. What comes back is counted here, by what was repaired, waived and tested."
        return stack(
            [Content(""), *(line((" ", PLAIN), part) for part in wrapped(told, size.width - 2, 4))], size.height
        )
    top = _large(every, size.width)
    room = max(size.height - len(top) - 1, 1)
    lines = groups(found, size.width)
    shown = lines[first : first + room]
    below = len(lines) - first - room
    return stack([*top, *shown, *([line((f"   ▼ {below} more", MUTED))] if below > 0 else [])], size.height)


def most(found: Returns, size: Size) -> int:
    """How many lines can be left above, at most."""
    every = found.all
    if every is None:
        return 0
    return max(len(groups(found, size.width)) - max(size.height - len(_large(every, size.width)) - 1, 1), 0)


def _large(every: Rate, width: int) -> Lines:
    fault, back = small(f"{every.faults}"), small(f"{every.back}")
    first = ("CAME BACK WITH A FAULT", f"of {every.of}: {_share(every.faults, every)}", "set-up or mechanical")
    second = ("FOR WHATEVER REASON", _share(every.back, every), _may_still(every))
    half = (width - 2) // 2 - len(fault[0]) - 3
    lines = []
    for n in range(3):
        style = strong(PLAIN) if n == 0 else MUTED
        lines.append(
            line(
                (f" {fault[n]} ", strong(WARNING if every.faults else PLAIN)),
                (fit(first[n], half), style),
                (f" {back[n]} ", strong(PLAIN)),
                (fit(second[n], half), style),
            )
        )
    return [*lines, Content("")]


def _share(count: int, every: Rate) -> str:
    return (
        interval_words(every.back_share if count == every.back else every.fault_share)
        if count
        else most_words(every.of)
    )


def _may_still(every: Rate) -> str:
    return f"{every.young} under {FIRST_MONTHS} months there yet" if every.young else ""


def groups(found: Returns, width: int) -> Lines:
    """Every group under its head."""
    lines: Lines = []
    heads: Sequence[tuple[str, Iterable[Rate]]] = (
        ("BY WHAT WAS REPAIRED", found.by_repair),
        ("BY WAIVER", found.by_waiver),
        ("BY DAYS TESTED", found.by_days),
        ("BY MONTHS SINCE", found.by_months),
    )
    for head, rates in heads:
        rows = [_row(rate, width) for rate in rates]
        lines += [_head(head, width), *rows, Content("")] if rows else []
    every = found.all
    if every is not None:
        lines.append(_head("BY CODE", width))
        for code, count in found.by_code:
            fault = "a fault of the work" if code in FAULTS else ""
            lines.append(
                line(
                    (fit(f"  {code}", _NAME), PLAIN), (fit(share_words(count, every.of), _FAULT), PLAIN), (fault, MUTED)
                )
            )
    return lines


def _head(name: str, width: int) -> Content:
    right = "" if name == "BY CODE" else fit("BACK IN ALL", _BACK + 2)
    told = fit("WITH A FAULT, 95 %" if right else "CAME BACK, 95 %", _FAULT)
    return line(
        (" ", PLAIN),
        (fit(name, _NAME - 1), strong(PLAIN)),
        (told, MUTED),
        (fit(right, max(width - _NAME - _FAULT, 0)), MUTED),
    )


def _row(rate: Rate, width: int) -> Content:
    style = PLAIN if rate.faults else MUTED
    back = f"{rate.back}" if width < 110 else share_words(rate.back, rate.of)
    return line(
        (fit(f"  {rate.name}", _NAME), PLAIN),
        (fit(rate.fault_words, _FAULT), style),
        (fit(back, max(width - _NAME - _FAULT, 0)), PLAIN if rate.back else MUTED),
    )
