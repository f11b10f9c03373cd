"""The figures of a release record: rate and swing, the charts, daily rates, at home, strikes heard, weights, leads."""

from __future__ import annotations

from datetime import datetime, timedelta

from standwatch.horology.kinds import traits_of
from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.model.release import Done, Home, ReleaseRecord
from standwatch.model.words import Requirement
from standwatch.papers.blocks import Block, Chart, Dot, Heading, Mark, Pairs, Step, Table, Words
from standwatch.papers.words import (
    at_which,
    between,
    counted,
    day,
    degrees,
    drift,
    error,
    local,
    number,
    plain_rate,
    rate,
    unknown,
)

_MOST_MARKS = 30
"""Works that a chart names; of more, the winds are counted instead, then the latest are kept."""
_NOT_KEPT = "not kept by edition 1 of the rules"
_NONE_KEPT = f"{_NOT_KEPT.capitalize()}."


def numbers(record: ReleaseRecord) -> list[Block]:
    """Everything on the record that is a number, what is not known said as such."""
    told: list[Block] = [Heading("As it was let go"), Pairs(_state(record), columns=2)]
    told += [Heading("At home"), *_home(record)]
    told += _strikes(record)
    told += _trains(record)
    told += _charts(record)
    told += [Heading("Daily rates summed up"), *_daily(record)]
    told += [
        Heading("Leads seen, never verdicts"),
        Words("\n".join(record.leads) if record.leads else _no_leads(record)),
    ]
    return told


def _no_leads(record: ReleaseRecord) -> str:
    return _NONE_KEPT if record.first_edition else "None."


def _state(record: ReleaseRecord) -> tuple[tuple[str, str], ...]:
    pairs = [
        ("final rate", rate(record.rate_s_per_day) + at_which(record.rate_s_per_day, record.rate_named)),
        ("error", error(record.error_s)),
        ("drift", drift(record.drift_s_per_day2)),
        ("temperature", _warmth(record)),
        ("swing", degrees(record.amplitude_deg)),
    ]
    if record.spare_pct is not None and not _balance(record):
        spare = record.spare_pct
        told = unknown(spare) if isinstance(spare, NotYetKnown) else number(spare, "% over its unlocking point")
        pairs.append(("to spare", told))
    if record.beat is not None:
        pairs.append(("beat error", f"{record.beat:g} {record.beat_unit}".replace(" °", "°")))
    elif not record.first_edition:
        pairs.append(("beat error", "not told as one number"))
    return tuple(pairs)


def _balance(record: ReleaseRecord) -> bool:
    return isinstance(record.spare_pct, NotYetKnown) and record.beat_unit != "%"


def _warmth(record: ReleaseRecord) -> str:
    warmth = record.warmth
    if warmth is None:
        return _NOT_KEPT if record.first_edition else "not known: none was read while the rate was judged"
    return (
        f"{warmth.mean_c:.1f} °C on the stand ({warmth.low_c:.1f} to {warmth.high_c:.1f}, "
        f"{counted(warmth.readings, 'reading')})"
    )


def _charts(record: ReleaseRecord) -> list[Block]:
    marks, left_out = _marks(record.works)
    told: list[Block] = []
    if record.readings or record.trace:
        told.append(
            Chart(
                title="Error",
                unit="s",
                above="fast",
                below="slow",
                dots=tuple(Dot(r.at, r.error_s, sound=r.sound) for r in record.readings),
                line=tuple(Step(p.at, p.error_s, p.low, p.high, p.starts) for p in record.trace),
                marks=marks,
                caption=left_out,
                height_mm=62.0,
            )
        )
    elif record.works:
        told += [
            Heading("Work on the stand"),
            Table(("when", "what"), tuple((local(m.at, record.zone), m.words) for m in marks), (1, 3)),
        ]
    dots = tuple(
        Dot(r.at, q.estimate, q.low, q.high) for r in record.rates if isinstance(q := r.rate_s_per_day, Quantity)
    )
    if dots:
        limit = next((j.limit for j in record.outcomes if j.name is Requirement.MEAN_RATE), None)
        limits = () if limit is None else ((limit, f"limit of the mean rate, {limit:g} either way"), (-limit, ""))
        told.append(
            Chart("Rate, one interval at a time", "s/day", "gains", "loses", dots=dots, limits=limits, height_mm=42.0)
        )
    return told


def _marks(works: tuple[Done, ...]) -> tuple[tuple[Mark, ...], str]:
    """The works to name, and what is said of those left out."""
    kept, told = list(works), []
    if len(kept) > _MOST_MARKS:
        winds = [done for done in kept if done.words.startswith("wound")]
        kept = [done for done in kept if not done.words.startswith("wound")]
        if winds:
            told.append(f"Wound {counted(len(winds), 'time')}, not marked.")
    if len(kept) > _MOST_MARKS:
        told.append(f"{counted(len(kept) - _MOST_MARKS, 'earlier work')} not marked; the book has them.")
        kept = kept[-_MOST_MARKS:]
    return tuple(Mark(done.at, done.words) for done in kept), " ".join(told)


def _daily(record: ReleaseRecord) -> list[Block]:
    daily = record.daily
    if daily is None:
        return [
            Words(
                _NONE_KEPT if record.first_edition else "Not known: too few daily rates since the rate was last opened."
            )
        ]
    return [
        Pairs(
            (
                ("mean daily rate", plain_rate(daily.mean)),
                ("mean variation", f"{daily.mean_variation:.1f} s/day"),
                ("greatest variation", f"{daily.greatest_variation:.1f} s/day"),
                ("greatest difference", f"{daily.greatest_difference:.1f} s/day"),
            ),
            columns=2,
        ),
        Words(
            f"From {counted(daily.days, 'daily rate')}, as ISO 3159 defines these figures: variation from one rate to "
            f"the next, greatest difference between a rate and their mean.{_between_winds(record)} For comparison; no "
            "limits of it are applied.",
            "small",
        ),
    ]


def _between_winds(record: ReleaseRecord) -> str:
    traits = traits_of(record.clock)
    if traits.maintaining or not traits.weights:
        return ""
    return " What each winding costs it is in the final rate and not in these."


def _home(record: ReleaseRecord) -> list[Block]:
    home = record.home
    if home is None:
        return [Words(_NONE_KEPT if record.first_edition else "No forecast could be made.")]
    if isinstance(home.error_s, NotYetKnown):
        return [Words(f"{home.days:g} days after it is set right: {unknown(home.error_s)}."), *_moved(home)]
    told = (
        f"{home.days:g} days after it is set right: {between(home.error_s)} (95 %), most likely "
        f"{error(home.error_s).rpartition(' ±')[0]}."
    )
    return [Words(told, "strong"), *_moved(home)]


def _moved(home: Home) -> list[Block]:
    """What the forecast assumes, each in a sentence."""
    told = ["It is taken to be wound when due and otherwise left alone."]
    if home.move_s_per_day is not None:
        source = (
            f"learned with {counted(home.follow_ups, 'clock')} of this shop that went home"
            if home.follow_ups
            else "common practice, until this shop's own clocks teach it"
        )
        told.append(
            f"Going home changes a rate by about {home.move_s_per_day:.1f} s/day, one way or the other (one standard "
            f"deviation; {source}). That figure is itself rough, and the interval allows for it; most of the doubt is "
            "the move's."
        )
    where = f" from {home.from_site} to {home.to_site}" if home.from_site and home.to_site else ""
    told.append(_change(f"The place{where} (latitude, metres)", home.site_s_per_day, "no pendulum, so nothing"))
    told.append(_change("The owner's room", home.room_s_per_day, "nothing"))
    return [Words(" ".join(told))]


def _change(of: str, value: Quantity | NotYetKnown | None, nothing: str) -> str:
    """What place or room does to the rate, as a sentence; a reason's hint at a command is not for paper."""
    if value is None:
        return f"{of}: {nothing}."
    if isinstance(value, NotYetKnown):
        return f"{of}: {value.because.partition('; `')[0]}."
    return f"{of}: {rate(value)}, counted in above."


def _strikes(record: ReleaseRecord) -> list[Block]:
    strikes = record.strikes
    if strikes is None:
        return []
    if strikes.wrong:
        told = f"{counted(strikes.heard, 'strike')} heard, {strikes.wrong} wrong."
    elif strikes.allow is None:
        told = f"{counted(strikes.heard, 'strike')} heard." if strikes.heard else "None heard."
    else:
        told = (
            f"{counted(strikes.heard, 'strike')} heard and none wrong. That still allows 1 wrong in "
            f"{strikes.heard // 3} (95 %; by the rule of three 3 of {strikes.heard}, {strikes.allow * 100:.0f} %)."
        )
    return [Heading("Strikes heard"), Words(told)]


def _until(at: datetime, zone: str, *, hangs: bool) -> str:
    """When it stands still if nobody winds it: of a weight the hour, of a spring no more than the day."""
    if not hangs:
        return f"about {day(at, zone)}"
    return f"about {local(at + timedelta(minutes=30), zone)[:-2]}00"


def _trains(record: ReleaseRecord) -> list[Block]:
    """How far each weight had fallen, or the springs' turns; when each train would stand still unwound."""
    if not record.trains:
        return []
    hangs = any(isinstance(hung.fall_mm, Quantity) for hung in record.trains)
    rows = []
    for hung in record.trains:
        wound = local(hung.wound_at, record.zone) if hung.wound_at else "not known"
        fall = unknown(hung.fall_mm) if isinstance(hung.fall_mm, NotYetKnown) else number(hung.fall_mm, "mm")
        until = _until(hung.runs_out, record.zone, hangs=hangs) if hung.runs_out else "not known"
        given = f"{hung.kg:g} kg" if hung.kg else f"{hung.turns:g} turns to full" if hung.turns else "not told"
        rows.append((str(hung.train), wound, *([fall] if hangs else []), given, until))
    head = ("train", "wound last", *(["fallen since"] if hangs else []), "weight" if hangs else "spring", "goes until")
    widths = (1.1, 2.2, *([2.6] if hangs else []), 2.0, 2.2)
    return [Heading("How it was wound"), Table(head, tuple(rows), widths)]
