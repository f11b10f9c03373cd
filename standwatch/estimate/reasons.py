"""Why a rate or an error is not yet known, as a restorer would say it."""

from __future__ import annotations

from datetime import datetime, timedelta

from standwatch.estimate.breaks import Break
from standwatch.estimate.history import History
from standwatch.estimate.story import Story
from standwatch.estimate.timeline import Timeline
from standwatch.model.answers import NotYetKnown
from standwatch.model.units import days
from standwatch.model.words import Work

_OPENED_BY = {
    Work.NUT: "by the nut",
    Work.BEAT_SET: "when the beat was set",
    Work.LEVELLED: "when the clock was levelled",
    Work.MOVED: "by the move",
    Work.CASED: "when it was cased",
    Work.OPENED: "when the movement was opened",
    Work.OILED: "when it was oiled",
}
_LOST_BY = {
    Work.HANDS_SET: "the hands were set by an amount nobody told",
    Work.HELD: "it was held for a time nobody told",
    Work.STOPPED: "it was found stopped",
    Work.RAN_OUT: "it was found run out",
    Work.RESTARTED: "it was restarted",
    Work.MOVED: "it was moved",
    Work.CASED: "it was cased",
    Work.OPENED: "the movement was opened",
    Work.OILED: "it was oiled",
}


def day_words(history: History, at: datetime) -> str:
    """ "Tue 3 Nov" in the shop's time."""
    local = at.astimezone(history.zone)
    return f"{local:%a} {local.day} {local:%b}"


def count_words(count: int) -> str:
    """ "no reading", "one reading", "4 readings"."""
    return "no reading" if count == 0 else "one reading" if count == 1 else f"{count} readings"


def _read_words(sound: int, doubted: int) -> str:
    """What was read: "4 readings", "one sound reading of 3", "3 readings that contradict each other"."""
    if not doubted:
        return count_words(sound)
    if sound:
        return f"{'one sound reading' if sound == 1 else f'{sound} sound readings'} of {sound + doubted}"
    return "one reading, hard to believe" if doubted == 1 else f"{doubted} readings that contradict each other"


def no_rate(history: History, line: Timeline, story: Story) -> NotYetKnown:
    """Why there is no rate yet."""
    opener, sound = line.opener, len(story.rate_steps())
    if story.turned_at is not None and story.rate_since == story.turned_at:
        about = day_words(history, story.turned_at)
        return NotYetKnown(
            f"the nut seems to have been turned about {about}; {count_words(sound)} since, two are wanted"
        )
    begun = line.rate_since
    doubted = sum(begun is not None and line.visits[line.sources[n]].at >= begun for n in story.dropped)
    read, wanted = _read_words(sound, doubted), "two that agree" if doubted else "two"
    if opener is not None and line.rate_since is not None:
        opened = f"the rate was opened {_OPENED_BY[opener.work]} on {day_words(history, opener.at)}"
        if history.now < line.rate_since:
            return NotYetKnown(f"{opened} and settles for {_settling_words(opener)}")
        if sound < 2:
            since = f"since it settled {read}" if doubted else f"{read} since it settled"
            return NotYetKnown(f"{opened}; {since}, {wanted} are wanted")
        return NotYetKnown(f"{opened}; no two readings since lie in one unbroken run of the hands")
    if sound < 2:
        return NotYetKnown(f"{f'so far {read}' if doubted else f'{read} so far'}; a rate wants {wanted}")
    return NotYetKnown("no two readings lie in one unbroken run of the hands, some time apart")


def _settling_words(opener: Break) -> str:
    """ "12 hours", "a day"."""
    hours = (opener.settled_at - opener.at) / timedelta(hours=1)
    return {24.0: "a day", 48.0: "two days"}.get(hours, f"{hours:g} hours")


def no_error(history: History, line: Timeline, story: Story, at: datetime) -> NotYetKnown | None:
    """Why the error at `at` is not known; None where it is."""
    if not story.sound:
        return NotYetKnown(_not_told(len(story.dropped)))
    day = days(at)
    if day < line.days_at[0]:
        return NotYetKnown(f"its first reading is of {day_words(history, line.visits[0].at)}")
    if line.stood_at(at):
        return NotYetKnown("it stands still" if line.hung[-1][1] is None else "it stood still then")
    if story.read_in_run(day):
        return None
    lost = [b for b in history.breaks if b.error_sd_s == float("inf") and b.at <= at]
    doubted = story.doubted_in_run(day)
    if not lost:
        return NotYetKnown(_not_told(doubted))
    since = f"{_LOST_BY[lost[-1].work]} on {day_words(history, lost[-1].at)}"
    return NotYetKnown(f"{since}; since then {_not_told(doubted)}" if doubted else f"{since} and not read since")


def _not_told(doubted: int) -> str:
    """Why readings tell no error, `doubted` being those that are no good."""
    return f"{_read_words(0, doubted)}: read again" if doubted else "not read yet"
