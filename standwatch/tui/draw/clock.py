"""One clock's page: the rate, large; its trace; its weights or springs; what is needed; its facts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual.content import Content
from textual.geometry import Size

from standwatch.judge.shaken import bumped_words
from standwatch.model.words import Outcome
from standwatch.tui.draw import words
from standwatch.tui.draw.facts import fact_lines
from standwatch.tui.draw.figures import figures
from standwatch.tui.draw.ladders import run_lines
from standwatch.tui.draw.leads import lead_line, lead_lines, leads_in_full
from standwatch.tui.draw.leaving import in_full, way_lines, way_sections
from standwatch.tui.draw.needed import MARKS, needed_in_full, needed_lines
from standwatch.tui.draw.paint import (
    HERE,
    MUTED,
    PLAIN,
    WARNING,
    Lines,
    beside,
    crown,
    fit,
    line,
    rule,
    stack,
    strong,
    wrapped,
)
from standwatch.tui.draw.rail import rail_in_full
from standwatch.tui.draw.shown import Shown
from standwatch.tui.draw.start_sheet import start_sheet_in_full
from standwatch.tui.draw.stops import stops_in_full
from standwatch.tui.draw.traces import chart_heads, table_of

if TYPE_CHECKING:  # a face shows its first lines before the estimators, and numpy, are loaded
    from standwatch.estimate.answers import Lead

RIGHT = 44
"""Cells of the right column where there are two."""
LADDERS_NARROW = 40


def head(shown: Shown, place: int, total: int, width: int) -> Content:
    """The top line: who it is, for whom, where it stands."""
    history = shown.assessment.estimates.history
    clock = history.clock
    who = "  ".join(part for part in ("" if shown.at_home else history.position, clock.tag) if part)
    told = clock.description or history.traits.kind.title
    parts = [f"for {clock.owner}" if clock.owner else "", ""]
    if clock.promised_on:
        parts[1] = f"by {clock.promised_on.day} {clock.promised_on:%b}"
    promise = ", ".join(part for part in parts if part)
    held = shown.assessment
    standing = f"{held.standing.value.replace('-', ' ')} {int(held.days_held + 0.05)}/{int(held.days_needed + 0.99)} d"
    if shown.at_home:
        standing = "at its owner's"
    many = f"{standing}   clock {place} of {total}" if place else standing
    rights = [line((f"{said} ", MUTED)) for said in (many, standing)]
    described = line((f"  {told}", PLAIN), (f"   {promise}" if promise else "", MUTED))
    return crown(line((f" CLOCK  {who}", strong(PLAIN))), described, rights, width)


def wide(size: Size) -> bool:
    """Two columns, all parts at once."""
    return size.width >= 110 and size.height >= 26


def chart_size(shown: Shown, size: Size) -> tuple[int, int]:
    """Cells for the chart on this page."""
    if wide(size):
        told = len(_leads_wide(shown, size)) + max(len(_unlogged(shown, _left_width(size) - 1, mend=True)), 1)
        told += len(_way(shown, _left_width(size) - 1))
        return _left_width(size) - 1, size.height - 9 - _facts_height(size) - told
    width = size.width - 2
    needed = len(_needed_twice(shown, width, size.height - 11))
    if shown.at_home:
        needed = min(len(_at_home(shown, width)) - 1, size.height - 13)
    needed += len(lead_line(_leads(shown), width))
    room = size.height - 5 - needed - len(_unlogged(shown, width)) - len(_way(shown, width))
    return width - (LADDERS_NARROW if shown.weights else 0), room


def _unlogged(shown: Shown, width: int, *, mend: bool = False) -> Lines:
    """Under the rate: what somebody did to the clock and nobody logged, by its readings; else that it was shaken."""
    told = words.unlogged_lines(shown.assessment, width, 2, mend=mend)
    bumped = "" if told else bumped_words(shown.assessment.estimates.history)
    return wrapped(bumped, width, 2, WARNING) if bumped else told


def _way(shown: Shown, width: int) -> Lines:
    return way_lines(shown.way, shown.view.shop.zone, width)


def _leads(shown: Shown) -> tuple[Lead, ...]:
    return shown.assessment.estimates.leads


def _leads_wide(shown: Shown, size: Size) -> Lines:
    """The section with its blank line; empty where there is no lead."""
    lines = lead_lines(_leads(shown), _left_width(size) - 1)
    return [*lines, Content("")] if lines else []


def _left_width(size: Size) -> int:
    return size.width - RIGHT - 4 if size.width < 150 else size.width - RIGHT - 20


def _facts_height(size: Size) -> int:
    return max(min(size.height // 4, 12), 6)


def page(shown: Shown, size: Size, chart: Sequence[Content]) -> Content:
    """The whole page under its head."""
    if shown.page in {"facts", "needed"}:
        return _listing(shown, size)
    return _wide_page(shown, size, chart) if wide(size) else _narrow_page(shown, size, chart)


def _wide_page(shown: Shown, size: Size, chart: Sequence[Content]) -> Content:
    left_width = _left_width(size)
    right_width = size.width - left_width - 4
    told = shown.assessment
    zone = shown.view.shop.zone
    facts = fact_lines(told.estimates.history, zone, left_width - 1, ids=False)
    room = _facts_height(size) - 1
    left: Lines = [
        Content(""),
        *figures(shown, left_width - 1, tall=True),
        *_way(shown, left_width - 1),
        *(_unlogged(shown, left_width - 1, mend=True) or [Content("")]),
        _chart_rule(shown, left_width - 1),
        *_chart_or_table(shown, chart, left_width - 1, chart_size(shown, size)[1]),
        Content(""),
        *_leads_wide(shown, size),
        rule("FACTS", left_width - 1, line(("f", strong(HERE)), (f" all {len(facts)}", MUTED))),
        *facts[:room],
    ]
    power: Lines = []
    if not shown.at_home:
        room = max(min(size.height - 22, 16), 8)
        power = run_lines(told, shown.view.now, shown.view.next_round, right_width, room)
    earliest = _earliest(shown)
    right: Lines = [
        Content(""),
        *power,
        *([Content("")] if power else []),
        *(_at_home(shown, right_width) or _needed(shown, right_width, earliest)),
    ]
    joined = beside([line((" ", PLAIN), part) for part in left], left_width, right, right_width, " │ ")
    return stack(joined, size.height)


def _needed(shown: Shown, width: int, earliest: Content) -> Lines:
    zone = shown.view.shop.zone
    return [
        rule("NEEDED", width, earliest),
        *needed_lines(shown.assessment.verdicts, width, now=shown.view.now, zone=zone, dates=True, star=True),
        line(("* never waived", MUTED), ("   n", strong(HERE)), (" with reasons", MUTED)),
    ]


def _at_home(shown: Shown, width: int) -> Lines:
    """Of a clock at its owner's, what was told of it since; empty for one that is here."""
    if not shown.at_home or shown.way is None:
        return []
    return in_full(way_sections(shown.way, shown.view.shop.zone), width)[1:]


def _narrow_page(shown: Shown, size: Size, chart: Sequence[Content]) -> Content:
    width = size.width - 2
    told = shown.assessment
    chart_width, chart_height = chart_size(shown, size)
    lines: Lines = [*figures(shown, width, tall=False), *_way(shown, width), *_unlogged(shown, width)]
    lines.append(_chart_rule(shown, width))
    body = _chart_or_table(shown, chart, chart_width, chart_height)
    if shown.weights:
        runs = run_lines(told, shown.view.now, shown.view.next_round, LADDERS_NARROW - 1, chart_height + 1)[1:]
        lines += beside(body, chart_width, runs, LADDERS_NARROW - 1, " ")[:chart_height]
    else:
        lines += body[:chart_height]
    lines += lead_line(_leads(shown), width)
    if shown.at_home:
        lines += _at_home(shown, width)
    else:
        reasons = line(("n", strong(HERE)), (" with reasons   ", MUTED), _earliest(shown))
        lines.append(rule("NEEDED", width, reasons))
        lines += _needed_twice(shown, width, size.height - len(lines))
    return stack((line((" ", PLAIN), part) for part in lines), size.height)


def _needed_twice(shown: Shown, width: int, room: int) -> Lines:
    """The requirements in two columns: what is wanted first, what is met or doesn't apply in one line below."""
    told = shown.assessment.verdicts
    wanted = [v for v in told if v.outcome in {Outcome.NOT_YET_KNOWN, Outcome.MISSED}]
    rest = [v for v in told if v not in wanted]
    half = (width - 2) // 2
    rows = needed_lines(wanted, half, now=shown.view.now, zone=shown.view.shop.zone, dates=True, star=True)
    height = (len(rows) + 1) // 2
    lines = beside(rows[:height], half, rows[height:], half, "  ") if rows else []
    groups: list[str] = []
    for outcome in (Outcome.MET, Outcome.WAIVED, Outcome.NOT_APPLICABLE):
        names = [words.REQUIREMENTS[v.requirement] for v in rest if v.outcome is outcome]
        if names:
            groups.append(f"{MARKS[outcome][0]} {', '.join(names)}")
    folded = Content.styled("   ".join(groups), MUTED).wrap(width) if groups else []
    return [*lines[: max(room - len(folded), 0)], *folded][:room]


def _earliest(shown: Shown) -> Content:
    earliest = shown.assessment.earliest
    if earliest is None:
        return Content("")
    return line((f"earliest {words.day_words(earliest, shown.view.shop.zone)}", strong(PLAIN)))


def _chart_rule(shown: Shown, width: int) -> Content:
    """The chart's title and the keys that change it."""
    title = dict(chart_heads())[shown.which]
    keys = []
    for which, key in (("rate", "v"), ("swing", "a")):
        keys += [(key, strong(HERE)), (f" {'error' if which == shown.which else which}  ", MUTED)]
    keys += [("m", strong(HERE)), (" as chart" if shown.page == "table" else " as table", MUTED)]
    return rule(title, width, line(*keys))


def _chart_or_table(shown: Shown, chart: Sequence[Content], width: int, height: int) -> Lines:
    if shown.page != "table":
        told = list(chart[:height])
        return told + [Content("")] * (height - len(told))
    rows = table_of(shown.assessment, shown.which, shown.view.shop.zone)
    columns = max(width // 42, 1)
    each = width // columns
    rows = rows[shown.first :]
    lines: Lines = []
    for n in range(height):
        parts = []
        for column in range(columns):
            index = column * height + n
            if index < len(rows):
                when, value, more = rows[index]
                parts += [
                    (fit(when, 14), MUTED),
                    (fit(value, 12, right=True), PLAIN),
                    (fit(f" {more}", each - 26), MUTED),
                ]
        lines.append(line(*parts))
    if not rows:
        lines[0] = line(("nothing read yet", MUTED))
    return lines


def listing_length(shown: Shown, size: Size) -> int:
    """Lines of the open list."""
    return len(_listed(shown, size.width - 2))


def _listed(shown: Shown, width: int) -> Lines:
    zone = shown.view.shop.zone
    if shown.page == "facts":
        return fact_lines(shown.assessment.estimates.history, zone, width, ids=True)
    needed = needed_in_full(shown.assessment, width, now=shown.view.now, zone=zone)
    stops, missing = stops_in_full(shown.assessment, width), start_sheet_in_full(shown.assessment, width)
    rail = rail_in_full(shown.assessment, width)
    way = in_full([] if shown.way is None else way_sections(shown.way, zone), width)
    return [*way[1:], *way[:1], *needed, *stops, *leads_in_full(_leads(shown), width), *missing, *rail]


def _listing(shown: Shown, size: Size) -> Content:
    width = size.width - 2
    facts = shown.page == "facts"
    key = line(("f" if facts else "n", strong(HERE)), (" back to the clock", MUTED))
    rows = _listed(shown, width)
    title = "FACTS, as `standwatch correct ID` takes them" if facts else "NEEDED"
    room = size.height - 1
    first = min(shown.first, max(len(rows) - room, 0))
    visible = rows[first : first + room]
    below = len(rows) - first - room
    if below > 0:
        visible = [*visible[:-1], line((f"▼ {below + 1} more lines", MUTED))]
    return stack(line((" ", PLAIN), part) for part in [rule(title, width, key), *visible])
