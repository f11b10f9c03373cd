"""The one next step with a clock, and the need that puts it where it stands in "who first": one order for both."""

from __future__ import annotations

from collections.abc import Callable

from standwatch.estimate.answers import STRONG, Lead
from standwatch.estimate.going import Stop
from standwatch.judge.assessment import Need, NextAction, Verdict
from standwatch.judge.chiming import silent_set
from standwatch.judge.doubted import held_against
from standwatch.judge.evidence import day_words, time_words
from standwatch.judge.hearing import chime_to_hear, to_hear
from standwatch.judge.looking import to_look_at
from standwatch.judge.phases import Phase
from standwatch.judge.regulation import Advice, advise, direction
from standwatch.judge.situation import Situation
from standwatch.judge.stopping import ended_words, stopped_when
from standwatch.judge.unlogged import SAID_FOR, unlogged_of
from standwatch.judge.winding import let_run_out_text, wind_text, worth_letting
from standwatch.model.answers import NotYetKnown
from standwatch.model.units import error_words, rate_words, signed
from standwatch.model.words import NextStep, Requirement, Work

Step = tuple[Need, NextAction]


def first_step(situation: Situation) -> Step:
    """Why the clock stands where it does, and the one thing to do next. The most needy reason wins."""
    for rule in _RULES:
        step = rule(situation)
        if step is not None:
            return step
    return Need.REST, NextAction(NextStep.NOTHING, "nothing to do: let it go on", "nothing")


def _at_home(situation: Situation) -> Step | None:
    if situation.phase is not Phase.DELIVERED:
        return None
    case = situation.case
    if situation.calls and situation.calls[0] <= case.now:
        text = f"call the owner: due {day_words(case, situation.calls[0])}"
        return Need.REST, NextAction(NextStep.CALL, text, "call")
    when = f", call {day_words(case, situation.calls[0])}" if situation.calls else ""
    return Need.REST, NextAction(NextStep.NOTHING, f"at home{when}", "nothing")


def _stands(situation: Situation) -> Step | None:
    hangs = situation.case.going.hangs
    if hangs is None:
        return None
    found, ended = day_words(situation.case, hangs.found_at), ended_words(situation.case.history, hangs)
    if hangs.ran_out and (hangs.in_time or hangs.explained) and _wound_since(situation, hangs):
        action = NextAction(NextStep.RESTART, f"{ended}, found {found}, wound since: restart it", "restart")
    elif hangs.ran_out and hangs.in_time:
        read = "dial and weights" if situation.case.traits.weights else "the dial"
        count = "" if situation.case.traits.weights else " and count the turns"
        text = f"ran out, found {found}: read {read}, wind{count}, restart"
        action = NextAction(NextStep.WIND, text, "wind, restart")
    elif not hangs.explained:
        when = stopped_when(situation.case.history, hangs)
        tells = "dial and weights tell" if situation.case.traits.weights else "its dial tells"
        told = f"it stopped {'in ' if when.startswith('one of') else ''}{when}" if when else f"{tells} when"
        text = f"{ended}, found {found}: explain it before it is touched; {told}"
        action = NextAction(NextStep.EXPLAIN, text, "explain stop")
    elif hangs.ran_out:
        action = NextAction(NextStep.WIND, f"ran out early, explained {found}: wind, restart", "wind, restart")
    else:
        action = NextAction(NextStep.RESTART, f"stopped, explained, found {found}: restart it", "restart")
    return Need.STANDS_STILL, action


def _wound_since(situation: Situation, hangs: Stop) -> bool:
    return any(visit.at >= hangs.found_at for visit in situation.case.history.works(Work.WOUND))


def _runs_out(situation: Situation) -> Step | None:
    case = situation.case
    if situation.hangs_out:
        names = " and ".join(situation.hangs_out)
        return Need.RUNS_OUT, NextAction(NextStep.WIND, f"the {names} has run out: wind it", "wind")
    if not situation.runs_out:
        return None
    wanted = situation.phase is Phase.ON_STAND and situation.wants(Requirement.FULL_DURATION)
    letting = worth_letting(case, situation.runs_out) if wanted else ()
    if not letting:
        return Need.RUNS_OUT, NextAction(NextStep.WIND, wind_text(case, situation.runs_out), "wind")
    others = [run for run in situation.runs_out if all(run is not let for let, _ in letting)]
    text = let_run_out_text(case, letting, others)
    return Need.RUNS_OUT, NextAction(NextStep.LET_RUN_OUT, text, "let run out")


def _stopped_or_slipped(situation: Situation) -> Step | None:
    case = situation.case
    if situation.unexplained is not None:
        text = f"the stop found {day_words(case, situation.unexplained.found_at)} is not explained yet"
        return Need.SLIPPED, NextAction(NextStep.EXPLAIN, text, "explain stop")
    if situation.slipped:
        hearing = chime_to_hear(case)
        because = situation.verdict(Requirement.CHIME_STEP).because
        return Need.SLIPPED, NextAction(NextStep.LISTEN, f"{because}; {hearing.text}", hearing.short)
    return None


def _released(situation: Situation) -> Step | None:
    if situation.phase is not Phase.RELEASED:
        return None
    return Need.REST, NextAction(NextStep.DELIVER, "released: deliver it, and note how it was left", "deliver")


def _suspect(situation: Situation) -> Step | None:
    if not situation.suspect:
        return None
    case, reading = situation.case, situation.case.history.readings[-1]
    doubted = next(s for s in case.estimates.time.suspects if s.id == reading.id)
    text = (
        f"read again: {error_words(doubted.error_s)} on {time_words(case, doubted.at)}, "
        f"{held_against(case.estimates, doubted)}"
    )
    return Need.SUSPECT, NextAction(NextStep.READ_AGAIN, text, "read again")


def _unread(situation: Situation) -> Step | None:
    if not situation.unread:
        return None
    return Need.UNREAD, NextAction(NextStep.READ, "not read today", "read")


def _adjust(situation: Situation) -> Step | None:
    case = situation.case
    way = direction(case.estimates)
    if not isinstance(way, NotYetKnown):
        short = {"raise": "raise bob", "lower": "lower bob", "faster": "to faster", "slower": "to slower"}[way]
        return Need.ADJUST, NextAction(NextStep.REGULATE, _regulate_text(situation), short)
    if situation.missed:
        return Need.ADJUST, _mend(situation.missed[0])
    return None


def _regulate_text(situation: Situation) -> str:
    rate, advice = situation.case.estimates.time.rate, advise(situation.case.estimates)
    said = "" if isinstance(rate, NotYetKnown) else f"{rate_words(rate.estimate)}: "
    if not isinstance(advice, Advice):
        return said + advice.because
    turns = f"{abs(advice.turns.estimate):.1f}"
    how = f"{advice.direction} the bob {turns}" if advice.direction in {"raise", "lower"} else f"{turns}"
    towards = "" if advice.direction in {"raise", "lower"} else f" towards {advice.direction}"
    unit = "turn" if turns == "1.0" else "turns"
    note = f"; {advice.note}" if advice.note else ""
    return f"{said}{how} {unit}{towards}, {signed(advice.rate_after.estimate)} s/day expected{note}"


_MENDS: dict[Requirement, tuple[NextStep, str]] = {
    Requirement.AMPLITUDE: (NextStep.LOOK, "low swing"),
    Requirement.BEAT: (NextStep.LOOK, "set beat"),
    Requirement.TWELVE_COUNTS: (NextStep.LOOK, "set strike"),
    Requirement.MIS_SET: (NextStep.LISTEN, "mis-set again"),
    Requirement.DAY_RANGE: (NextStep.LOOK, "unsteady"),
    Requirement.MEAN_RATE: (NextStep.LOOK, "rate off"),
    Requirement.MOON: (NextStep.LOOK, "set moon"),
    Requirement.OIL: (NextStep.LOOK, "open it"),
}


_SAYS_ITSELF = frozenset({Requirement.TWELVE_COUNTS, Requirement.MIS_SET})
"""Their reasons name what was heard, so that the requirement needs no naming."""


def _mend(verdict: Verdict) -> NextAction:
    code, short = _MENDS.get(verdict.requirement, (NextStep.LOOK, "look"))
    said = "" if verdict.requirement in _SAYS_ITSELF else f"{verdict.requirement} missed: "
    return NextAction(code, said + verdict.because, short)


def _ready(situation: Situation) -> Step | None:
    if not situation.complete:
        return None
    return Need.READY, NextAction(NextStep.RELEASE, "every requirement is met, waived or does not apply", "release")


def _unlogged(situation: Situation) -> Step | None:
    """Work that the readings lately betrayed: logged, it is doubted no more."""
    case = situation.case
    lately = [u for u in unlogged_of(case.estimates) if case.now - u.before <= SAID_FOR]
    if not lately:
        return None
    last = lately[-1]
    return Need.REST, NextAction(NextStep.LOOK, f"{last.text}; {last.mend}", last.short)


def _stuck(situation: Situation) -> Step | None:
    """A strike or chime that hangs is looked at before anyone waits to hear it."""
    leads = [lead for lead in situation.case.estimates.leads if lead.code in STUCK and lead.odds >= STRONG]
    return _look_into(leads[0]) if leads else None


def _hear(situation: Situation) -> Step | None:
    case = situation.case
    wanted = frozenset(v.requirement for v in situation.verdicts if situation.wants(v.requirement))
    if silent_set(case):
        wanted -= {Requirement.CHIME_STEP, Requirement.MIS_SET}
    hearing = to_hear(case, wanted)
    return None if hearing is None else (Need.REST, NextAction(NextStep.LISTEN, hearing.text, hearing.short))


def _look(situation: Situation) -> Step | None:
    found = to_look_at(situation)
    return None if found is None else (Need.REST, NextAction(NextStep.LOOK, *found))


def _lead(situation: Situation) -> Step | None:
    leads = situation.case.estimates.leads
    if not leads or leads[0].odds < STRONG:
        return None
    return _look_into(leads[0])


def _look_into(lead: Lead) -> Step:
    short = WORTH.get(lead.code, "a lead")
    return Need.REST, NextAction(NextStep.LOOK, f"look into it: {lead.text}", short)


STUCK = frozenset({"strike-stuck", "chime-stuck"})
WORTH = {
    "swing-falls": "swing falls",
    "swing-low-at-end": "mainspring",
    "stops-same-minute": "hands",
    "stops-before-hour": "strike lift",
    "stops-same-hour": "moon, snail",
    "stops-same-height": "line, case",
    "stops-scattered": "beat, wheels",
    "bob-window": "past bob",
    "strike-stuck": "strike stuck",
    "strike-runs-on": "strike locks",
    "strike-lacks": "strike lacks",
    "chime-stuck": "chime stuck",
    "chime-runs-on": "chime locks",
    "weights-exchanged": "labels",
    "strike-early-or-late": "minute bush",
    "strike-slow": "slow strike",
    "strike-off-by-constant": "trip strike",
    "chime-slow": "slow chime",
    "rate-after-move": "level, beat",
    "rate-with-wind": "rate in wind",
    "steps": "cannon",
    "rate-creeps": "mark the nut",
    "neighbours": "separate",
    "cold": "cold night",
    "oil-dark": "oil dark",
}
"""Two or three words for each lead, for a narrow column."""

_RULES: tuple[Callable[[Situation], Step | None], ...] = (
    _at_home,
    _stands,
    _runs_out,
    _stopped_or_slipped,
    _released,
    _suspect,
    _unread,
    _adjust,
    _ready,
    _unlogged,
    _stuck,
    _hear,
    _look,
    _lead,
)
