"""The service's answers as plain text for people."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from standwatch.cli import stopping, words
from standwatch.judge.assessment import Assessment, Verdict
from standwatch.judge.beside import beside_words
from standwatch.judge.doubted import held_against
from standwatch.judge.due import Due
from standwatch.judge.homing import place_words
from standwatch.judge.level import level_words, levels_of
from standwatch.judge.regulation import Advice
from standwatch.judge.shaken import bumped_words
from standwatch.judge.start_sheet import missing_of
from standwatch.judge.uncounted import uncounted_words
from standwatch.judge.unlogged import unlogged_of
from standwatch.model.answers import Moment, NotYetKnown, Quantity
from standwatch.model.release import ReleaseRecord
from standwatch.model.units import error_words, rate_words
from standwatch.model.words import NEVER_WAIVED, Outcome
from standwatch.service.earlier import Job
from standwatch.service.shared_words import shared_words
from standwatch.service.steadiness import SPANS, brief, daily_words, figures, stability
from standwatch.service.views import Forecast, Receipt, StandView

_OUTCOME_SHAPE = {
    Outcome.MET: "✓ met",
    Outcome.MISSED: "✗ missed",
    Outcome.NOT_YET_KNOWN: "? not yet",
    Outcome.NOT_APPLICABLE: "– n/a",
    Outcome.WAIVED: "w waived",
}
_EMPTY = "No clock is on the stand. Add the first: standwatch clock add TAG --kind KIND (clock kinds lists them)."


def stand(view: StandView) -> str:
    """The stand as a table under what matters this morning."""
    zone = view.shop.zone
    head = f"{words.when(view.now, zone)}, next round {words.when(view.next_round, zone)}"
    if not view.assessments:
        return f"{head}\n{_EMPTY}"
    groups = {
        "need you": view.need_you,
        "run out before the next round": view.run_out,
        "unread": view.unread,
        "may go": view.may_go,
    }
    shared = [f"  {said}" for said in shared_words(view.common, view.now, zone)]
    told = [
        f"  {len(group)} {name}" + (f": {' '.join(a.tag for a in group)}" if group else "")
        for name, group in groups.items()
    ]
    return "\n".join(
        [head, *shared, *told, "", words.table(words.HEADS, words.stand_rows(view.assessments, view.next_round))]
    )


def clock(found: Assessment) -> str:
    """One clock in full."""
    history, estimates = found.estimates.history, found.estimates
    time, zone = estimates.time, history.zone
    slot = f"  {history.position}" if history.position else ""
    held = f"{found.days_held:.1f} of {found.days_needed:.0f} days"
    home = history.home_since is not None
    here = ", as it was on the stand" if home else ""
    lines = [
        f"{found.tag}  {history.traits.kind.title}{slot}  {found.standing}, {held}",
        f"  next        {found.next.text}",
        f"  error       {words.error_in_words(found.error_s)}",
        f"  rate        {words.quantity_words(time.rate, f's/day {time.rate_named}'.rstrip())}{here}",
        f"  drift       {words.quantity_words(time.drift, 's/day per day')}{here}",
        f"  steadiness  {_steadiness(found)}",
        f"  swing       {words.degrees(estimates.swing.amplitude)}{here}",
    ]
    stuck = {lead.code.removesuffix("-stuck") for lead in estimates.leads if lead.code.endswith("-stuck")}
    for run in () if home else estimates.power.trains:  # its owner winds it
        ends = run.runs_out
        told = words.moment_words(ends, zone) if isinstance(ends, Moment) else f"not yet known: {ends.because}"
        if_it_goes = ", if it went on from now: it seems stuck" if run.train.value in stuck else ""
        lines.append(f"  {run.train:<6} ends {told}{if_it_goes}")
    lines += [f"  beside      {said}" for each in estimates.beside if (said := beside_words(each))]
    bumped = bumped_words(history)
    lines += [f"  in doubt    {bumped}"] if bumped else []
    place = place_words(estimates)
    lines += [f"  at home     {place}"] if place else []
    lines += stopping.stops(found)
    lines += [f"  bob         {said}" for said in level(found)]
    lines += [
        f"  look again  {words.when(suspect.at, zone)}: read {error_words(suspect.error_s)}, "
        f"{held_against(estimates, suspect)}"
        for suspect in time.suspects
    ]
    for work in unlogged_of(estimates):
        lines += [f"  {work.asks:<11} {work.what}, {work.amount}, {work.when}", f"              {work.mend}"]
    lines += [f"  look into   {lead.text} ({lead.odds * 100:.0f} % likely)" for lead in estimates.leads]
    lines += [f"  start sheet {missing.text}" for missing in missing_of(estimates)]
    lines.append("")
    lines.append(words.table(("OUTCOME", "REQUIREMENT", "EARLIEST", "EVIDENCE, OR WHAT REMAINS"), _verdicts(found)))
    return "\n".join(lines)


def level(found: Assessment) -> list[str]:
    """When weights are level with the bob on this wind; empty where they never are."""
    levels, history = levels_of(found.estimates), found.estimates.history
    if isinstance(levels, NotYetKnown):
        return [f"when the weights are level with it is not yet known: {levels.because}"]
    return [level_words(each, history.now, history.zone) for each in levels]


def _steadiness(found: Assessment) -> str:
    """How far the rate wanders, on one line."""
    return ", ".join(f"{span} {said}" for span, said in brief(stability(found), " s/day"))


def steadiness(found: Assessment) -> str:
    """How far the rate wanders from span to span, and the daily rates summed up; empty where nothing was read."""
    if not found.estimates.history.readings:
        return ""
    told = stability(found)
    heads = ("THE RATE WANDERS", "S/DAY", "READING ALONE", "PAIRS", "95 %")
    rows: list[Sequence[str]] = []
    for point in told.points:
        value, interval = "?", ""
        if isinstance(point.deviation, NotYetKnown):
            interval = f"not yet known: {point.deviation.because}"
        else:
            value = figures(point.deviation.estimate)
            interval = f"{figures(point.deviation.low)} to {figures(point.deviation.high)}"
        rows.append((SPANS[point.tau_days], value, figures(point.reading), str(point.count), interval))
    daily = told.daily
    summed = f"not yet known: {daily.because}" if isinstance(daily, NotYetKnown) else daily_words(daily)
    return "\n".join(
        [
            words.table(heads, rows, right=heads[1:4]),
            "As read (Allan deviation), so what the reading alone would make is in it. PAIRS of spans were compared.",
            f"Daily rates in s/day after ISO 3159, for comparison: {summed}",
        ]
    )


def releases(records: Sequence[ReleaseRecord], since: Sequence[str], zone: ZoneInfo) -> str:
    """When a clock was let go, by whom and without what; and what is other since the last time. Empty where never."""
    if not records:
        return ""
    rows = [(words.when(each.at, zone), each.by, _waived(each)) for each in records]
    other = ["Since then:", *(f"  {said}" for said in since)] if since else []
    return "\n".join([words.table(("RELEASED", "BY", "WAIVED"), rows), *other])


def _waived(record: ReleaseRecord) -> str:
    waived = [f"{each.name}: {each.waived}" for each in record.outcomes if each.waived is not None]
    return "; ".join(waived) or "nothing"


def _verdicts(found: Assessment) -> list[Sequence[str]]:
    history = found.estimates.history
    return [
        (_OUTCOME_SHAPE[v.outcome], _starred(v), _earliest(v, history.now, history.zone), v.told)
        for v in found.verdicts
    ]


def _starred(verdict: Verdict) -> str:
    return f"{verdict.requirement} *" if verdict.requirement in NEVER_WAIVED else str(verdict.requirement)


def _earliest(verdict: Verdict, now: datetime, zone: ZoneInfo) -> str:
    if verdict.earliest is None:
        return ""
    return "now" if verdict.earliest <= now else words.when(verdict.earliest, zone)


def receipt(done: Receipt, zone: ZoneInfo) -> str:
    """A visit: what was found, what was expected, what follows."""
    after = done.assessment
    lines = [f"{done.tag}  {words.when(done.at, zone)}  recorded {done.id}"]
    if done.found_s is not None:
        lines.append(f"  found     {error_words(done.found_s, tenths=True)}")
        lines.append(f"  expected  {words.error_in_words(done.expected)}")
        if done.surprise:
            lines.append(f"  a surprise: look again; `standwatch undo {done.tag}` takes this reading back")
    lines += [f"  {done.unsure}"] if done.unsure else []
    uncounted = uncounted_words(after.estimates.history, done.id)
    lines += [f"  {uncounted}"] if uncounted else []
    lines += [f"  {off.text}" for off in done.falls_off]
    rate = after.estimates.time.rate
    if after.estimates.history.home_since is None:  # else it is the stand's
        side = f" ({rate_words(rate.estimate)})" if isinstance(rate, Quantity) else ""
        lines.append(f"  rate      {words.quantity_words(rate, 's/day')}{side}")
    lines += [line for work in done.unsaid for line in (f"  {work.text}", f"  {work.mend}")]
    lines.append(f"  {after.standing}; next: {after.next.text}")
    return "\n".join(lines)


def forecasts(found: Iterable[Forecast], zone: ZoneInfo) -> str:
    """One line a clock and time."""
    told = list(found)
    if not told:
        return _EMPTY
    rows = [(each.tag, words.when(each.at, zone), words.error_in_words(each.error_s)) for each in told]
    places = dict.fromkeys(f"{each.tag}: {each.place}" for each in told if each.place)
    return "\n".join([words.table(("TAG", "AT", "ERROR (95 %)"), rows), *places])


def advice(tag: str, found: Advice | NotYetKnown) -> str:
    """What to do with the nut."""
    if isinstance(found, NotYetKnown):
        return f"{tag}: {found.because}"
    way = f"{found.direction} the bob" if found.direction in {"raise", "lower"} else f"turn towards {found.direction}"
    low, high = sorted((abs(found.turns.low), abs(found.turns.high)))
    text = f"{tag}: {way} by {abs(found.turns.estimate):.2f} turns ({low:.2f} to {high:.2f}); "
    text += f"the rate becomes {words.rate_cell(found.rate_after)} s/day"
    return f"{text}\n  {found.note}" if found.note else text


def jobs(earlier: Sequence[Job], later: Sequence[Job], zone: ZoneInfo) -> str:
    """The other jobs on the same clock, a line each, the later ones first; empty where there are none."""
    told = [("later job", job) for job in reversed(later)] + [("earlier job", job) for job in earlier]
    return "\n".join(f"{what:<11}  {job.tag}: {_job(job, zone)}" for what, job in told)


def _job(job: Job, zone: ZoneInfo) -> str:
    if job.trouble:
        return job.trouble
    said = [job.kind]
    if job.released_at is None:
        said.append("not released")
    else:
        by = f" by {job.released_by}" if job.released_by else ""
        said.append(f"released {job.released_at.astimezone(zone):%d %b %Y}{by}")
    said += [f"waived {', '.join(job.waived)}"] if job.waived else []
    said += [f"went home {job.delivered_at.astimezone(zone):%d %b %Y}"] if job.delivered_at is not None else []
    said += [f"came back: {', '.join(job.called_back)}"] if job.called_back else []
    said += [f"repaired: {job.repaired}"] if job.repaired else []
    return "; ".join(said)


def due(found: Iterable[Due], zone: ZoneInfo) -> str:
    """One line for each thing that is due."""
    rows = [(each.tag, each.what, words.moment_words(Moment(each.at, each.low, each.high), zone)) for each in found]
    return words.table(("TAG", "WHAT", "WHEN"), rows) if rows else "nothing is due until then"
