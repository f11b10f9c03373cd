"""Which of the voices that sound together are worth an ear, and how one that isn't can be brought to sound alone."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from standwatch.service.hearing.voices import Voice

APART = timedelta(seconds=25)
"""Nobody tells voices apart that begin within so much of each other (common practice)."""
MOST = 3
"""Voices that one person hears and tells apart around one quarter (common practice: two or three)."""
SURE_S = 60.0
"""A voice is listened for where it is known to so many seconds when it sounds (half the 95 % interval)."""
_SHIFTS_MIN = (-1, 1, -2, 2, -3, 3, -4, 4, -5, 5)
"""Staggers that are thought of, in minutes, + fast: the least first, slow before fast."""


@dataclass(frozen=True, slots=True)
class Pick:
    """What is heard, in order of time, and why each of the others that are wanted is not."""

    hear: tuple[str, ...]
    left: Mapping[str, str]


def apart(one: Voice, other: Voice) -> bool:
    """Whether two voices can be told apart: 25 s between their beginnings, and the first has ended by then.

    Where it is not well known when they sound, so far apart that their order is sure: by the 95 % interval of the
    time between them.
    """
    first, second = sorted((one, other), key=lambda voice: voice.at)
    sure = math.hypot(one.doubt_s, other.doubt_s)
    return second.at - first.at >= max(APART, timedelta(seconds=max(first.lasts_s, sure)))


def neighbours(voice: Voice, voices: Iterable[Voice]) -> tuple[Voice, ...]:
    """The others that begin to sound within 25 s of `voice`, soonest first."""
    return tuple(v for v in voices if v.tag != voice.tag and abs(v.at - voice.at) < APART)


def pick(voices: Sequence[Voice], worth: Mapping[str, int], keep: Sequence[str] = ()) -> Pick:
    """The voices to hear: at most three that can be told apart, worth the most together.

    `voices` are all that sound, in order of time, `worth` what each is worth by tag (not there: nothing is wanted).
    Every other voice close to one takes a point off its worth; where nothing is left, it is lost in the crowd. Those
    in `keep` were picked before and stay.
    """
    wanted = [voice for voice in voices if voice.tag in worth]
    values = {v.tag: worth[v.tag] - len(neighbours(v, voices)) for v in wanted}
    fit = [v for v in wanted if values[v.tag] > 0 and v.doubt_s <= SURE_S]
    kept = [voice for voice in voices if voice.tag in keep]
    chosen = kept or _best(fit, values)
    left = {v.tag: _why_left(v, voices, chosen, values) for v in wanted if v not in chosen}
    return Pick(tuple(v.tag for v in chosen), left)


def _best(voices: Sequence[Voice], values: Mapping[str, int]) -> list[Voice]:
    """The chain of voices, each apart from the one before it, that is worth the most; of equals the earlier."""
    best: list[tuple[int, list[Voice]]] = []
    ending: list[list[tuple[int, list[Voice]]]] = []
    for here in voices:
        chains = [(values[here.tag], [here])]
        for size in range(MOST - 1):
            before = [c for earlier in ending if len(earlier) > size and apart((c := earlier[size])[1][-1], here)]
            if before:
                value, chain = max(before, key=lambda told: told[0])
                chains.append((value + values[here.tag], [*chain, here]))
        ending.append(chains)
        best += chains
    return max(best, key=lambda told: told[0])[1] if best else []


def _why_left(voice: Voice, voices: Sequence[Voice], chosen: Sequence[Voice], values: Mapping[str, int]) -> str:
    if voice.doubt_s > SURE_S:
        return "known to over a minute only: read it first"
    close = [other.name for other in chosen if not apart(voice, other)]
    if close:
        return f"too near {' and '.join(close)}"
    if values[voice.tag] <= 0:
        return f"{len(neighbours(voice, voices)) + 1} sound together"
    return "three are enough"


@dataclass(frozen=True, slots=True)
class Stagger:
    """A clock to be set `seconds` forward (+) or back, so that it sounds alone: as `voice`, next time."""

    voice: Voice
    seconds: int


def stagger_of(voices: Sequence[Voice], worth: Mapping[str, int], wanted: Sequence[str]) -> Stagger | None:
    """The least stagger that lets one of `wanted` (by tag, the first that can) sound alone among `voices`.

    None where each of them sounds alone already, would be heard anyhow, or can't be freed by five minutes.
    """
    heard = pick(voices, worth).hear
    for tag in wanted:
        voice = next((v for v in voices if v.tag == tag and tag in worth), None)
        if voice is None or tag in heard or voice.doubt_s > SURE_S:
            continue
        others = [other for other in voices if other.tag != tag]
        for minutes in _SHIFTS_MIN:
            moved = _moved(voice, minutes * 60)
            if all(apart(moved, other) for other in others):
                return Stagger(moved, minutes * 60)
    return None


def _moved(voice: Voice, seconds: int) -> Voice:
    """The voice of a clock set `seconds` forward: it sounds so much earlier."""
    by = timedelta(seconds=seconds)
    return replace(voice, at=voice.at - by, low=voice.low - by, high=voice.high - by)
