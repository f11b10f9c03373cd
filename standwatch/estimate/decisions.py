"""Which readings are wrong, and where the error stepped and nobody wrote it down.

Several stories of one clock are filtered side by side. At a reading that a story did not expect it branches: the
reading is sound, a blunder, or follows hands that were set and not logged. Stories that the readings make improbable
are let go; those that agree on the latest readings are joined. What is left is weighed: a blunder's odds are the
weight of the stories that hold it for one. The first reading of a run may be the wrong one like any other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from standwatch.estimate.filter import LOG_TWO_PI, Node, Prior, State, jumped, moved_on, read
from standwatch.estimate.smoother import Against

_BLUNDER, _BLUNDER_SDS = 0.03, ((0.9, 100.0), (0.1, 3000.0))
"""One reading in thirty is wrong: mostly by minutes, one in ten of them by an hour or minutes typed as seconds."""
_SET, _SET_SDS = 0.004, ((0.9, 300.0), (0.1, 3600.0))
"""Hands set and not logged, before one reading in 250: by minutes, or by an hour."""
_SOUND = 1 - _BLUNDER - _SET
_LOG_SOUND = math.log(_SOUND)
_YOUNG = 8
_LEAST_WEIGHT = 0.05
_MOST_STORIES = 4
_AGREE = 8
_MOST_ODD = 2
"""Wrong readings and steps among `_AGREE` readings in a row: where more are wanted, the clock itself is restless."""
_BESIDE_A_STEP = 2
"""Sound readings wanted before and after a step: one reading apart from the rest is never hands set."""


@dataclass(frozen=True, slots=True)
class Story:
    """One account of all readings: the nodes whose reading is left out, and the variance of each unlogged step."""

    weight: float
    dropped: frozenset[int]
    shifts: dict[int, float]


PLAIN = Story(1.0, frozenset(), {})


@dataclass(frozen=True, slots=True)
class Decisions:
    """The stories worth keeping, likeliest first, their weights adding to 1; odds of each blunder and step by node.

    `log_evidence` is the log probability density of all readings, over the stories.
    """

    stories: tuple[Story, ...]
    blunders: dict[int, float]
    steps: dict[int, float]
    log_evidence: float


def all_sound(log_likelihood: float, readings: int) -> Decisions:
    """Every reading is sound; `log_likelihood` is the filter's own."""
    return Decisions((PLAIN,), {}, {}, log_likelihood + readings * math.log(_SOUND))


@dataclass(slots=True)
class _Row:
    """A story in the making. `sound` counts the sound readings of this run, `after` those since its last step.

    A row belongs to one list alone and moves on in place; what several rows share is never changed in place.
    """

    state: State
    log_w: float
    blunders: dict[int, float]
    steps: dict[int, float]
    widths: dict[int, float]
    latest: tuple[int, ...] = ()
    sound: int = 0
    read: int = 0
    after: int | None = None

    @property
    def tenable(self) -> bool:
        """Whether the run so far may end here: it has a sound reading if it was read, and its last step is backed."""
        return (self.sound > 0 or self.read == 0) and (self.after is None or self.after >= _BESIDE_A_STEP)


def _log_normal(miss: float, var: float) -> float:
    return -0.5 * (LOG_TWO_PI + math.log(var) + miss * miss / var)


def _log_wide(miss: float, var: float, widths: Sequence[tuple[float, float]]) -> float:
    parts = [math.log(share) + _log_normal(miss, var + sd * sd) for share, sd in widths]
    most = max(parts)
    return most + math.log(sum(math.exp(part - most) for part in parts))


def suspicious(against: dict[int, Against]) -> bool:
    """Whether any reading, or any step before one, is worth more than one story."""
    for one in against.values():
        if one.miss * one.miss > 9 * one.var:
            gain = _log_wide(one.miss, one.var, _BLUNDER_SDS) - _log_normal(one.miss, one.var)
            if gain + math.log(_BLUNDER / _SOUND) > -1.5:
                return True
        if one.step * one.step > 9 * one.step_var:
            gain = _log_wide(one.step, one.step_var, _SET_SDS) - _log_normal(one.step, one.step_var)
            if gain + math.log(_SET / _SOUND) > -1.5:
                return True
    return False


def decide(nodes: Sequence[Node], prior: Prior, may_step: frozenset[int]) -> Decisions:
    """Weigh the stories of `nodes`. `may_step` are the nodes before whose reading hands may have been set unlogged."""
    rows = [_Row(prior.state(), 0.0, {}, {}, {})]
    log_evidence = 0.0
    for number, node in enumerate(nodes):
        if node.jump is not None and node.jump.x_new:
            rows = _ended(rows)
        for row in rows:
            row.state = moved_on(row.state, node.gap)
            if node.jump is not None:
                row.state = jumped(row.state, node.jump, prior)
        if node.z is None:
            continue
        branched: list[_Row] = []
        for row in rows:
            branched += _branches(row, number, node, may_step)
        most = branched[0].log_w if len(branched) == 1 else max(row.log_w for row in branched)
        log_evidence += most
        for row in branched:
            row.log_w -= most
        rows = _pruned(branched) if len(branched) > 1 else branched
    return _weighed(_tenable(rows), log_evidence)


def _tenable(rows: list[_Row]) -> list[_Row]:
    return [row for row in rows if row.tenable] or rows


def _ended(rows: list[_Row]) -> list[_Row]:
    """Where the error begins anew, the run before it is over: its loose stories go."""
    rows = _tenable(rows)
    for row in rows:
        row.sound, row.read, row.after = 0, 0, None
    return rows


def _branches(row: _Row, number: int, node: Node, may_step: frozenset[int]) -> list[_Row]:
    """What may come of `row` at a reading; the last of them is `row` itself, the reading taken for sound."""
    assert node.z is not None  # noqa: S101  # the caller's condition, told to the type checker
    state, gain = read(row.state, node.z, node.r)
    tail = row.latest[-_AGREE + 1 :]
    far = gain.v * gain.v / gain.f
    rows = []
    may_be_odd = sum(mark != 0 for mark in tail) < _MOST_ODD
    if may_be_odd and (far > 4 or row.sound < 3):
        rows += _blundered(row, number, node, tail)
    if may_be_odd and far > 6 and row.sound >= _BESIDE_A_STEP and number in may_step:
        rows.append(_stepped(row, number, node, tail))
    row.state = state
    row.log_w += _LOG_SOUND - 0.5 * (LOG_TWO_PI + math.log(gain.f) + far)
    row.latest = (*tail, 0)
    row.sound += 1
    row.read += 1
    if row.after is not None:
        row.after += 1
    rows.append(row)
    return rows


def _blundered(row: _Row, number: int, node: Node, tail: tuple[int, ...]) -> list[_Row]:
    """The stories in which the reading is wrong: it is left out.

    Before any sound reading it still tells something, by its width: that makes the first two readings equals.
    """
    assert node.z is not None  # noqa: S101  # the caller's condition, told to the type checker
    blunders = {**row.blunders, number: 1.0}
    if row.sound:
        gain = read(row.state, node.z, node.r)[1]
        log_w = row.log_w + math.log(_BLUNDER) + _log_wide(gain.v, gain.f, _BLUNDER_SDS)
        return [replace(row, log_w=log_w, blunders=blunders, latest=(*tail, 1), read=row.read + 1)]
    rows = []
    for mark, (share, sd) in enumerate(_BLUNDER_SDS, 3):
        state, gain = read(row.state, node.z, node.r + sd * sd)
        log_w = row.log_w + math.log(_BLUNDER * share) + _log_normal(gain.v, gain.f)
        rows.append(replace(row, state=state, log_w=log_w, blunders=blunders, latest=(*tail, mark), read=row.read + 1))
    return rows


def _stepped(row: _Row, number: int, node: Node, tail: tuple[int, ...]) -> _Row:
    """The story in which the error stepped before the reading, by the width that fits best."""
    assert node.z is not None  # noqa: S101  # the caller's condition, told to the type checker
    tried = []
    for share, sd in _SET_SDS:
        state, gain = read(row.state._replace(d1=row.state.d1 + sd * sd), node.z, node.r)
        tried.append((row.log_w + math.log(_SET * share) + _log_normal(gain.v, gain.f), sd * sd, state))
    log_w, var, state = max(tried)
    return replace(
        row,
        state=state,
        log_w=log_w,
        steps={**row.steps, number: 1.0},
        widths={**row.widths, number: var},
        latest=(*tail, 2),
        sound=row.sound + 1,
        read=row.read + 1,
        after=1,
    )


def _pruned(rows: list[_Row]) -> list[_Row]:
    """Let go what is improbable against the best, of log weight 0; join what agrees on the latest readings."""
    young = min(row.read for row in rows) <= _YOUNG
    least, keep = (1e-6, 16) if young else (1e-3, 8)
    joined: dict[tuple[int, ...], _Row] = {}
    for row in sorted(rows, key=lambda r: -r.log_w):
        if row.log_w < math.log(least):
            break
        key = row.latest if len(row.latest) >= _AGREE else (*row.latest, -1, *row.blunders, -1, *row.steps)
        joined[key] = _joined(joined[key], row) if key in joined else row
    return list(joined.values())[:keep]


def _joined(heavy: _Row, light: _Row) -> _Row:
    total = heavy.log_w + math.log1p(math.exp(light.log_w - heavy.log_w))
    share = math.exp(heavy.log_w - total)
    return replace(
        heavy,
        log_w=total,
        blunders=_mixed(heavy.blunders, light.blunders, share),
        steps=_mixed(heavy.steps, light.steps, share),
        widths={**light.widths, **heavy.widths},
        after=heavy.after,
    )


def _mixed(a: dict[int, float], b: dict[int, float], share: float) -> dict[int, float]:
    if a == b:
        return a
    return {n: share * a.get(n, 0.0) + (1 - share) * b.get(n, 0.0) for n in sorted({*a, *b})}


def _weighed(rows: list[_Row], log_evidence: float) -> Decisions:
    most = max(row.log_w for row in rows)
    weights = [math.exp(row.log_w - most) for row in rows]
    total = sum(weights)
    blunders: dict[int, float] = {}
    steps: dict[int, float] = {}
    stories = []
    for row, raw in zip(rows, weights, strict=True):
        weight = raw / total
        for held, odds in ((row.blunders, blunders), (row.steps, steps)):
            for number, chance in held.items():
                odds[number] = odds.get(number, 0.0) + weight * chance
        dropped = frozenset(n for n, chance in row.blunders.items() if chance > 0.5)
        stories.append(Story(weight, dropped, {n: row.widths[n] for n, chance in row.steps.items() if chance > 0.5}))
    stories.sort(key=lambda story: -story.weight)
    kept = [s for s in stories if s.weight >= _LEAST_WEIGHT][:_MOST_STORIES] or stories[:1]
    share = sum(s.weight for s in kept)
    told = tuple(replace(s, weight=s.weight / share) for s in kept)
    return Decisions(told, blunders, steps, log_evidence + most + math.log(total))
