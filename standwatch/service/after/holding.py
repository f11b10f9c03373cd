"""Whether to hold a clock: the chance of a hidden fault against what a house call and a week here cost.

A sentence with its numbers; the person decides.
"""

from __future__ import annotations

from datetime import datetime

from standwatch.horology.kinds import traits_of
from standwatch.judge.assessment import Assessment
from standwatch.judge.early import Condition, early_conditions
from standwatch.judge.phases import Phase, phase_of
from standwatch.service.after.returns import BANDS, Returns, band_of, interval_words, most_words, percent, rate, returns
from standwatch.service.assessing import Assessor
from standwatch.service.shop import Shop

LEAST_TOLD = 10
"""So many clocks let go tell a chance; of fewer, none that came back would leave over one in four open."""


def holding(office: Assessor, tag: str, now: datetime) -> str:
    """What is known of letting this clock go now or holding it; empty where it is not on the stand."""
    found = office.assess(tag, now)
    history = found.estimates.history
    if phase_of(history.handovers) is not Phase.ON_STAND or history.traits.reference:
        return ""
    told = [chance_words(returns(office, now), found), cost_words(office.shop())]
    if band_of(found.days_held, found.days_needed) == BANDS[0]:
        told.append(f"For an early release: {'; '.join(_said(each) for each in early_conditions(found))}.")
    return " ".join(told)


def chance_words(back: Returns, found: Assessment) -> str:
    """How many of the shop's clocks that were let go after about as many days came back with a fault."""
    least = traits_of(found.estimates.history.clock.model_copy(update={"least_days": None})).least_days
    band = band_of(found.days_held, least)
    days = f"before {least:g}", f"after {least:g} to {1.5 * least:g}", f"after more than {1.5 * least:g}"
    after = f"{days[BANDS.index(band)]} days, or what that is for another kind,"
    alike = [job for job in back.jobs if job.band == band]
    if len(alike) < LEAST_TOLD:
        few = f"only {len(alike)}" if alike else "no clock"
        return f"The chance of a hidden fault is not yet known: {few} let go {after} went home so far."
    told = rate(band, alike)
    count, rest = (
        ("none", most_words(told.of)) if not told.faults else (f"{told.faults}", interval_words(told.fault_share))
    )
    young = f"; {told.young} of them went home lately" if told.young else ""
    return f"Of {told.of} clocks let go {after} {count} came back with a fault ({rest}{young})."


def cost_words(shop: Shop) -> str:
    """From which chance on holding pays, by what the shop says that a house call and a week here cost."""
    even = percent(shop.held_week_h / shop.house_call_h)
    return (
        f"A house call costs {shop.house_call_h:g} h of work, another week here {shop.held_week_h:g} h: "
        f"holding pays while the chance is over {even} %."
    )


def _said(condition: Condition) -> str:
    holds = {True: "yes", False: "no", None: "not known"}[condition.holds]
    return f"{condition.name}: {holds} ({condition.because})"
