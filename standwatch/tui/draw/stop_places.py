"""Where the stops of one clock lie and gather: round the twelve hours, and by the height of its weight."""

from __future__ import annotations

import math
from collections.abc import Sequence

from textual.content import Content

from standwatch.estimate.clusters import Cluster, Measure
from standwatch.model.units import DIAL_S
from standwatch.service.bench.stoppage import Gathering, Where
from standwatch.tui.draw.paint import ERROR, MUTED, PLAIN, WARNING, Lines, Part, line, rule, strong, wrapped

CHOSEN = "◉"
_RING_HIGH = 13


def _mark(where: Where, chosen_id: str) -> Part:
    """One stop on the dial or by height: filled where nobody explained it, a block where it hangs."""
    stop = where.stop
    chosen = stop.id == chosen_id
    mark = CHOSEN if chosen else "■" if stop.hangs else "●" if stop.wanting else "○"
    return mark, strong(ERROR if stop.wanting else PLAIN if chosen else MUTED)


def ring(gathering: Gathering | None, chosen: str, width: int) -> Lines:
    """The stops round the twelve hours, as the hour hand stood."""
    title = rule("ROUND THE TWELVE HOURS", width, line((f"{CHOSEN} this one", MUTED)))
    if gathering is None:
        return [title, line(("being worked out", MUTED))]
    high, across = _RING_HIGH, 2 * _RING_HIGH + 3
    cells: list[list[Part]] = [[(" ", PLAIN)] * across for _ in range(high)]
    middle_x, middle_y, radius = across // 2, high // 2, high // 2

    def put(seconds: float, far: float, text: str, style: str) -> None:
        angle = 2 * math.pi * seconds / DIAL_S
        x = round(middle_x + 2 * radius * far * math.sin(angle)) - len(text) // 2
        y = round(middle_y - radius * far * math.cos(angle))
        for n, char in enumerate(text):
            cells[y][x + n] = (char, style)

    for hour in range(12):
        put(hour * 3600, 1.0, str(hour or 12), MUTED)
    seen: dict[tuple[int, int], int] = {}
    for where in reversed(gathering.places):
        if where.dial_s is None:
            continue
        spot = (round(where.dial_s / 1200), 0)
        seen[spot] = seen.get(spot, 0) + 1
        mark, style = _mark(where, chosen)
        put(where.dial_s, 0.82 - 0.2 * min(seen[spot] - 1, 3), mark, style)
    margin = " " * ((width - across) // 2)
    lines = [title, *(line((margin, PLAIN), *_joined(row)) for row in cells)]
    told = _cluster_words(gathering.clusters, {Measure.MINUTE, Measure.HALF_DAY, Measure.DAY})
    return [*lines, *(wrapped(told, width, 2, WARNING) if told else [_why_none(gathering)])]


def _why_none(gathering: Gathering) -> Content:
    """Why no cluster is named."""
    wanting = sum(where.stop.wanting for where in gathering.places)
    told = "three or more would show what they share" if wanting < 3 else "nothing in common beyond chance"
    return line((told, MUTED))


def _cluster_words(clusters: Sequence[Cluster], measures: set[Measure]) -> str:
    """ "4 of 5 within 3 minutes of the hour's 57 (chance 0.2 %)"."""
    said = []
    for cluster in clusters:
        if cluster.measure not in measures:
            continue
        count = f"{cluster.count} of {cluster.of}" if cluster.count < cluster.of else f"all {cluster.of}"
        chance = "under 0.1" if cluster.chance < 0.001 else f"{cluster.chance * 100:.1f}"
        said.append(f"{count} {_range_words(cluster)} (chance {chance} %)")
    return "; ".join(said)


def _range_words(cluster: Cluster) -> str:
    if cluster.measure is Measure.HEIGHT:
        return f"from {cluster.first:.0f} to {cluster.last:.0f}"
    if cluster.measure is Measure.MINUTE:
        return f"at {cluster.first / 60 % 60:.0f} to {cluster.last / 60 % 60:.0f} minutes past"
    whole = 12 if cluster.measure is Measure.HALF_DAY else 24
    first, last = (
        f"{int(at // 3600) % whole or whole}:{int(at // 60 % 60):02}" for at in (cluster.first, cluster.last)
    )
    return f"from {first} to {last} {'on the dial' if whole == 12 else 'each day'}"


def heights(gathering: Gathering | None, chosen: str, width: int) -> Lines:
    """The stops by how far the going weight had come down; of a spring by the hours since it was wound."""
    if gathering is None:
        return []
    unit = "mm down" if gathering.weights else "hours since winding"
    lines = [rule("BY HEIGHT" if gathering.weights else "BY THE WIND", width, line((unit, MUTED)))]
    told = [where for where in gathering.places if where.height is not None]
    if not told or gathering.top <= 0:
        return [*lines, line(("no height told or sure", MUTED))]
    top = max(gathering.top, *(where.height or 0.0 for where in told))
    cells: list[Part] = [("─", MUTED)] * width
    cells[0], cells[-1] = ("├", MUTED), ("┤", MUTED)

    def column(height: float) -> int:
        return min(max(round(height / top * (width - 1)), 0), width - 1)

    names = [" "] * width
    for text, at in [("0", 0), (f"{top:.0f}", width - len(f"{top:.0f}"))]:
        names[at : at + len(text)] = list(text)
    if gathering.bob is not None and gathering.bob < top:
        cells[column(gathering.bob)] = ("┼", MUTED)
        at = min(column(gathering.bob), width - 9)
        names[at : at + 3] = list("bob")
    for where in reversed(told):
        cells[column(where.height or 0.0)] = _mark(where, chosen)
    lines += [line(*_joined(cells)), line(("".join(names), MUTED))]
    said = _cluster_words(gathering.clusters, {Measure.HEIGHT})
    return lines + (wrapped(said, width, 2, WARNING) if said else [])


def strips(gathering: Gathering | None, chosen: str, width: int, room: int) -> Lines:
    """Where there is little room: the twelve hours as a line, the heights as another."""
    if gathering is None or not gathering.places or room < 3:
        return []
    cells: list[Part] = [("─", MUTED)] * width
    names = [" "] * width
    for hour in range(13):
        at = min(round(hour / 12 * (width - 1)), width - 1)
        cells[at] = ("┬", MUTED)
        text = str(hour or 12)
        start = min(at, width - len(text))
        names[start : start + len(text)] = list(text)
    for where in reversed(gathering.places):
        if where.dial_s is not None:
            cells[round(where.dial_s / DIAL_S * (width - 1))] = _mark(where, chosen)
    said = _cluster_words(gathering.clusters, {Measure.MINUTE, Measure.HALF_DAY, Measure.DAY})
    lines = [
        rule("ROUND THE TWELVE HOURS", width, line((f"{CHOSEN} this one", MUTED))),
        line(*_joined(cells)),
        line(("".join(names), MUTED)),
        *(wrapped(said, width, 1, WARNING) if said else []),
    ]
    return [*lines, *heights(gathering, chosen, width)][:room]


def _joined(cells: Sequence[Part]) -> list[Part]:
    parts: list[Part] = []
    for char, style in cells:
        if parts and parts[-1][1] == style:
            parts[-1] = (parts[-1][0] + char, style)
        else:
            parts.append((char, style))
    return parts
