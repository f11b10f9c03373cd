"""What each work is, and what its amount means."""

from __future__ import annotations

from standwatch.model.words import Work

WORK_WORDS = {
    Work.WOUND: "key turns of springs, mm raised of weights; empty: to the top",
    Work.HANDS_SET: "seconds moved, + forward; empty: unknown",
    Work.HOURS_SHIFTED: "whole hours forward, so that other hours sound by day",
    Work.SUMMER_TIME: "seconds the civil time moved, now shown",
    Work.HELD: "seconds the pendulum was held on purpose",
    Work.SEEN_GOING: "seen, not read",
    Work.NUT: "turns, + raises the bob or goes faster; empty: unknown",
    Work.BEAT_SET: "put in beat",
    Work.LEVELLED: "levelled",
    Work.MOVED: "to another slot (in the note)",
    Work.BUMPED: "every clock of its rail was shaken",
    Work.CASED: "into its own case, own weights and pendulum",
    Work.STOPPED: "found hanging; dial and falls are as it hung",
    Work.RAN_OUT: "found run down; of one --train, or of all",
    Work.RESTARTED: "set going again",
    Work.OPENED: "opened: all evidence starts anew",
    Work.OILED: "oiled: all evidence starts anew",
    Work.OIL_CHECKED: "0 clear, 1 dark or dry at a pivot; note: initials, needed",
    Work.MIS_SET: "quarters the chime was tripped by, 1 to 3",
    Work.TUNE: "the selector's position, 1 up; 0 is silent",
    Work.CHIME_SET: "chime put right from outside",
    Work.MOON_SET: "moon dial set",
    Work.STRIKE_SET: "hour hand or count wheel put right",
    Work.SAFETY_CHECKED: "lines, hooks, suspension, clicks; note: initials, needed",
}

WORK_HELP = "\b\nWHAT is one of (and its amount):\n" + "\n".join(
    f"  {work:<15} {words}" for work, words in WORK_WORDS.items()
)
