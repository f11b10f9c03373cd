"""After a clock went home: its warranty, whether holding pays, and `callback-rates`."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

import click

from standwatch.cli import as_json as document
from standwatch.cli import words
from standwatch.cli.arguments import JSON
from standwatch.cli.commands import command
from standwatch.cli.session import Session, pass_session
from standwatch.estimate.shares import most_of_none
from standwatch.service.after.returns import CODES, FAULTS, FIRST_MONTHS, Job, Rate, Returns, share_words
from standwatch.service.after.warranty import full_day
from standwatch.service.stand import Stand


@command("callback-rates", example="standwatch callback-rates\nstandwatch callback-rates --json")
@JSON
@pass_session
def callback_rates(session: Session, *, as_json: bool) -> None:
    """How many clocks came back: of all, by code, by what was repaired, by waiver, by days tested.

    Each share has its 95 % interval (Wilson 1927) and how many it rests on. What a user did and what is only seen are
    no fault of the work; mechanical and set-up are.
    """
    found = session.looking().after.callback_rates(session.now)
    if as_json:
        document.emit(_document(found))
    else:
        click.echo("\n\n".join(_told(found)))


def _told(found: Returns) -> list[str]:
    if found.all is None:
        return ["No clock has gone home yet; `standwatch deliver TAG --at ISO` tells of the first."]
    of = found.all.of
    lines = [f"Of {of} times that a clock went home, came back with a fault: {found.all.fault_words}"]
    lines.append(f"for whatever reason: {share_words(found.all.back, of)}")
    if found.all.young:
        lines.append(f"{found.all.young} went home less than {FIRST_MONTHS} months ago and may still come back")
    codes = [(code, share_words(count, of), "a fault" if code in FAULTS else "") for code, count in found.by_code]
    sections = ["\n".join(lines), words.table(("BY CODE", "CAME BACK", ""), codes)]
    by = {
        "BY WHAT WAS REPAIRED": found.by_repair,
        "BY WAIVER": found.by_waiver,
        "BY DAYS TESTED": found.by_days,
        "BY MONTHS SINCE": found.by_months,
    }
    heads = ("WITH A FAULT", "FOR WHATEVER REASON", "MAY STILL")
    for title, rates in by.items():
        if rates:
            sections.append(words.table((title, *heads), [_row(rate) for rate in rates]))
    return sections


def _row(rate: Rate) -> Sequence[str]:
    return rate.name, rate.fault_words, share_words(rate.back, rate.of), f"{rate.young or ''}"


def _document(found: Returns) -> document.Json:
    """`callback-rates --json`."""
    return {
        "now": document.iso(found.now),
        "first_months": FIRST_MONTHS,
        "all": None if found.all is None else _rate(found.all),
        "by_code": dict(found.by_code) or dict.fromkeys(CODES, 0),
        "by_repair": [_rate(rate) for rate in found.by_repair],
        "by_waiver": [_rate(rate) for rate in found.by_waiver],
        "by_days": [_rate(rate) for rate in found.by_days],
        "by_months": [_rate(rate) for rate in found.by_months],
        "jobs": [_job(job) for job in found.jobs],
    }


def _rate(rate: Rate) -> document.Json:
    return {
        "name": rate.name,
        "of": rate.of,
        "faults": rate.faults,
        "came_back": rate.back,
        "may_still": rate.young,
        "fault_share": document.answer(rate.fault_share),
        "came_back_share": document.answer(rate.back_share),
        "none_leaves": None if rate.faults else most_of_none(rate.of),
    }


def _job(job: Job) -> document.Json:
    return {
        "tag": job.tag,
        "went_home_at": document.iso(job.since),
        "months": job.months,
        "may_still": job.young,
        "repaired": list(job.repaired),
        "waived": None if job.waived is None else [str(name) for name in job.waived],
        "days": job.days,
        "least_days": job.least_days,
        "codes": list(job.codes),
    }


def about(stand: Stand, tag: str, now: datetime) -> list[str]:
    """What `clock show` says of one clock: when its warranty ends; or, on the stand, whether holding pays."""
    ends = stand.after.warranty_ends(tag, now)
    told = []
    if ends is not None:
        over = now.astimezone(stand.shop.zone).date() > ends
        told.append(f"Warranty: end{'ed' if over else 's'} on {full_day(ends)}")
    held = stand.after.holding(tag, now)
    return [*told, *([f"Holding: {held}"] if held else [])]
