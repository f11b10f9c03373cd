"""What things are called: kinds, work, outcomes, standings and next steps. The values are INTERFACES' words."""

from __future__ import annotations

from enum import StrEnum
from types import MappingProxyType


class KindName(StrEnum):
    """The kinds of clock the stand knows."""

    REGULATOR = "regulator"
    WEIGHT_WALL = "weight-wall"
    LONGCASE = "longcase"
    LONGCASE_30H = "longcase-30h"
    FLOOR_CHIMING = "floor-chiming"
    CUCKOO = "cuckoo"
    SPRING_WALL = "spring-wall"
    SPRING_WALL_31D = "spring-wall-31d"
    MANTEL = "mantel"
    BRACKET = "bracket"
    MANTEL_CHIMING = "mantel-chiming"
    CARRIAGE = "carriage"
    TORSION = "torsion"
    REFERENCE = "reference"


class Train(StrEnum):
    """The trains of a clock, in the order a ledger names them."""

    GOING = "going"
    STRIKE = "strike"
    CHIME = "chime"


class Drive(StrEnum):
    """What drives the trains."""

    WEIGHT = "weight"
    SPRING = "spring"


class ReadBy(StrEnum):
    """How a time error was read."""

    SECONDS_HAND = "seconds-hand"
    MINUTE_HAND = "minute-hand"
    ESTIMATE = "estimate"
    FIRST_BLOW = "first-blow"


class Chime(StrEnum):
    """What a quarter's listening heard."""

    IN_STEP = "in-step"
    OUT_OF_STEP = "out-of-step"
    SILENT = "silent"
    NOT_RUNNING = "not-running"


class Work(StrEnum):
    """One piece of work on a clock, or of what was found at it."""

    WOUND = "wound"
    HANDS_SET = "hands-set"
    HOURS_SHIFTED = "hours-shifted"
    SUMMER_TIME = "summer-time"
    HELD = "held"
    SEEN_GOING = "seen-going"
    NUT = "nut"
    BEAT_SET = "beat-set"
    LEVELLED = "levelled"
    MOVED = "moved"
    BUMPED = "bumped"
    CASED = "cased"
    STOPPED = "stopped"
    RAN_OUT = "ran-out"
    RESTARTED = "restarted"
    OPENED = "opened"
    OILED = "oiled"
    OIL_CHECKED = "oil-checked"
    MIS_SET = "mis-set"
    TUNE = "tune"
    CHIME_SET = "chime-set"
    MOON_SET = "moon-set"
    STRIKE_SET = "strike-set"
    SAFETY_CHECKED = "safety-checked"


class Requirement(StrEnum):
    """What a clock must show before it goes home, in the order of the record."""

    CONTINUOUS_RUNNING = "continuous-running"
    FULL_DURATION = "full-duration"
    WEIGHT_PASSAGE = "weight-passage"
    MEAN_RATE = "mean-rate"
    DAY_RANGE = "day-range"
    AMPLITUDE = "amplitude"
    BEAT = "beat"
    TWELVE_COUNTS = "twelve-counts"
    CHIME_STEP = "chime-step"
    MIS_SET = "mis-set"
    TUNES = "tunes"
    MOON = "moon"
    OIL = "oil"
    OWN_CASE = "own-case"
    SAFETY = "safety"


NEVER_WAIVED = frozenset(
    {
        Requirement.CONTINUOUS_RUNNING,
        Requirement.FULL_DURATION,
        Requirement.BEAT,
        Requirement.TWELVE_COUNTS,
        Requirement.CHIME_STEP,
        Requirement.MIS_SET,
        Requirement.OWN_CASE,
        Requirement.SAFETY,
    }
)

REQUIREMENT_NAMES = MappingProxyType(
    {
        Requirement.CONTINUOUS_RUNNING: "continuous running",
        Requirement.FULL_DURATION: "full duration",
        Requirement.WEIGHT_PASSAGE: "past the bob",
        Requirement.MEAN_RATE: "mean rate",
        Requirement.DAY_RANGE: "day-to-day range",
        Requirement.AMPLITUDE: "swing",
        Requirement.BEAT: "beat",
        Requirement.TWELVE_COUNTS: "twelve counts",
        Requirement.CHIME_STEP: "chime in step",
        Requirement.MIS_SET: "mis-set test",
        Requirement.TUNES: "tunes and silent",
        Requirement.MOON: "moon",
        Requirement.OIL: "oil",
        Requirement.OWN_CASE: "own case",
        Requirement.SAFETY: "safety",
    }
)
"""As a person calls them, in a release and on its papers."""


class Outcome(StrEnum):
    """What the evidence says of one requirement."""

    NOT_APPLICABLE = "not-applicable"
    NOT_YET_KNOWN = "not-yet-known"
    MET = "met"
    MISSED = "missed"
    WAIVED = "waived"


class Standing(StrEnum):
    """Where a clock stands, in order of precedence."""

    RELEASED = "released"
    ATTENTION = "attention"
    SETTLING = "settling"
    READY = "ready"
    ON_TEST = "on-test"


class NextStep(StrEnum):
    """The one thing to do next with a clock."""

    EXPLAIN = "explain"
    RESTART = "restart"
    WIND = "wind"
    LET_RUN_OUT = "let-run-out"
    LISTEN = "listen"
    READ_AGAIN = "read-again"
    READ = "read"
    REGULATE = "regulate"
    RELEASE = "release"
    LOOK = "look"
    DELIVER = "deliver"
    CALL = "call"
    NOTHING = "nothing"
