"""For each kind a ledger that shows everything, and for each piece of its evidence what it is the evidence of.

Only a reference is left out: nothing but its rate is ever asked of it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from standwatch.horology.kinds import KINDS, SWING_LIMITS
from standwatch.model.words import KindName
from tests.cli.story_of_kind import Story, line, quarters

MISSED, NOT_YET = "missed", "not yet known"
PROVED = [kind for kind in KindName if kind is not KindName.REFERENCE]


@dataclass(frozen=True)
class Lack:
    """What is other than in the complete ledger, and what the clock may not go for: outcomes by requirement."""

    wanting: dict[str, str]
    out: Iterable[str] = ()
    more: Iterable[str] = ()
    columns: dict[str, object] = field(default_factory=dict)


@dataclass(frozen=True)
class Complete:
    """A clock that may go at `now`, and each way in which it may not."""

    kind: str
    columns: dict[str, object]
    lines: list[str]
    now: str
    lacks: dict[str, Lack]

    def lacking(self, lack: Lack) -> list[str]:
        """The lines of the ledger without that piece."""
        out = set(lack.out)
        assert out <= set(self.lines), out - set(self.lines)
        return [*(line for line in self.lines if line not in out), *lack.more]


def complete(name: KindName, *, movement_only: bool = False) -> Complete:
    """The ledger of a kind, the clock proved in its case unless it is a movement only."""
    return _told(Story(KINDS[name], movement_only=movement_only))


def _told(story: Story) -> Complete:
    """The whole."""
    parts = [
        *(story.readings, story.winds, story.full_run.values(), story.swings, [story.late], story.beats, story.hours),
        *(story.moons, [story.oil], [story.safety], *story.chiming.values(), *story.case.values()),
    ]
    lines = [text for part in parts for text in part if text]
    now = line(story.last, "08:20", "").strip()
    lacks = _of_running(story) | _of_rate(story) | _of_swing(story) | _of_looks(story)
    if story.strikes:
        lacks |= _of_strike(story)
    if story.chimes:
        lacks |= _of_chime(story)
    if story.in_case:
        lacks |= _of_case(story)
    return Complete(str(story.kind.name), story.columns, lines, now, lacks)


def _of_running(story: Story) -> dict[str, Lack]:
    lacks = {"too few days": _stopped(story)}
    if story.torsion:
        return lacks
    if story.month:
        told = [text for text in story.winds if "amount" in text]
        return lacks | {"turns not counted": Lack({"full-duration": NOT_YET}, out=told)}
    wound = line(2 if story.daily else 5, "08:10", "work=wound")
    lacks["no full run"] = Lack({"full-duration": NOT_YET}, more=[wound])
    lacks |= {
        f"no full run of the {train}": Lack({"full-duration": NOT_YET}, out=[story.full_run[train]])
        for train in ("strike", "chime")
        if train in story.full_run
    }
    if story.weights:
        lacks["no wind told"] = Lack(_without_winds(story), out=story.winds)
    if story.kind.name is KindName.LONGCASE:
        short = [line(day, "08:10", "work=wound") for day in (9, 12, 16, 22, 28)]
        out = [text for text in story.winds[1:] if text not in short]
        lacks["one whole wind, not two"] = Lack(
            {"weight-passage": NOT_YET}, out=out, more=[text for text in short if text not in story.winds]
        )
    return lacks


def _stopped(story: Story) -> Lack:
    """An explained stop costs continuity only: the days since are a few too few."""
    least = story.kind.least_days
    day = 28 if story.month else story.last - int(least) + (0 if story.daily else 2)
    more = [
        line(day, "12:00", 'work=stopped dial=11:40 explained=yes note="a duster"'),
        line(day, "12:10", "work=restarted"),
    ]
    wanting = {"continuous-running": NOT_YET}
    return Lack(wanting | ({"full-duration": NOT_YET} if story.torsion else {}), more=more)


def _without_winds(story: Story) -> dict[str, str]:
    wanting = dict.fromkeys(("full-duration", "weight-passage", "amplitude"), NOT_YET)
    return wanting | ({"own-case": NOT_YET} if story.in_case and not story.daily else {})


def _and_in_case(story: Story, outcome: str) -> dict[str, str]:
    """Its rate there is part of what its own case proves."""
    return {"own-case": outcome} if story.in_case else {}


def _of_rate(story: Story) -> dict[str, Lack]:
    # half as much again as allowed, from the last work that opens its rate on
    fast = story.readings_at(1.5 * (story.kind.mean_rate_limit or 0))
    turned = line(story.last - 3, "08:12", "work=nut amount=0.2")
    last = story.readings[-3:]
    going = [line(day, "08:05", "work=seen-going") for day in range(story.last - 2, story.last + 1)]
    out = [*story.readings, *([story.full_run["going"]] if "going" in story.full_run else [])]
    run = [line(2, "15:05", f"error_s={1.5 * (story.kind.mean_rate_limit or 0) * 2.3:.1f}")] if story.daily else []
    return {
        "it gains too much": Lack(
            {"mean-rate": MISSED, **_and_in_case(story, MISSED)}, out=out, more=sorted([*fast, *run])
        ),
        "regulated three days ago": Lack(
            {"mean-rate": NOT_YET, "day-range": NOT_YET, **_and_in_case(story, NOT_YET)}, more=[turned]
        ),
        "not read for three mornings": Lack({"day-range": NOT_YET}, out=last, more=going),
    }


def _of_swing(story: Story) -> dict[str, Lack]:
    if story.torsion:
        cells = "overswing_left_deg=26 overswing_right_deg=25"
        other = [line(6, f"08:{n}", cells) for n in (10, 20)]
        wanting = {"amplitude": NOT_YET, "full-duration": NOT_YET}
        return {
            "overswing read twice": Lack(wanting, out=story.swings[-1:]),
            "overswing read on one morning": Lack(
                {"beat": NOT_YET}, out=[story.swings[0], story.swings[2]], more=other
            ),
            "overswing unequal": Lack(
                {"beat": MISSED}, more=[line(14, "08:06", "overswing_left_deg=36 overswing_right_deg=24")]
            ),
        }
    least = SWING_LIMITS[story.kind.oscillator]
    low = 1.1 * float(str(story.columns["unlock_deg"])) if story.kind.oscillator == "pendulum" else least - 20
    lacks = {
        "no swing late in a wind": Lack({"amplitude": NOT_YET}, out=[story.late]),
        "swing read twice": Lack({"amplitude": NOT_YET}, out=story.swings[:2]),
        "a low swing": Lack({"amplitude": MISSED}, more=[line(15, "08:06", f"amplitude_deg={low:.2f}")]),
        "beat read once": Lack({"beat": NOT_YET}, out=story.beats[1:]),
        "out of beat": Lack({"beat": MISSED}, more=[story.beat_on(16).replace("=1.5", "=4.5")]),
    }
    if not story.daily:
        falls = [(day, story.kind.half_swing_deg * (1.2 - 0.07 * (day - 12) / 7)) for day in range(12, 33)]
        more = [line(day, "08:06", f"amplitude_deg={swing:.3f}") for day, swing in falls]
        lacks["a swing that falls from week to week"] = Lack(
            {"amplitude": NOT_YET}, out=[*story.swings, story.late], more=more
        )
    if "unlock_deg" in story.columns:
        lacks["no unlocking point"] = Lack({"amplitude": NOT_YET}, columns={"unlock_deg": ""})
    return lacks


def _of_looks(story: Story) -> dict[str, Lack]:
    early = story.oil.replace(line(8, "", "").strip(), line(6, "", "").strip())
    lacks = {
        "oil not looked at": Lack({"oil": NOT_YET}, out=[story.oil]),
        "oil looked at before a week": Lack({"oil": NOT_YET}, out=[story.oil], more=[early]),
        "oil dark": Lack({"oil": MISSED}, out=[story.oil], more=[story.oil.replace("amount=0", "amount=1")]),
        "safety not signed": Lack({"safety": NOT_YET}, out=[story.safety]),
    }
    if story.moon:
        lacks["moon read once"] = Lack({"moon": NOT_YET}, out=story.moons[1:])
        wrong = [story.moons[1].replace("=1", "=4")]
        lacks["moon three days off"] = Lack({"moon": MISSED}, out=story.moons[1:], more=wrong)
    return lacks


def _of_strike(story: Story) -> dict[str, Lack]:
    wrong = line(2, "10:30", "hour=10 blows=9")
    return {
        "hour seven never heard": Lack({"twelve-counts": NOT_YET}, out=story.hours[6:7]),
        "a wrong count": Lack({"twelve-counts": MISSED}, more=[wrong]),
    }


def _of_chime(story: Story) -> dict[str, Lack]:
    chiming, step = story.chiming, {"chime-step": NOT_YET}
    heard = [text for part in (*chiming.values(), *story.case.values()) for text in part]
    second = [text for text in heard if "quarter=2" in text]
    wanting = {**step, "tunes": NOT_YET, **_and_in_case(story, NOT_YET)}
    put_right = [line(story.last - 4, "08:30", "work=chime-set")]
    since = [text for day in range(4) for text in quarters(story.last - 4 + day, 9)]
    return {
        "the second quarter never heard": Lack(wanting, out=second),
        "four mornings since it was put right": Lack(step, more=put_right + since),
        "silent, and nobody said why": Lack(step, more=[line(20, "09:00", "chime=not-running")]),
        "a slip": Lack({"chime-step": MISSED}, more=[line(20, "09:00", "chime=out-of-step")]),
        "three quarters out never tried": Lack({"mis-set": NOT_YET}, out=chiming["mis-set"][4:]),
        "two quarters out, not heard": Lack({"mis-set": NOT_YET}, out=chiming["mis-set"][3:4]),
        "the second tune never heard": Lack({"tunes": NOT_YET}, out=chiming["tunes"][5:]),
        "silent never tried": Lack({"tunes": NOT_YET}, out=chiming["silent"]),
    }


def _of_case(story: Story) -> dict[str, Lack]:
    lacks = {
        "not cased": Lack({"own-case": NOT_YET}, out=story.case["cased"]),
        "safety signed before it was cased": Lack(
            {"safety": NOT_YET}, out=[story.safety], more=[line(1, "15:00", "work=safety-checked note=KM")]
        ),
    }
    if story.strikes:
        lacks["twelve not heard in its case"] = Lack({"own-case": NOT_YET}, out=story.case["twelve"])
    if story.chimes:
        lacks["one quarter not heard in its case"] = Lack({"own-case": NOT_YET}, out=story.case["quarters"][2:3])
    return lacks
