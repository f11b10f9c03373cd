"""The morning round over a real book: which clock next, what is asked of it, and what is left at the end."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from standwatch.judge.assessment import Assessment
from standwatch.model.errors import BadValue
from standwatch.model.facts import Clock
from standwatch.model.records import build
from standwatch.model.words import Train
from standwatch.service.readings import fallen_mm, scale_reads
from standwatch.service.round.asking import Wanted, cells_for, read_words, swing_wanted, weights_hung, weights_wanted
from standwatch.service.round.ending import ending_of
from standwatch.service.round.plan import Round, ran_out_likely, round_of, wanted_of
from standwatch.service.stand import Stand
from standwatch.service.views import StandView

FRIDAY = datetime(2026, 11, 20, 8, 20, tzinfo=UTC)
TUESDAY = datetime(2026, 11, 17, 8, 20, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
DAY = timedelta(days=1)


def add(
    stand: Stand,
    tag: str,
    slot: str,
    *,
    kind: str = "longcase",
    days: int = 8,
    now: datetime = FRIDAY,
    **columns: object,
) -> None:
    """A clock read and its weights told each morning but today's, wound eight days ago."""
    stand.add_clock({"tag": tag, "kind": kind, "position": slot, **columns}, now)
    start = now.replace(hour=8, minute=0) - DAY * days
    if days:
        stand.check_in({"tag": tag, "at": start, "work": "wound"}, now)
    for d in range(days):
        stand.check_in({"tag": tag, "at": start + DAY * d, "error_s": 2.0 * d}, now)


def seen(stand: Stand, now: datetime = FRIDAY, skipped: frozenset[str] = frozenset()) -> tuple[StandView, Round]:
    view = stand.view(now)
    return view, round_of(view, now, skipped=skipped)


def told(stand: Stand, tag: str, now: datetime = FRIDAY) -> Assessment:
    return stand.assess(tag, now)


def weights(stand: Stand, tag: str, now: datetime) -> list[tuple[str, str]]:
    return [(w.name, w.because) for w in weights_wanted(told(stand, tag, now), stand.shop, now)]


def test_slots_in_order_and_what_stands_still_untold_first(stand: Stand) -> None:
    for tag, slot in (("T10", "A10"), ("T2", "A2"), ("T1", "B1"), ("T4", "")):
        add(stand, tag, slot, days=3)
    _, round_now = seen(stand)
    assert [spot.tag for spot in round_now.spots] == ["T2", "T10", "T1", "T4"]
    stand.check_in({"tag": "T1", "at": FRIDAY - MINUTE, "work": "stopped"}, FRIDAY)
    _, round_now = seen(stand)
    assert [spot.tag for spot in round_now.spots] == ["T1", "T2", "T10", "T4"]
    assert [spot.tag for spot in round_now.by_slot] == ["T2", "T10", "T1", "T4"]
    stand.correct(stand.facts("T1")[-1].id, {"dial": "3:47", "going_mm": "500"}, FRIDAY)
    _, round_now = seen(stand)
    assert [(spot.tag, spot.state) for spot in round_now.spots][-2:] == [("T1", "stands"), ("T4", "to-do")]


def test_it_goes_on_where_it_was_left(stand: Stand) -> None:
    for n in range(1, 5):
        add(stand, f"T{n}", f"A{n}", days=3)
    _, round_now = seen(stand)
    assert (len(round_now.left), round_now.number("T1")) == (4, 1)
    before = round_now.minutes_left
    stand.check_in({"tag": "T1", "error_s": 6}, FRIDAY)
    stand.check_in({"tag": "T3", "work": "seen-going"}, FRIDAY)
    view, round_now = seen(stand, skipped=frozenset({"T2"}))
    states = {spot.tag: spot.state for spot in round_now.spots}
    assert states == {"T1": "read", "T2": "skipped", "T3": "going", "T4": "to-do"}
    following = round_now.next_after("T1")
    assert following is not None
    assert following.tag == "T4"
    assert round_now.number("T4") == 4
    assert round_now.minutes_left < before
    # what was skipped comes again once nobody remembers the skipping
    assert [spot.tag for spot in round_of(view, FRIDAY).left] == ["T2", "T4"]
    assert round_of(view, FRIDAY + DAY).left != ()


def test_a_pendulum_that_was_held_is_read_once_more(stand: Stand) -> None:
    add(stand, "T1", "A1", days=3)
    stand.check_in({"tag": "T1", "error_s": 6}, FRIDAY)
    assert seen(stand)[1].left == ()
    stand.check_in({"tag": "T1", "work": "nut", "amount": -0.5}, FRIDAY)
    view, round_now = seen(stand)
    assert [spot.tag for spot in round_now.left] == ["T1"]
    assert [each.why for each in ending_of(view, round_now, FRIDAY)] == ["read once more"]
    stand.check_in({"tag": "T1", "error_s": 6}, FRIDAY + MINUTE / 2)
    assert seen(stand, FRIDAY + MINUTE)[1].left == ()


def test_released_and_delivered_clocks_are_not_gone_to(stand: Stand) -> None:
    add(stand, "T1", "A1", days=3)
    add(stand, "R1", "A2", kind="reference", days=3)
    assert [spot.tag for spot in seen(stand)[1].spots] == ["T1", "R1"]


def test_weights_are_asked_only_where_they_would_change_something(stand: Stand) -> None:
    add(stand, "T1", "A1", now=TUESDAY, days=5)
    assert [why for _, why in weights(stand, "T1", TUESDAY)] == ["where it hangs is not known"] * 2
    stand.check_in({"tag": "T1", "at": TUESDAY - DAY, "going_mm": 165 * 4, "strike_mm": 165 * 4}, TUESDAY)
    assert weights(stand, "T1", TUESDAY) == [], "read yesterday, and a week's fall is left"
    assert [why for _, why in weights(stand, "T1", TUESDAY + 2 * DAY)][:1] == ["last read Mon"]
    stand.check_in({"tag": "T1", "at": FRIDAY - DAY, "going_mm": 165 * 7, "strike_mm": 165 * 7}, FRIDAY)
    assert weights(stand, "T1", FRIDAY) == [
        ("left, strike", "the weekend is near"),
        ("right, going", "the weekend is near"),
    ]
    stand.check_in({"tag": "T1", "at": FRIDAY, "going_mm": 165 * 8}, FRIDAY)
    assert [name for name, _ in weights(stand, "T1", FRIDAY)] == ["left, strike"], "one read today is not read again"
    again = weights_wanted(told(stand, "T1"), stand.shop, FRIDAY, surprised=True)
    assert [w.because for w in again] == ["after a surprise"]


def test_a_holiday_counts_like_a_weekend(stand: Stand) -> None:
    day = datetime(2026, 12, 24, 8, 20, tzinfo=UTC)  # Thursday; Christmas Day 2026 is a Friday
    stand.set_settings({"holidays": "GB-ENG"}, day)
    add(stand, "T1", "A1", now=day, days=3)
    stand.check_in({"tag": "T1", "at": day - DAY, "going_mm": 330, "strike_mm": 330}, day)
    assert {why for _, why in weights(stand, "T1", day)} == {"the weekend is near"}
    sunday = datetime(2026, 5, 24, 8, 20, tzinfo=UTC)  # a Sunday before the spring bank holiday of 25 May 2026
    stand.set_settings({"open_days": "Mon-Sun"}, day)
    add(stand, "T2", "A2", now=sunday, days=3)
    stand.check_in({"tag": "T2", "at": sunday - DAY, "going_mm": 330, "strike_mm": 330}, day)
    assert {why for _, why in weights(stand, "T2", sunday)} == {"closed days are near"}


def test_one_weight_is_asked_once_and_springs_never(stand: Stand) -> None:
    add(stand, "T1", "A1", kind="longcase-30h", days=3)
    assert [name for name, _ in weights(stand, "T1", FRIDAY)] == ["weight"]
    add(stand, "T2", "A2", kind="mantel", days=3)
    assert weights(stand, "T2", FRIDAY) == []
    assert weights_hung(told(stand, "T2").estimates.history) == ()


@pytest.mark.parametrize(
    ("scale", "what", "typed", "degrees"),
    [(980, "swing-mm", "43", 2.512), (None, "swing", "2.5", 2.5)],
)
def test_swing_is_asked_where_it_is_due(stand: Stand, scale: int | None, what: str, typed: str, degrees: float) -> None:
    add(stand, "T1", "A1", unlock_deg=1.6, swing_scale_mm=scale)
    [wanted] = swing_wanted(told(stand, "T1"), stand.shop, FRIDAY)
    assert (wanted.what, wanted.because) == (what, "late in its wind")
    cells = cells_for(wanted, typed, told(stand, "T1").estimates.history)
    assert cells == {"amplitude_deg": pytest.approx(degrees, abs=1e-3)}  # atan(43/980) = 2.512 degrees
    stand.check_in({"tag": "T1", **cells}, FRIDAY)
    assert swing_wanted(told(stand, "T1"), stand.shop, FRIDAY) == ()
    add(stand, "T2", "A2")
    assert swing_wanted(told(stand, "T2"), stand.shop, FRIDAY) == (), "without its unlocking point it can't be judged"


def test_a_torsion_pendulum_is_asked_for_both_sides(stand: Stand) -> None:
    add(stand, "T1", "A1", kind="torsion", days=8)
    asked = swing_wanted(told(stand, "T1"), stand.shop, FRIDAY)
    assert [w.name for w in asked] == ["overswing left", "overswing right"]
    history = told(stand, "T1").estimates.history
    assert [cells_for(w, "24", history) for w in asked] == [{"overswing_left_deg": 24}, {"overswing_right_deg": 24}]


def test_the_temperature_is_asked_once_a_rail(stand: Stand) -> None:
    for tag, slot in (("T1", "A1"), ("T2", "A2"), ("T3", "B1")):
        add(stand, tag, slot, kind="mantel", days=3)

    def asked(tag: str, *, warm: bool = True) -> list[str]:
        view = stand.view(FRIDAY)
        told_of = told(stand, tag)
        return [w.name for w in wanted_of(told_of, view, FRIDAY, others=view.assessments, warm=warm)]

    assert asked("T1")[-1] == "room"
    assert "room" not in asked("T1", warm=False)
    stand.check_in({"tag": "T1", "temperature_c": 19.5}, FRIDAY)
    assert "room" not in asked("T2")
    assert asked("T3")[-1] == "room"


# the slot's paper scale


@pytest.mark.parametrize(
    ("zero", "scale", "read", "fallen"),
    [
        (None, None, 826, 826),
        (1500, "up", 674, 826),
        (100, "down", 926, 826),
        (0, "down", 826, 826),
        (-20, "down", 806, 826),
        (1500, None, 674, 826),
        (100, None, 926, 826),
        (1500, "up", 1510, -10),
    ],
)
def test_a_paper_scale_is_read_up_or_down(zero: float | None, scale: str | None, read: float, fallen: float) -> None:
    columns = {"strike_scale_mm": zero, "scale": scale}
    clock = build(Clock, {"tag": "T1", "kind": "longcase", **{k: v for k, v in columns.items() if v is not None}})
    assert fallen_mm(clock, Train.STRIKE, read) == fallen
    assert fallen_mm(clock, Train.GOING, read) == read, "each train has its own zero"
    if scale is not None:
        assert scale_reads(clock, Train.STRIKE, fallen) == read


def test_what_is_typed_on_a_scale_is_kept_as_mm_fallen(stand: Stand) -> None:
    add(stand, "T1", "A1", going_scale_mm=1500, strike_scale_mm=1480, scale="up")
    asked = weights_wanted(told(stand, "T1"), stand.shop, FRIDAY)
    history = told(stand, "T1").estimates.history
    assert [cells_for(w, "500", history) for w in asked] == [{"strike_mm": 980.0}, {"going_mm": 1000.0}]
    assert read_words(asked[0], "500", history) == "500 mm, 980 fallen"
    with pytest.raises(BadValue, match="no figure"):
        cells_for(asked[0], "5..", history)


def test_a_figure_is_taken_as_soon_as_no_other_could_follow() -> None:
    weight = Wanted("weight", "left", "", "mm", "", 1720.0, whole=True, train=Train.STRIKE)
    assert weight.complete("825")
    assert not weight.complete("150"), "1500 could follow"
    assert not weight.complete("0")
    assert not Wanted("swing", "swing", "", "°", "", 45.0, whole=False).complete("31")


# the end


def test_the_end_tells_what_was_not_read_runs_out_and_wants_adjusting(stand: Stand) -> None:
    for n, kind in enumerate(("mantel", "longcase", "longcase", "mantel"), start=1):
        add(stand, f"T{n}", f"A{n}", kind=kind, days=8)
    stand.check_in({"tag": "T2", "error_s": 16}, FRIDAY)
    stand.check_in({"tag": "T4", "dial": "3:47", "work": "stopped"}, FRIDAY)
    stand.check_in({"tag": "T3", "work": "seen-going"}, FRIDAY)
    view, round_now = seen(stand, skipped=frozenset({"T1"}))
    assert round_now.left == ()
    ends = ending_of(view, round_now, FRIDAY)
    assert [(each.tag, each.why) for each in ends] == [
        ("T1", "not read"),
        ("T3", "not read"),
        ("T4", "stands still"),
        ("T2", "runs out"),
    ]
    assert (ends[1].short, ends[1].text) == ("read", "seen going")


def test_a_weight_at_its_floor_has_run_out(stand: Stand) -> None:
    add(stand, "T1", "A1", days=3)
    fresh = told(stand, "T1")
    floor = fresh.estimates.power.trains[0].floor_mm
    assert floor is not None
    assert ran_out_likely(fresh, FRIDAY, {"going": floor - 5})
    assert not ran_out_likely(fresh, FRIDAY, {"going": floor - 300})
    assert not ran_out_likely(fresh, FRIDAY, {})
    assert ran_out_likely(fresh, FRIDAY + 30 * DAY, {})


def test_the_demo_goes_on_at_its_unread_clocks(tmp_path: Path) -> None:
    from standwatch.bootstrap import demo, open_stand  # noqa: PLC0415  # only here

    with demo() as (book, begins):
        stand = open_stand(book)
        try:
            round_now = round_of(stand.view(begins), begins)
        finally:
            stand.close()
    assert [spot.slot for spot in round_now.left] == ["C1", "C2", "C3", "C4"]
    assert len(round_now.spots) == 16
    assert 3 <= round_now.minutes_left <= 10
