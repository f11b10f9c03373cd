"""The round by its keys, over a real book at both sizes: each key's facts are read back from the book."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from standwatch.model.facts import CheckIn
from standwatch.model.words import ReadBy, Work
from standwatch.tui.app import StandwatchApp
from standwatch.tui.screens.clock import ClockScreen
from standwatch.tui.screens.help import HelpScreen
from standwatch.tui.screens.round.screen import RoundScreen
from standwatch.tui.screens.stand import StandScreen
from tests.tui.round_shop import make_round
from tests.tui.screens import SMALL, WIDE, press, running, settle, text_of, type_in
from tests.tui.shop import NOW, ZONE, open_shop

pytestmark = pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])
SECOND = timedelta(seconds=1)


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_round(tmp_path_factory.mktemp("round") / "book.sqlite")


@pytest.fixture
def book(made: Path, tmp_path: Path) -> Path:
    path = tmp_path / "book.sqlite"
    path.write_bytes(made.read_bytes())
    return path


@dataclass
class Hand:
    """Someone at the round: the time can be set before a key, as it is when the hand crosses."""

    app: StandwatchApp
    pilot: Pilot[Any]
    book: Path
    times: list[datetime]

    async def keys(self, *keys: str) -> None:
        await press(self.pilot, *keys)

    async def cross(self, clock_time: str, key: str = "space") -> None:
        """Press at "8:20:40" of civil time."""
        hour, minute, second = (int(part) for part in clock_time.split(":"))
        local = NOW.astimezone(ZONE).replace(hour=hour, minute=minute, second=second, microsecond=0)
        self.times[0] = local.astimezone(NOW.tzinfo)
        await press(self.pilot, key)

    async def go_to(self, tag: str) -> None:
        while self.screen.turn is not None and self.screen.turn.tag != tag:
            await press(self.pilot, "n")

    @property
    def screen(self) -> RoundScreen:
        assert isinstance(self.app.screen, RoundScreen)
        return self.app.screen

    @property
    def tag(self) -> str:
        assert self.screen.turn is not None
        return self.screen.turn.tag

    @property
    def text(self) -> str:
        return text_of(self.app)

    def facts(self, tag: str) -> list[CheckIn]:
        """What was told of `tag` today, in the order of telling."""
        stand = open_shop(self.book)
        try:
            known = sorted(stand.facts(tag), key=lambda record: record.sequence)
            return [record.body for record in known if record.body.at > NOW - timedelta(hours=3)]
        finally:
            stand.close()

    def all_facts(self, tag: str) -> list[CheckIn]:
        stand = open_shop(self.book)
        try:
            return [record.body for record in stand.facts(tag)]
        finally:
            stand.close()


Open = Callable[[], Any]


@asynccontextmanager
async def at_round(book: Path, size: tuple[int, int], start: datetime = NOW) -> AsyncIterator[Hand]:
    times = [start]
    async with running(book, size, now=lambda: times[0]) as (app, pilot):
        await press(pilot, "r")
        yield Hand(app, pilot, book, times)


def last(facts: list[CheckIn]) -> CheckIn:
    return facts[-1]


# a plain reading


async def test_two_keys_read_a_clock_and_the_next_press_is_the_next_clocks(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        assert hand.tag == "3001"
        await hand.go_to("3002")
        await hand.cross("8:21:02")
        assert hand.screen.turn is not None
        assert hand.screen.turn.stage == "figure"
        await hand.keys("1")
        [fact] = hand.facts("3002")
        assert abs(fact.at - hand.times[0]) < SECOND / 10, "the reading is of the press"
        assert (fact.dial, fact.read_by, fact.error_u_s) == ("8:21:00", ReadBy.SECONDS_HAND, None)
        assert "expected" in hand.text
        await hand.keys("n")
        assert hand.tag == "3003"


async def test_what_is_expected_is_nowhere_before_the_figure_is_in(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        for tag, known in (("3001", ("0:14", "14.0", "14 fast")), ("3002", ("2.1", "0:02")), ("3003", ("1:03", "63"))):
            await hand.go_to(tag)
            for shown in (hand.text, ""):
                assert not [word for word in known if word in shown.replace("8:20:14", "")], tag
            await hand.cross("8:20:31")
            shown = hand.text.replace("8:20:31", "")
            assert not [word for word in known if word in shown], tag
            assert "expected ±" not in shown
            assert "mark " not in shown.lower().replace("minute mark", "").replace("which mark", "")


async def test_the_minute_hand_is_read_at_a_mark(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await hand.go_to("3003")
        await hand.cross("8:21:55")
        await hand.keys("3")
        [fact] = hand.facts("3003")
        assert (fact.dial, fact.read_by, fact.error_u_s) == ("8:23:00", ReadBy.MINUTE_HAND, 15.0)


async def test_a_first_reading_asks_the_whole_dial(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await hand.go_to("3005")
        assert "the whole dial time" in hand.text
        await hand.cross("8:21:10")
        await hand.keys("8", "2")
        assert hand.facts("3005") == []
        await hand.keys("9")
        assert last(hand.facts("3005")).dial == "8:29:00"
        assert "nothing was expected" in hand.text


async def test_a_dial_that_cannot_be_is_said_and_may_be_typed_anew(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await hand.go_to("3005")
        await hand.cross("8:21:10")
        await hand.keys("8", "7", "1", "1")
        assert "no dial shows 8711" in hand.text
        await hand.keys("u", "1", "0", "2", "enter")
        assert last(hand.facts("3005")).dial == "1:02:00"


async def test_pressing_again_stamps_anew(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await hand.go_to("3002")
        await hand.cross("8:20:47")
        await hand.cross("8:21:02")
        await hand.keys("1")
        assert abs(last(hand.facts("3002")).at - hand.times[0]) < SECOND / 10


async def test_a_whole_rail_is_pressed_and_its_figures_follow(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await hand.cross("8:20:46", "enter")
        await hand.cross("8:20:47", "enter")
        assert hand.tag == "3002"
        await hand.cross("8:21:02")
        await hand.keys("enter")
        assert hand.tag == "3003"
        assert "pressed: 3001, 3002; their figures are asked at the rail's end" in text_of(hand.app)
        await hand.cross("8:21:55")
        assert hand.facts("3001") == hand.facts("3002") == []
        await hand.keys("enter")
        assert hand.tag == "3001", "the rail's end: now the figures"
        await hand.keys("1")
        await hand.keys("n")
        assert hand.tag == "3002"
        await hand.keys("1", "n", "3")
        assert [last(hand.facts(tag)).dial for tag in ("3001", "3002", "3003")] == ["8:21:00", "8:21:00", "8:23:00"]
        await hand.keys("n")
        assert hand.tag == "3004"


async def test_another_mark_puts_the_reading_right(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await hand.go_to("3002")
        await hand.cross("8:21:02")
        await hand.keys("1")
        assert last(hand.facts("3002")).dial == "8:21:00"
        await hand.keys("m", "3", "0")
        assert [fact.dial for fact in hand.facts("3002")] == ["8:21:30"]
        assert hand.screen.turn is not None
        assert hand.screen.turn.typed == "", "both figures of 30 may be typed"


# weights, swing, temperature, a note


async def test_weights_by_the_slots_scale_and_swing_in_mm(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        assert "on the slot's scale" in hand.text
        await hand.cross("8:20:46")
        await hand.keys("1")
        await hand.keys("3", "2", "5")
        assert last(hand.facts("3001")).strike_mm == 1155
        await hand.keys("3", "4", "5")
        assert last(hand.facts("3001")).going_mm == 1155
        await hand.keys("4", "3")
        assert last(hand.facts("3001")).amplitude_deg == pytest.approx(2.512, abs=1e-3)
        await hand.keys("1", "9", "full_stop", "5", "enter")
        assert last(hand.facts("3001")).temperature_c == 19.5
        assert len(hand.facts("3001")) == 5
        await hand.go_to("3003")
        assert "temperature at this rail" not in hand.text, "once a rail"


async def test_two_weights_and_swing_in_twelve_keys(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        keys = ["1", *"325", *"345", *"43"]
        await hand.cross("8:20:46")
        await hand.keys(*keys)
        assert 1 + len(keys) <= 12
        told = hand.facts("3001")
        assert told[0].dial is not None
        assert (told[1].strike_mm, told[2].going_mm) == (1155, 1155)
        assert told[3].amplitude_deg is not None


async def test_enter_alone_passes_over_and_enter_after_a_figure_is_not_for_the_next(
    size: tuple[int, int], book: Path
) -> None:
    async with at_round(book, size) as hand:
        await hand.cross("8:20:46")
        await hand.keys("1", "enter", "3", "4", "5", "enter")
        assert hand.screen.turn is not None
        assert hand.screen.turn.wanted is not None
        assert hand.screen.turn.wanted.what == "swing-mm"
        told = hand.facts("3001")
        assert [fact.strike_mm for fact in told] == [None, None]
        assert told[-1].going_mm == 1155


async def test_backspace_goes_back_to_the_figure_before(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await hand.cross("8:20:46")
        await hand.keys("1", "3", "2", "6")
        assert last(hand.facts("3001")).strike_mm == 1154
        await hand.keys("9", "backspace", "backspace")
        assert [fact.strike_mm for fact in hand.facts("3001")] == [None], "taken back"
        await hand.keys("3", "2", "5")
        assert last(hand.facts("3001")).strike_mm == 1155


async def test_a_figure_that_cannot_be_is_refused_where_it_is_typed(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await hand.go_to("3004")
        await hand.cross("8:20:36")
        await hand.keys("1")
        if hand.screen.turn is not None and hand.screen.turn.stage == "figure":
            await hand.keys("6")
        while hand.screen.turn is not None and hand.screen.turn.wanted is not None:
            if hand.screen.turn.wanted.what == "temperature":
                break
            await hand.keys("enter")
        await hand.keys(*"99", "enter")
        assert "temperature_c" in hand.text
        assert len(hand.facts("3004")) == 1
        await hand.keys(*"19", "enter")
        assert len(hand.facts("3004")) == 2


async def test_a_note_is_typed_without_leaving(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await hand.keys("a")
        await type_in(hand.pilot, "line rubs [case]")
        await hand.keys("enter")
        assert last(hand.facts("3001")).note == "line rubs [case]"
        assert hand.tag == "3001"
        await hand.keys("a", "escape")
        assert len(hand.facts("3001")) == 1


# seen going, stopped, skipped, touched, undo


async def test_seen_going_and_skipped(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await hand.keys("g")
        assert [fact.work for fact in hand.facts("3001")] == [Work.SEEN_GOING]
        assert hand.tag == "3002"
        await hand.keys("minus")
        assert hand.facts("3002") == []
        assert hand.tag == "3003"


async def test_found_stopped_asks_dial_and_weights_before_anything_is_touched(
    size: tuple[int, int], book: Path
) -> None:
    async with at_round(book, size) as hand:
        await hand.keys("x")
        assert [fact.work for fact in hand.facts("3001")] == [Work.STOPPED], "kept at once"
        await hand.keys("3", "4", "7", "5", "2", "5", "5", "4", "5")
        [fact] = hand.facts("3001")
        assert (fact.dial, fact.strike_mm, fact.going_mm) == ("3:47", 955, 955)
        assert "Enter: stopped" in hand.text
        await hand.keys("enter")
        assert last(hand.facts("3001")).work is Work.STOPPED
        assert "explain" in hand.text
        await hand.keys("space")
        assert hand.tag == "3002"


async def test_a_weight_at_the_floor_has_run_out(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await hand.keys("asterisk", *"347", "enter", "enter", *"98")
        assert hand.screen.turn is not None
        await hand.keys("enter")
        assert "Enter: ran out" in hand.text
        await hand.keys("enter")
        [fact] = hand.facts("3001")
        assert (fact.work, fact.going_mm) == (Work.RAN_OUT, 1402)


async def test_the_nut_wants_another_reading(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await hand.go_to("3002")
        await hand.cross("8:21:02")
        await hand.keys("1", "slash", "2")
        await type_in(hand.pilot, "-0.5")
        await hand.keys("enter")
        assert last(hand.facts("3002")).work is Work.NUT
        assert hand.tag == "3002"
        assert "read it once more" in hand.text
        await hand.cross("8:22:02")
        await hand.keys("2", "6")
        assert last(hand.facts("3002")).dial == "8:22:00"


async def test_touched_by_number_and_zero_leaves(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await hand.keys("slash")
        assert "1w wound" in hand.text
        await hand.keys("0")
        assert hand.app.screen is hand.screen
        await hand.keys("t", "1", "enter")
        assert last(hand.facts("3001")).work is Work.WOUND
        await hand.keys("t", "s")
        assert hand.screen.turn is not None
        assert hand.screen.turn.stage == "hung"
        assert hand.screen.bar.mode == "rest", "its dial is asked, and nothing else"


async def test_undo_goes_back_key_by_key_and_clock_by_clock(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await hand.cross("8:20:46")
        await hand.keys("1", *"325")
        assert len(hand.facts("3001")) == 2
        await hand.keys("n")
        assert hand.tag == "3002"
        await hand.keys("space", "u")
        assert hand.screen.turn is not None
        assert hand.screen.turn.stage == "hand", "first the press"
        await hand.keys("full_stop")
        assert hand.tag == "3001"
        assert len(hand.facts("3001")) == 1
        await hand.keys("u")
        assert hand.facts("3001") == []
        assert hand.screen.turn.stage == "hand"
        await hand.keys("u")
        assert len(hand.all_facts("3001")) == 8, "what was before the round is not taken back here"


# a surprise


async def surprised(hand: Hand) -> None:
    """The regulator, two seconds slow, shows four minutes more."""
    await hand.go_to("3002")
    await hand.cross("8:21:02")
    await hand.keys("5", "6")
    assert hand.screen.turn is not None
    assert hand.screen.turn.stage == "surprise"


async def test_a_surprise_asks_at_once_and_looks_again_first(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await surprised(hand)
        assert len(hand.facts("3002")) == 1, "it is kept at once"
        assert "WHAT HAPPENED?" in hand.text
        await hand.keys("4")
        assert "only after a second look" in hand.text
        await hand.keys("enter")
        assert "the whole dial time" in hand.text
        await hand.cross("8:22:02")
        await hand.keys(*"822", "6")
        assert "THE SECOND LOOK IS AS EXPECTED" in hand.text
        await hand.keys("enter")
        assert [fact.dial for fact in sorted(hand.facts("3002"), key=lambda fact: fact.at)] == ["8:21:00", "8:22:00"]
        assert hand.screen.turn is not None
        assert hand.screen.turn.stage == "found"


@pytest.mark.parametrize(
    ("key", "works"), [("2", [Work.HANDS_SET]), ("3", [Work.STOPPED, Work.RESTARTED]), ("5", []), ("6", [])]
)
async def test_each_answer_writes_its_facts(key: str, works: list[Work], size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        before = len(hand.all_facts("3002"))
        await surprised(hand)
        await hand.keys(key)
        if key == "3":
            assert "when it was set going" in hand.text
            await hand.keys(*"745", "enter")
            assert hand.facts("3002")[-1].at.astimezone(ZONE).strftime("%H:%M") == "07:45"
        told = [fact.work for fact in hand.all_facts("3002") if fact.work not in {None, Work.WOUND}]
        assert told == works
        note = hand.facts("3002")[-1].note or ""
        assert ("slipped" in note) is (key == "5")
        await hand.keys("u", *(["u"] if works or key == "5" else []))
        assert len(hand.all_facts("3002")) == before, "both the answer and the reading are taken back"


async def test_nobody_knows_when_it_was_set_going(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await surprised(hand)
        await hand.keys("3", "9", "9", "9", "9", "enter")
        assert "no time of day" in hand.text
        await hand.keys("enter")
        assert [fact.work for fact in hand.facts("3002")][-2:] == [Work.STOPPED, Work.RESTARTED]


async def test_a_surprise_is_left_for_later(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await surprised(hand)
        await hand.keys("n")
        assert hand.tag == "3003"
        assert len(hand.facts("3002")) == 1


# the place is kept; the end


async def test_escape_leaves_and_the_place_is_kept(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await hand.keys("n")
        await hand.cross("8:21:02")
        await hand.keys("1", "escape")
        assert isinstance(hand.app.screen, StandScreen)
        assert len(hand.facts("3002")) == 1
        await hand.keys("r")
        assert hand.tag == "3003", "A1 was passed over, A2 is read"
        assert "3 of 5" in hand.text
    async with at_round(book, size, NOW + 60 * SECOND) as again:
        assert again.tag == "3001", "what was passed over comes again in another program; what was read doesn't"
        await again.keys("n")
        assert again.tag == "3003"


async def test_the_end_tells_what_is_left_and_goes_there(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await hand.keys("x", *"347", *"525", *"545", "enter", "n")
        await hand.keys("n", "n", "n", "n")
        assert "THE ROUND IS DONE" in hand.text
        assert "not read" in hand.text
        await hand.keys("1")
        assert hand.tag == "3002"
        await hand.cross("8:21:02")
        await hand.keys("1", "n")
        assert "THE ROUND IS DONE" in hand.text
        number = next(line.strip()[0] for line in hand.text.splitlines() if " 3001 " in line)
        await hand.keys(number)
        assert isinstance(hand.app.screen, ClockScreen)
        await hand.keys("escape", "enter")
        assert isinstance(hand.app.screen, StandScreen)


async def test_the_bell_rings_once_or_twice_where_it_is_wanted(
    size: tuple[int, int], book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rung: list[int] = []
    async with at_round(book, size) as hand:
        monkeypatch.setattr(hand.app, "bell", lambda: rung.append(1))
        await hand.go_to("3003")
        await hand.cross("8:21:55")
        await hand.keys("3")
        assert rung == []
        await hand.keys("n", "b")
        assert "bell on" in hand.text
        rung.clear()
        await hand.go_to("3002")
        await hand.keys("n")
        await hand.keys("b", "b")
        rung.clear()
        hand.screen.go_back_to("3002")
        await hand.cross("8:21:02")
        await hand.keys("5", "6")
        await hand.pilot.pause(0.4)
        assert len(rung) == 2


async def test_the_whole_round_goes_on_a_number_pad(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        await hand.cross("8:20:46", "enter")
        await hand.keys("1", *"325", *"345", *"43", *"19", "enter")
        await hand.cross("8:21:02", "enter")
        assert hand.tag == "3002"
        await hand.keys("1", "minus")
        await hand.cross("8:21:55", "enter")
        await hand.keys("3")
        await hand.keys("minus", "asterisk", *"347", *["enter"] * 5)
        assert last(hand.facts("3004")).dial == "3:47"
        await hand.keys("minus")
        await hand.keys("plus")
        assert last(hand.facts("3005")).work is Work.SEEN_GOING
        assert "THE ROUND IS DONE" in hand.text
        assert {tag: bool(hand.facts(tag)) for tag in ("3001", "3002", "3003")} == dict.fromkeys(
            ("3001", "3002", "3003"), True
        )
        await hand.keys("enter")
        assert isinstance(hand.app.screen, StandScreen)


async def test_help_and_foot_name_the_keys(size: tuple[int, int], book: Path) -> None:
    async with at_round(book, size) as hand:
        foot = hand.text.splitlines()[-1]
        for words in ("Space crosses", "g + going", "x * stopped", "n - skip", "t / touched"):
            assert words in foot
        await hand.keys("question_mark")
        assert isinstance(hand.app.screen, HelpScreen)
        await hand.keys("escape", "space")
        foot = hand.text.splitlines()[-1]
        assert "0-9 figure" in foot


async def test_an_empty_stand_has_no_round_to_make(size: tuple[int, int], empty_book: Path) -> None:
    async with running(empty_book, size) as (app, pilot):
        await press(pilot, "r")
        await settle(pilot)
        assert "Traceback" not in text_of(app)
