"""Whom to hear: always told apart, never one that nothing is wanted of, and the best that can be had."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from itertools import combinations, pairwise

from hypothesis import example, given, settings
from hypothesis import strategies as st

from standwatch.service.hearing.picking import APART, MOST, SURE_S, apart, neighbours, pick, stagger_of
from standwatch.service.hearing.voices import Voice

NINE = datetime(2026, 11, 20, 9, tzinfo=UTC)


def voice(tag: str, late_s: float, *, doubt_s: float = 5.0, chimes: bool = False, blows: int = 9) -> Voice:
    """A clock that sounds `late_s` after nine."""
    at = NINE + timedelta(seconds=late_s)
    half = timedelta(seconds=doubt_s)
    return Voice(tag, tag, "mantel", "mantel", at, at - half, at + half, 9, 4, chimes, blows)


def _voice(n: int, late_s: float, doubt_s: float, chimes: bool, blows: int) -> Voice:  # noqa: FBT001  # as drawn
    return voice(f"A{n}", late_s, doubt_s=doubt_s, chimes=chimes, blows=blows)


def in_order(voices: Sequence[Voice]) -> list[Voice]:
    return sorted(voices, key=lambda each: each.at)


VOICES = st.lists(
    st.tuples(
        st.integers(-440, 440),
        st.sampled_from([1.0, 8.0, 59.0, 61.0]),
        st.booleans(),
        st.integers(1, 12),
    ),
    max_size=9,
).map(lambda told: in_order([_voice(n, *each) for n, each in enumerate(told)]))
WORTHS = st.dictionaries(st.sampled_from([f"A{n}" for n in range(9)]), st.integers(1, 12))


@settings(max_examples=300, deadline=None)
@given(VOICES, WORTHS)
def test_what_is_picked_can_be_told_apart_and_is_wanted(voices: list[Voice], worths: dict[str, int]) -> None:
    worth = {each.tag: worths[each.tag] for each in voices if each.tag in worths}
    picked = pick(voices, worth)
    by_tag = {each.tag: each for each in voices}
    heard = [by_tag[tag] for tag in picked.hear]
    assert len(heard) <= MOST
    assert heard == in_order(heard)
    for one, other in combinations(heard, 2):
        assert abs(one.at - other.at) >= APART
    assert all(each.tag in worth and each.doubt_s <= SURE_S for each in heard)
    assert set(picked.hear) | set(picked.left) == set(worth), "each that is wanted is heard, or it is said why not"
    assert not set(picked.hear) & set(picked.left)
    assert all(picked.left.values())


@settings(max_examples=300, deadline=None)
@given(VOICES, WORTHS)
def test_no_other_three_are_worth_more(voices: list[Voice], worths: dict[str, int]) -> None:
    """Against every set of up to three, tried one by one."""
    worth = {each.tag: worths[each.tag] for each in voices if each.tag in worths}
    value = {each.tag: worth[each.tag] - len(neighbours(each, voices)) for each in voices if each.tag in worth}
    fit = [each for each in voices if value.get(each.tag, 0) > 0 and each.doubt_s <= SURE_S]
    sets = [chosen for size in range(MOST + 1) for chosen in combinations(fit, size)]
    heard_apart = [c for c in sets if all(apart(a, b) for a, b in pairwise(c))]
    best = max(sum(value[each.tag] for each in chosen) for chosen in heard_apart)
    assert sum(value[tag] for tag in pick(voices, worth).hear) == best


@settings(max_examples=200, deadline=None)
@given(VOICES, WORTHS)
@example(in_order([voice("A0", 0), voice("A1", 10), voice("A2", 20)]), {"A0": 9, "A1": 4})
def test_a_stagger_lets_it_sound_alone(voices: list[Voice], worths: dict[str, int]) -> None:
    worth = {each.tag: worths[each.tag] for each in voices if each.tag in worths}
    left = [each.tag for each in voices if each.tag in worth]
    found = stagger_of(voices, worth, left)
    if found is None:
        return
    before = next(each for each in voices if each.tag == found.voice.tag)
    assert before.at - found.voice.at == timedelta(seconds=found.seconds), "set fast it sounds earlier"
    assert 60 <= abs(found.seconds) <= 300
    assert found.voice.tag not in pick(voices, worth).hear, "it would not have been heard without"
    for other in voices:
        if other.tag != found.voice.tag:
            assert abs(other.at - found.voice.at) >= APART


def test_the_least_stagger_is_proposed_and_slow_before_fast() -> None:
    """One minute either way would free it: slow, as the trade proposes it."""
    voices = in_order([voice("A1", 0), voice("A2", 10)])
    found = stagger_of(voices, {"A1": 9, "A2": 4}, ["A2"])
    assert found is not None
    assert (found.voice.tag, found.seconds) == ("A2", -60)
    crowded = in_order([*voices, voice("A3", 70), voice("A4", -50)])
    found = stagger_of(crowded, {"A1": 9, "A2": 4}, ["A2"])
    assert found is not None
    assert found.seconds == -120


def test_one_that_is_free_already_is_not_staggered() -> None:
    voices = in_order([voice("A1", 0), voice("A2", 30)])
    assert stagger_of(voices, {"A1": 9, "A2": 4}, ["A2"]) is None


def test_25_seconds_are_enough_and_24_are_not() -> None:
    assert pick([voice("A1", 0), voice("A2", 25)], {"A1": 4, "A2": 4}).hear == ("A1", "A2")
    near = pick([voice("A1", 0), voice("A2", 24)], {"A1": 4, "A2": 4})
    assert near.hear == ("A1",)
    assert near.left == {"A2": "too near A1"}


def test_a_chime_and_its_twelve_blows_are_let_out_first() -> None:
    """Sixteen notes and twelve blows last longer than 25 s."""
    long = voice("A1", 0, chimes=True, blows=12)
    assert 25 < long.lasts_s < 60
    assert pick([long, voice("A2", 30)], {"A1": 4, "A2": 4}).hear == ("A1",)
    assert pick([voice("A2", -30), long], {"A1": 4, "A2": 4}).hear == ("A2", "A1")


def test_where_their_order_is_not_sure_they_are_not_apart() -> None:
    """±30 s and ±40 s: the time between them is known to ±50 s."""
    one, other = voice("A1", 0, doubt_s=30), voice("A2", 49, doubt_s=40)
    assert pick([one, other], {"A1": 4, "A2": 4}).hear == ("A1",)
    assert pick([one, voice("A2", 51, doubt_s=40)], {"A1": 4, "A2": 4}).hear == ("A1", "A2")


def test_in_a_crowd_nothing_is_heard() -> None:
    crowd = [voice(f"A{n}", n) for n in range(6)]
    picked = pick(crowd, {each.tag: 4 for each in crowd})
    assert picked.hear == ()
    assert set(picked.left.values()) == {"6 sound together"}


def test_one_that_may_sound_anywhere_is_read_first() -> None:
    picked = pick([voice("A1", 0, doubt_s=70)], {"A1": 9})
    assert picked.hear == ()
    assert picked.left == {"A1": "known to over a minute only: read it first"}


def test_those_named_before_stay() -> None:
    voices = [voice("A1", 0), voice("A2", 40), voice("A3", 80), voice("A4", 120)]
    assert pick(voices, {"A4": 9}, keep=("A1", "A3")).hear == ("A1", "A3")
    assert pick(voices, {each.tag: 4 for each in voices}).left == {"A4": "three are enough"}
