"""Release: may it go? Every requirement with its outcome, its evidence, what remains and the earliest day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from textual.content import Content
from textual.geometry import Size

from standwatch.judge.assessment import DONE, Assessment, Verdict
from standwatch.model.words import NEVER_WAIVED, Outcome, Requirement, Standing
from standwatch.tui.draw import words
from standwatch.tui.draw.glyphs import large, small
from standwatch.tui.draw.needed import MARKS, evidence
from standwatch.tui.draw.paint import (
    HERE,
    MUTED,
    PLAIN,
    SUCCESS,
    WARNING,
    Lines,
    crown,
    fit,
    line,
    sized,
    stack,
    strong,
    wrapped,
)

NAMES = {
    Requirement.CONTINUOUS_RUNNING: "continuous running",
    Requirement.FULL_DURATION: "full duration",
    Requirement.WEIGHT_PASSAGE: "past the bob",
    Requirement.MEAN_RATE: "mean rate",
    Requirement.DAY_RANGE: "day-to-day spread",
    Requirement.AMPLITUDE: "swing",
    Requirement.BEAT: "beat",
    Requirement.TWELVE_COUNTS: "twelve counts",
    Requirement.CHIME_STEP: "chime in step",
    Requirement.MIS_SET: "mis-set test",
    Requirement.TUNES: "tunes, silent",
    Requirement.MOON: "moon",
    Requirement.OIL: "oil looked at",
    Requirement.OWN_CASE: "own case",
    Requirement.SAFETY: "safety",
}
_OUTCOMES = {
    Outcome.MET: "met",
    Outcome.MISSED: "missed",
    Outcome.NOT_YET_KNOWN: "not yet",
    Outcome.WAIVED: "waived",
    Outcome.NOT_APPLICABLE: "n/a",
}
_ORDER = [Outcome.MISSED, Outcome.NOT_YET_KNOWN, Outcome.WAIVED, Outcome.MET, Outcome.NOT_APPLICABLE]
_LATE = timedelta(days=36_500)


@dataclass(frozen=True, slots=True)
class Asked:
    """One clock before its release: what was found, and the waivers that will go with it, by requirement."""

    found: Assessment
    now: datetime
    zone: ZoneInfo
    waive: Mapping[Requirement, str]
    chosen: int = 0

    @property
    def verdicts(self) -> tuple[Verdict, ...]:
        """What remains first, soonest day first; then what is done."""

        def key(verdict: Verdict) -> tuple[int, timedelta]:
            wait = verdict.earliest - self.now if verdict.earliest is not None else _LATE
            return _ORDER.index(verdict.outcome), wait if verdict.outcome not in DONE else timedelta()

        return tuple(sorted(self.found.verdicts, key=key))

    @property
    def open(self) -> tuple[Verdict, ...]:
        """What is neither met, waived nor not applicable."""
        return tuple(v for v in self.verdicts if v.outcome not in DONE and v.requirement not in self.waive)

    @property
    def released(self) -> bool:
        """Already let go."""
        return self.found.standing is Standing.RELEASED

    @property
    def may_go(self) -> bool:
        """Nothing is in the way of a release."""
        still = self.found.going.hangs is not None
        return not self.open and not still and all(s.explained or s.in_time for s in self.found.going.stops)


def name_of(requirement: Requirement) -> str:
    """Its name, with * where it is never waived."""
    return NAMES[requirement] + (" *" if requirement in NEVER_WAIVED else "")


def head(asked: Asked, width: int) -> Content:
    """Who it is, for whom, how long it has been tested."""
    found = asked.found
    history = found.estimates.history
    clock = history.clock
    who = "  ".join(part for part in (history.position, clock.tag) if part)
    owner = f"   for {clock.owner}" if clock.owner else ""
    held = f"{found.standing.value.replace('-', ' ')} {int(found.days_held + 0.05)}/{int(found.days_needed + 0.99)} d "
    told = line((f"  {clock.description or history.traits.kind.title}", PLAIN), (owner, MUTED))
    return crown(line((f" RELEASE  {who}", strong(PLAIN))), told, [line((held, MUTED))], width)


def page(asked: Asked, size: Size) -> Content:
    """The whole screen under its head."""
    tall = size.height >= 27
    air = [Content("")] if tall else []
    top = [*air, *_verdict_large(asked, size.width, tall=tall), *air]
    rows = _rows(asked, size.width, max(size.height - len(top) - 3, 1))
    room = max(size.height - len(top) - 1, 1)
    ends = [sum(len(row) for row in rows[: n + 1]) for n in range(len(rows))]
    first = max(ends[asked.chosen] - room, 0)
    lines = [part for row in rows for part in row]
    told = [*top, _heads(size.width), *lines[first : first + room], *_starred(size, room - len(lines))]
    return stack(told, size.height)


def _rows(asked: Asked, width: int, height: int) -> list[Lines]:
    """The requirements; a reason that is cut gets a second line as long as there is room for it, from the top."""
    spare = height - len(asked.verdicts)
    rows: list[Lines] = []
    for n, verdict in enumerate(asked.verdicts):
        row = _row(asked, verdict, width, chosen=n == asked.chosen, height=2 if spare > 0 else 1)
        spare -= len(row) - 1
        rows.append(row)
    return rows


def _starred(size: Size, room: int) -> Lines:
    if room < 3:
        return []
    told = "* never waived. It may go when every requirement is met, waived or does not apply."
    return [Content(""), line((f"  {fit(told, size.width - 2)}".rstrip(), MUTED))]


def _verdict_large(asked: Asked, width: int, *, tall: bool) -> Lines:
    """HOLD or MAY GO as large letters, what remains beside them."""
    said = "GOES" if asked.released else "MAY GO" if asked.may_go else "HOLD"
    rows = large(said) if tall else small(said)
    colour = SUCCESS if said != "HOLD" else WARNING
    beside = _beside(asked)
    room = width - len(rows[0]) - 5
    return [
        line(
            (f" {row}   ", strong(colour)),
            (fit(beside[n][0] if n < len(beside) else "", room), beside[n][1] if n < len(beside) else PLAIN),
        )
        for n, row in enumerate(rows)
    ]


def _beside(asked: Asked) -> list[tuple[str, str]]:
    told = [(_counts(asked), strong(PLAIN))]
    if asked.released:
        return [*told, ("it was let go; d records that it went home", PLAIN), ("o takes it back to the stand", MUTED)]
    if asked.may_go:
        rate = words.rate_text(asked.found.estimates.time.rate)
        return [*told, (f"{rate} s/day", PLAIN), ("it stays until you let it go: e, then its tag", MUTED)]
    today = [NAMES[v.requirement] for v in asked.open if v.earliest is not None and _is_today(v.earliest, asked)]
    told.append((_when(asked), PLAIN))
    if today:
        told.append((f"today: {', '.join(today)}", PLAIN))
    if asked.found.going.hangs is not None:
        told.append(("it stands still", WARNING))
    elif any(not stop.explained and not stop.in_time for stop in asked.found.going.stops):
        told.append(("a stop is not explained", WARNING))
    return told


def _counts(asked: Asked) -> str:
    by = {outcome: sum(v.outcome is outcome for v in asked.found.verdicts) for outcome in _OUTCOMES}
    waived = by[Outcome.WAIVED] + sum(v.requirement in asked.waive for v in asked.verdicts if v.outcome not in DONE)
    remain = len(asked.open)
    parts = ["nothing remains" if not remain else f"{remain} remain{'s' if remain == 1 else ''}"]
    parts.append(f"{by[Outcome.MET]} met")
    if waived:
        parts.append(f"{waived} waived")
    if by[Outcome.NOT_APPLICABLE]:
        parts.append(f"{by[Outcome.NOT_APPLICABLE]} n/a")
    return "   ".join(parts)


def _when(asked: Asked) -> str:
    """The earliest day it may go, and the promise."""
    unknown = [v for v in asked.open if v.earliest is None]
    days = [v.earliest for v in asked.open if v.earliest is not None]
    promised = asked.found.estimates.history.clock.promised_on
    promise = f", promised {promised:%a} {promised.day} {promised:%b}" if promised else ""
    if unknown:
        return f"no day can be told: {NAMES[unknown[0].requirement]}{promise}"
    if not days:
        return promise.removeprefix(", ")
    day = max(days).astimezone(asked.zone).date()
    if promised is not None and day > promised:
        late = (day - promised).days
        promise += f": {late} day{'s' if late > 1 else ''} too late"
    return f"earliest {words.day_words(max(days), asked.zone)}{promise}"


def _is_today(at: datetime, asked: Asked) -> bool:
    return at.astimezone(asked.zone).date() <= asked.now.astimezone(asked.zone).date()


_EARLIEST = 8


def _heads(width: int) -> Content:
    last = fit("EARLIEST", _EARLIEST, right=True)
    return line(
        (fit(f"   OUTCOME  {fit('REQUIREMENT', 20)} WHAT REMAINS, OR WHY", width - _EARLIEST - 1) + last, MUTED)
    )


def _row(asked: Asked, verdict: Verdict, width: int, *, chosen: bool, height: int) -> Lines:
    waived = verdict.outcome not in DONE and verdict.requirement in asked.waive
    mark, colour = MARKS[Outcome.WAIVED if waived else verdict.outcome]
    outcome = "waive" if waived else _OUTCOMES[verdict.outcome]
    remains = verdict.outcome not in DONE and not waived
    earliest = words.near_words(verdict.earliest, asked.now, asked.zone) if remains and verdict.earliest else ""
    room = width - 12 - 21 - _EARLIEST - 2
    because = verdict.told or evidence(verdict)
    if waived:
        because = f"{asked.waive[verdict.requirement]}; printed on its record"
    style = strong(PLAIN) if remains else PLAIN if verdict.outcome is Outcome.MET else MUTED
    reason = wrapped(because, room, height, PLAIN if remains else MUTED) or [Content("")]
    first = line(
        ("›" if chosen else " ", strong(HERE)),
        (f"{mark} ", strong(colour)),
        (fit(outcome, 9), colour if remains else style),
        (fit(name_of(verdict.requirement), 21), strong(style) if chosen else style),
        sized(reason[0], room),
        (fit(earliest, _EARLIEST + 1, right=True), PLAIN),
    )
    return [first, *(line((" " * 33, PLAIN), part) for part in reason[1:])]
