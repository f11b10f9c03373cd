"""The release record: what was asked, what was found, what is not known, all of it said."""

from __future__ import annotations

from datetime import timedelta

import pytest

from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.model.release import Home, Judged, ReleaseRecord, Strikes
from standwatch.model.words import NEVER_WAIVED, REQUIREMENT_NAMES, Outcome, Requirement
from standwatch.papers.blocks import Chart, Sheet, Table
from standwatch.papers.pdf import pdf_of
from standwatch.papers.plain import text_of
from standwatch.papers.release_record import release_record
from standwatch.papers.words import OUTCOMES
from tests.papers.reading import squeezed, words
from tests.papers.records import (
    AT,
    DIGEST,
    carriage,
    edition_one,
    every_record,
    floor_chiming_waived,
    full_longcase,
    torsion,
)

EACH = pytest.mark.parametrize("name", list(every_record()))


def on_one_line(record: ReleaseRecord) -> str:
    """The plain text of its record, wrapped lines joined."""
    return " ".join(text_of(release_record(record)).split())


def asked(sheet: Sheet) -> dict[str, tuple[str, ...]]:
    """The rows of the table of requirements, by the requirement's words."""
    table = next(block for block in sheet.blocks if isinstance(block, Table))
    return {row[0].removesuffix("\u00a0*"): row for row in table.rows}


@EACH
def test_every_outcome_is_told_in_the_pdf(name: str) -> None:
    record = every_record()[name]
    told = squeezed(words(pdf_of(release_record(record))))
    for judged in record.outcomes:
        if judged.outcome is Outcome.NOT_APPLICABLE:
            assert squeezed(f"{REQUIREMENT_NAMES[judged.name]} ({judged.because})") in told
        else:
            star = "*" if judged.name in NEVER_WAIVED else ""
            assert squeezed(f"{REQUIREMENT_NAMES[judged.name]}{star}{OUTCOMES[judged.outcome]}{judged.because}") in told


@EACH
def test_who_let_it_go_when_and_on_what_is_told(name: str) -> None:
    record = every_record()[name]
    told = squeezed(words(pdf_of(release_record(record))))
    assert squeezed(f"by {record.by}") in told
    assert f"standwatch{record.program},ruleseditionrules".replace("rules", record.rules, 2)[:10] in told
    assert squeezed(f"rules edition {record.rules}.") in told
    assert record.digest in told
    assert squeezed(f"{len(record.facts)}, {record.digest[:12]} (in full at the foot)") in told


def test_a_full_record_says_each_number_with_its_doubt_and_side() -> None:
    told = on_one_line(full_longcase())
    for words_ in (
        "Let go Fri 20 Nov 2026, 08:20, by K. Moss",
        "loses 3.4 ±1.1 s a day, at 20 °C",
        "39.1 s slow ±1.4 s",
        "none shown: 0.02 ±0.20 s/day a day",
        "18.4 °C on the stand (17.8 to 19.1, 13 readings)",
        "56 ±9 % over its unlocking point",
        "168 ±6 mm",
        "not known: nothing",  # read since it was wound: wrapped in a column
        "38.0 days without a stop (16 asked)",
        "12 months from delivery",
        "Every requirement that applies to it was met; none was waived.",
    ):
        assert words_ in told


def test_what_the_shop_asks_is_told_beside_what_is_usual() -> None:
    rows = asked(release_record(full_longcase()))
    assert rows["continuous running"][3] == "at least 14 days: LOOSER than usual (16)"
    assert rows["mean rate"][3] == "at most 7 s/day: STRICTER than usual (10)"
    assert rows["day-to-day range"][3] == "at most 8 s/day"
    assert rows["own case"][3] == "at least 1 day"
    assert rows["safety"][3] == ""


@pytest.mark.parametrize(
    ("name", "limit", "usual", "side"),
    [
        (Requirement.MEAN_RATE, 12.0, 10.0, "LOOSER"),
        (Requirement.DAY_RANGE, 5.0, 8.0, "STRICTER"),
        (Requirement.BEAT, 5.0, 4.0, "LOOSER"),
        (Requirement.AMPLITUDE, 20.0, 25.0, "LOOSER"),
        (Requirement.AMPLITUDE, 40.0, 25.0, "STRICTER"),
        (Requirement.CONTINUOUS_RUNNING, 21.0, 16.0, "STRICTER"),
    ],
)
def test_stricter_and_looser_go_by_the_side_of_the_limit(
    name: Requirement, limit: float, usual: float, side: str
) -> None:
    judged = Judged(name=name, outcome=Outcome.MET, limit=limit, usual=usual, unit="x", because="b")
    rows = asked(release_record(full_longcase().model_copy(update={"outcomes": (judged,)})))
    assert f"{side} than usual ({usual:g})" in rows[REQUIREMENT_NAMES[name]][3]


def test_a_limit_where_its_kind_has_none_is_stricter() -> None:
    judged = Judged(name=Requirement.MEAN_RATE, outcome=Outcome.MET, limit=30.0, unit="s/day", because="b")
    rows = asked(release_record(full_longcase().model_copy(update={"outcomes": (judged,)})))
    assert rows["mean rate"][3] == "at most 30 s/day: STRICTER than usual (none)"


def test_waivers_stand_with_their_reason_and_who_answers() -> None:
    sheet = release_record(floor_chiming_waived())
    told = on_one_line(floor_chiming_waived())
    assert "Let go without day-to-day range and oil: waived, with the reasons below." in told
    [waived] = [block for block in sheet.blocks if isinstance(block, Table) and block.head[1] == "found"]
    assert waived.rows == (
        ("day-to-day range", "missed", "the stand's floor was being sanded", "K. Moss"),
        ("oil", "not known", "owner's wedding on Saturday; looked at on the first call", "K. Moss"),
    )
    assert "none was waived" not in told


def test_hazards_are_a_caution_of_their_own() -> None:
    told = text_of(release_record(floor_chiming_waived()))
    assert "!! CAUTION\n! Hazards of this clock: mercury pendulum; radium on the hands.\n" in told
    assert "CAUTION" not in text_of(release_record(full_longcase()))


def test_a_movement_alone_is_not_proved_in_its_case() -> None:
    told = on_one_line(carriage())
    assert "Not proved in its case: this is the movement alone." in told
    assert "2 and 14 days after delivery" in told
    assert "Not proved" not in on_one_line(full_longcase())


def test_the_forecast_says_what_it_rests_on() -> None:
    told = on_one_line(full_longcase())
    assert "14 days after it is set right: 7:05 slow to 3:55 fast (95 %), most likely 1:35 slow." in told
    assert "about 12.0 s/day, one way or the other (one standard deviation; common practice, until" in told
    assert "The place from 51.5,20 to 52.5,40 (latitude, metres): gains 4.10 ±0.20 s a day, counted in above." in told
    assert "The owner's room: loses 0.8 ±0.8 s a day, counted in above." in told
    taught = on_one_line(floor_chiming_waived())
    assert "learned with 7 clocks of this shop that went home" in taught
    assert "14 days after it is set right: not known: the rate was opened three days ago." in taught


def test_a_place_or_a_room_that_is_not_known_is_left_out_and_said() -> None:
    site = NotYetKnown("the shop's own place is not told: it is left out; `standwatch set site=LAT,METRES` tells it")
    home = Home(
        days=14.0, error_s=Quantity(-95.0, -425.0, 235.0), site_s_per_day=site, room_s_per_day=NotYetKnown("cold")
    )
    told = on_one_line(full_longcase().model_copy(update={"home": home}))
    assert (
        "The place (latitude, metres): the shop's own place is not told: it is left out. The owner's room: cold."
        in told
    )
    assert "standwatch set" not in told
    assert "The place (latitude, metres): no pendulum, so nothing." in on_one_line(torsion())


def test_what_winding_costs_is_told_apart_where_it_costs_something() -> None:
    costs = "What each winding costs it is in the final rate and not in these."
    assert costs in on_one_line(full_longcase())
    maintained = full_longcase().clock.model_copy(update={"maintaining": True})
    assert costs not in on_one_line(full_longcase().model_copy(update={"clock": maintained}))


def test_daily_rates_are_summed_up_by_the_standard_s_words_and_no_limits() -> None:
    """ISO 3159's names for M, V, Vmax and P, as an accrediting observatory's page has them."""
    told = on_one_line(full_longcase())
    for words_ in (
        "mean daily rate loses 1.6 a day",
        "mean variation 0.7 s/day",
        "greatest variation 1.4 s/day",
        "greatest difference 0.8 s/day",
        "as ISO 3159 defines these figures",
        "For comparison; no limits of it are applied.",
    ):
        assert words_ in told


@pytest.mark.parametrize(("heard", "one_in", "hundred"), [(14, 4, 21), (30, 10, 10), (300, 100, 1)])
def test_strikes_heard_allow_what_the_rule_of_three_allows(heard: int, one_in: int, hundred: int) -> None:
    """Of n with none wrong, up to 3/n may be (95 %): Hanley and Lippman-Hand, JAMA 249 (1983), from memory."""
    strikes = Strikes(heard=heard, wrong=0, allow=3 / heard)
    told = on_one_line(full_longcase().model_copy(update={"strikes": strikes}))
    assert f"{heard} strikes heard and none wrong. That still allows 1 wrong in {one_in} (95 %;" in told
    assert f"by the rule of three 3 of {heard}, {hundred} %)" in told
    assert "certain" not in told


def test_what_is_not_known_is_said() -> None:
    told = on_one_line(carriage())
    assert "error not known: not read since it was cased" in told
    assert "drift not known: too few winds" in told
    assert "temperature not known: none was read while the rate was judged" in told
    assert "No forecast could be made." in told
    assert "None heard." in told


def test_a_torsion_clock_has_neither_strikes_nor_weights() -> None:
    told = on_one_line(torsion())
    assert "Strikes heard" not in told
    assert "How it was wound" not in told
    assert "beat error 6°" in told
    assert "310° ±10°" in told


def test_the_first_edition_says_what_it_did_not_keep() -> None:
    told = on_one_line(edition_one())
    assert (
        "Kept by edition 1 of the rules: what that edition did not keep is not here. Times are UTC, but for those in "
        "what was shown."
    ) in told
    assert "Let go Tue 4 Mar 2025, 09:30, by K. Moss" in told
    assert told.lower().count("not kept by edition 1 of the rules") == 4
    assert "at most 25 s/day" in told
    assert DIGEST[::-1] in told


def test_the_charts_show_every_reading_rate_and_work() -> None:
    record = full_longcase()
    error, rates = [block for block in release_record(record).blocks if isinstance(block, Chart)]
    assert [dot.value for dot in error.dots] == [reading.error_s for reading in record.readings]
    assert [dot.sound for dot in error.dots].count(False) == 1
    assert [step.starts for step in error.line].count(True) == 2
    assert [mark.words for mark in error.marks] == [done.words for done in record.works]
    known = [rate.rate_s_per_day for rate in record.rates if isinstance(rate.rate_s_per_day, Quantity)]
    assert [(dot.value, dot.low, dot.high) for dot in rates.dots] == [(q.estimate, q.low, q.high) for q in known]
    assert len(known) == len(record.rates) - 1
    assert [value for value, _ in rates.limits] == [7.0, -7.0]


def test_of_very_many_works_the_winds_are_counted_and_the_latest_named() -> None:
    record = floor_chiming_waived()
    error = next(block for block in release_record(record).blocks if isinstance(block, Chart))
    others = [done.words for done in record.works if not done.words.startswith("wound")]
    assert [mark.words for mark in error.marks] == others[-30:]
    assert error.caption == "Wound 9 times, not marked. 5 earlier works not marked; the book has them."


def test_a_record_of_a_year_with_long_texts_still_takes_two_pages() -> None:
    record = floor_chiming_waived()
    clock = record.clock.model_copy(update={"repaired": "bushes " * 60, "description": "oak " * 60})
    reasons = tuple(
        judged.model_copy(update={"waived": "a long reason " * 12}) if judged.waived else judged
        for judged in record.outcomes
    )
    leads = tuple(f"{lead} " * 3 for lead in record.leads * 3)
    long = record.model_copy(update={"clock": clock, "outcomes": reasons, "leads": leads})
    for paper in ("A4", "Letter"):
        assert b"/Count 2" in pdf_of(release_record(long), paper)


def test_nothing_is_printed_that_depends_on_when_it_is_printed() -> None:
    assert release_record(full_longcase()) == release_record(full_longcase())
    assert release_record(full_longcase()).made_at == AT
    later = full_longcase().model_copy(update={"at": AT + timedelta(days=1)})
    assert release_record(later).made_at == AT + timedelta(days=1)


def test_a_drift_and_a_fall_that_are_shown_say_their_way() -> None:
    falls = full_longcase().model_copy(update={"drift_s_per_day2": Quantity(-0.5, -0.7, -0.3)})
    assert "the rate falls by 0.50 ±0.20 s/day a day" in on_one_line(falls)
    unknown = full_longcase().model_copy(update={"rate_s_per_day": NotYetKnown("stopped too often")})
    assert "final rate not known: stopped too often" in on_one_line(unknown)
