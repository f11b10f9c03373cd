"""The fitter's sheet and the owner's card of every kind: what applies, in working order, and nothing else."""

from __future__ import annotations

from functools import cache

import pytest

from standwatch.horology.kinds import traits_of
from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.model.release import Home
from standwatch.model.text import columns
from standwatch.model.words import KindName, Train
from standwatch.papers import papers_of
from standwatch.papers.blocks import Blanks, Caution, PageBreak, Sheet, Ticks
from standwatch.papers.fitters_sheet import fitters_sheet
from standwatch.papers.owners_card import owners_card, winding_days
from standwatch.papers.pdf import pdf_of
from standwatch.papers.pen import MARGIN, PAPERS
from standwatch.papers.plain import WIDTH, text_of
from standwatch.papers.rail_label import label_of
from tests.papers.every_kind import RELEASED_KINDS, clock_of, released
from tests.papers.reading import placed, reader, words
from tests.papers.records import edition_one

K = KindName
EACH = pytest.mark.parametrize("kind", RELEASED_KINDS)


@cache
def fitters(kind: KindName) -> Sheet:
    return fitters_sheet(released(kind))


@cache
def card(kind: KindName) -> Sheet:
    return owners_card(released(kind))


def both(kind: KindName) -> str:
    """All words of both, on one line, small letters."""
    return " ".join(f"{text_of(fitters(kind))} {text_of(card(kind))}".lower().split())


def ticks(sheet: Sheet) -> list[str]:
    return [item for block in sheet.blocks if isinstance(block, Ticks) for item in block.items]


def blanks(sheet: Sheet) -> str:
    return "\n".join(label for block in sheet.blocks if isinstance(block, Blanks) for label in block.labels)


def line(sheet: Sheet, begin: str) -> str:
    return next(item for item in ticks(sheet) if item.startswith(begin))


@EACH
def test_the_card_is_one_page_and_the_sheet_two_at_most(kind: KindName) -> None:
    """On Letter, the shorter of the two papers; nothing stands outside its margins."""
    for sheet, pages in ((card(kind), {1}), (fitters(kind), {1, 2})):
        data = pdf_of(sheet, "Letter")
        assert len(reader(data).pages) in pages
        width, height = PAPERS["Letter"]
        for run in (run for page in placed(data) for run in page):
            assert MARGIN - 0.05 <= run.x <= width - MARGIN
            assert MARGIN - 0.05 <= run.y <= height - MARGIN
        assert max(columns(row) for row in text_of(sheet).splitlines()) <= WIDTH


@pytest.mark.parametrize("kind", [K.FLOOR_CHIMING, K.LONGCASE, K.CARRIAGE])
def test_a_movement_alone_fits_too_and_says_so_large(kind: KindName) -> None:
    record = released(kind, movement_only="yes")
    for sheet, pages in ((owners_card(record), {1}), (fitters_sheet(record), {1, 2})):
        data = pdf_of(sheet, "A4")
        assert len(reader(data).pages) in pages
        assert "not proved in its case" in words(data).lower()
    told = " ".join(text_of(fitters_sheet(record)).split())
    assert "second-day call" in told
    assert "days 2 and 14 after delivery" in told
    assert "We call 2 and 14 days after" in " ".join(text_of(owners_card(record)).split())
    assert "not proved" not in both(kind)


@EACH
def test_nothing_is_said_of_what_such_a_clock_has_not(kind: KindName) -> None:
    traits, told = traits_of(clock_of(kind)), both(kind)
    assert ("chim" in told.replace("floor chiming", "").replace("mantel chiming", "")) == (Train.CHIME in traits.trains)
    assert ("selector" in told) == (Train.CHIME in traits.trains)
    assert ("strik" in told) == (Train.STRIKE in traits.trains)
    assert ("blows" in told) == (Train.STRIKE in traits.trains)
    assert ("weights" in told or "the weight " in told) == traits.weights
    assert ("pendulum" in told) == (traits.oscillator != "balance")
    assert ("crutch" in told) == (traits.oscillator == "pendulum")
    assert ("the nut" in told) == (traits.oscillator == "pendulum" and kind is not K.CUCKOO)
    assert ("tips" in told) == (kind in {K.LONGCASE, K.LONGCASE_30H, K.FLOOR_CHIMING})
    assert ("mainspring" in told) == (not traits.weights)
    assert ("bird" in told) == (kind is K.CUCKOO)
    assert ("moon" in told) == traits.moon


@EACH
def test_what_is_done_there_is_one_page_with_what_is_written_there(kind: KindName) -> None:
    blocks = fitters(kind).blocks
    after = blocks[next(n for n, block in enumerate(blocks) if isinstance(block, PageBreak)) :]
    assert any(isinstance(block, Blanks) for block in after)
    assert "deliver 2417" in text_of(fitters(kind))


def test_the_way_is_in_working_order() -> None:
    """Pendulum off first, weights off, the case fixed, weights hung, the pendulum on last, then hands and bells."""
    steps = ticks(fitters(K.FLOOR_CHIMING))
    begins = (
        "Pendulum off first",
        "Suspension protected",
        "Weights off",
        "Lines and cables kept taut",
        "Transport lock on",
        "Keepers",
        "Case firm",
        "Case fixed to the wall by the local code",
        "Room to fall",
        "Each line on its pulley, not crossed",
        "Suspension straight",
        "In beat by ear",
        "If its crutch sets itself: one wide swing, then wait",
        "Swing read",
        "Every packing",
        "Hands forward only, pausing at each quarter",
        "Chime given up to two hours",
        "Set right",
        "Weights clear",
        "Nut left alone",
    )
    at = [next(n for n, step in enumerate(steps) if step.startswith(begin)) for begin in begins]
    assert at == sorted(at)
    assert "Pendulum on last." in steps[at[10]]


def test_its_own_hazards_stand_first_in_a_frame() -> None:
    caution = next(block for block in fitters(K.FLOOR_CHIMING).blocks if isinstance(block, Caution))
    assert caution.items[0] == "This clock: weights over 9 kg; mercury pendulum."
    assert caution.items[1].startswith("Mercury")
    assert caution.items[-1] == "Local codes and licensed practice come first."
    radium = next(block for block in card(K.CARRIAGE).blocks if isinstance(block, Caution))
    assert "radium" in radium.items[1]


def test_weights_are_told_by_side_and_may_differ() -> None:
    step = line(fitters(K.FLOOR_CHIMING), "Weights off")
    assert "gloves" in step
    assert "they may differ): left strike 9.5 kg, centre going 9.5 kg, right chime 12 kg." in step
    assert line(fitters(K.LONGCASE_30H), "Weight off").endswith("drives both trains 4.6 kg; labelled.")
    other = fitters_sheet(released(K.LONGCASE, weight_order="going;strike"))
    assert "left going 5.4 kg, right strike 5.2 kg" in line(other, "Weights off")


def test_how_it_swung_and_beat_and_what_is_too_little() -> None:
    """1.6 degrees unlock it, 25 % more are wanted: 2.0; 2.50 degrees at 980 mm are 980 tan 2.5 = 42.8 mm."""
    assert line(fitters(K.LONGCASE), "Swing read").endswith(
        "On the stand 2.50° ±0.12° each side (43 mm at 980 mm below the suspension); under 2.0° is too little."
    )
    assert line(fitters(K.LONGCASE), "In beat").endswith("On the stand 0.9 %, at most 4 %.")
    assert "under 180° is too little" in line(fitters(K.CARRIAGE), "Balance swings")
    assert line(fitters(K.TORSION), "In beat").endswith("On the stand 0.9°, at most 10°.")
    unread = released(K.LONGCASE).model_copy(update={"amplitude_deg": NotYetKnown("never read"), "beat": None})
    assert "not told" in text_of(fitters_sheet(unread))


def test_the_rate_there_has_place_room_and_the_doubt_of_the_move() -> None:
    """The forecast's own mean over its days: -95/14 = -6.8, from -425/14 to 235/14, so that the two never disagree."""
    told = " ".join(text_of(fitters(K.LONGCASE)).split())
    assert "there loses 7 ±24 s a day; most of the doubt is the move" in told
    assert "by its place it should gain 4 ±4 s a day more than on the stand" in told
    assert "by its room it should lose 0.8 ±0.8 s a day more than on the stand" in told
    assert "after 14 days 7:05 slow to 3:55 fast (95 %)" in told
    home = Home(days=14.0, error_s=NotYetKnown("x"), move_s_per_day=1.0, site_s_per_day=NotYetKnown("no site of it"))
    told = " ".join(text_of(fitters_sheet(released(K.LONGCASE).model_copy(update={"home": home}))).split())
    assert "there not known: x" in told
    assert "by its place not known: no site of it" in told


@pytest.mark.parametrize(
    ("kind", "asked", "unasked"),
    [
        (
            K.LONGCASE,
            ("--swing-mm", "--strike-fall", "--going-fall", "--fixed-to-wall", "% (--beat"),
            ("--chime-fall",),
        ),
        (K.FLOOR_CHIMING, ("--chime-fall", "room to fall"), ("--swing-mm",)),
        (K.LONGCASE_30H, ("--going-fall",), ("--strike-fall",)),
        (K.CARRIAGE, ("ms (--beat-error)", "degrees (--amplitude)"), ("-fall", "wall", "%")),
        (K.TORSION, ("swing in all", "past the tick"), ("--beat-error", "-fall", "heard", "wall")),
        (K.MANTEL, ("% (--beat-error)",), ("-fall", "wall")),
    ],
)
def test_what_is_written_down_at_leaving(kind: KindName, asked: tuple[str, ...], unasked: tuple[str, ...]) -> None:
    told = blanks(fitters(kind))
    for name in ("--at", "--error", "--wound-by", "--note", *asked):
        assert name in told
    for name in unasked:
        assert name not in told


@pytest.mark.parametrize(
    ("kind", "duration", "days", "said"),
    [
        (K.LONGCASE, None, 7, "once a week"),
        (K.CUCKOO, None, 1, "every day"),
        (K.LONGCASE_30H, None, 1, "every day"),
        (K.SPRING_WALL, 336, 7, "once a week"),
        (K.SPRING_WALL_31D, None, 28, "every 4 weeks"),
        (K.MANTEL, 168, 6, "every 6 days"),
        (K.TORSION, None, 365, "once a year"),
    ],
)
def test_it_is_wound_with_a_day_or_more_to_spare(kind: KindName, duration: float | None, days: int, said: str) -> None:
    traits = traits_of(clock_of(kind, duration_h=duration))
    assert winding_days(traits)[0] == days
    assert winding_days(traits)[1].startswith(said)
    assert days * 24 < traits.duration_h


def test_how_far_a_wind_goes_by_its_own_fall_or_turns() -> None:
    """330 mm in two days are 116 cm in seven; of 14 turns for 192 hours a week takes 12.25, of 15 it takes 13.1."""
    assert "each weight comes down about 116 cm" in both(K.LONGCASE)
    assert "the weight comes down about" in both(K.REGULATOR)
    assert "about 12 to 13 turns of each" in both(K.MANTEL_CHIMING)
    assert "about 11 turns." in both(K.TORSION)
    unread = released(K.LONGCASE).model_copy(update={"trains": ()})
    assert "comes down" not in text_of(owners_card(unread))
    assert (
        "turns" not in " ".join(text_of(owners_card(released(K.MANTEL, going_turns=None))).split()).split("Setting")[0]
    )


def test_what_an_owner_may_expect_is_told_in_minutes_outwards() -> None:
    def told(low: float, high: float) -> str:
        home = Home(days=14.0, error_s=Quantity((low + high) / 2, low, high))
        return " ".join(text_of(owners_card(released(K.LONGCASE).model_copy(update={"home": home}))).split())

    assert "After two weeks it may show anything from 8 minutes slow to 4 minutes fast" in told(-425, 235)
    assert "anything from 20 seconds slow to 1:30 fast" in told(-20, 90)
    assert "anything from 2 minutes fast to 3 minutes fast" in told(120, 170)
    none = released(K.LONGCASE).model_copy(update={"home": None})
    assert "After two weeks" not in text_of(owners_card(none))


@EACH
def test_an_owner_is_told_what_the_trade_tells(kind: KindName) -> None:
    told = " ".join(text_of(card(kind)).split())
    assert "Never force it" in told
    assert "forward only" in told
    assert "Don't chase it in the first 48 hours" in told
    assert "Touch nothing. Write down the time that it shows" in told
    assert "Warranty: 12 months" in told
    assert "Thornbury & Vale" in told
    assert "Quillane" not in told  # a card hangs in the case, for everyone to read
    if kind is K.CUCKOO:
        assert "slide the bob on its rod" in told
        assert "up and it goes faster" in told
    elif traits_of(clock_of(kind)).oscillator == "pendulum":
        assert "raise the bob and it goes faster" in told
        assert "quarter turn" in told


def test_an_order_of_weights_that_nobody_told_is_said_to_be_the_usual() -> None:
    note = "usual order, not told of this clock: see which is which"
    for kind in (K.CUCKOO, K.LONGCASE):
        record = released(kind, weight_order="")
        sheets = (fitters_sheet(record), label_of(record))
        assert all(note in " ".join(text_of(sheet).split()) for sheet in sheets)
    told = text_of(fitters_sheet(released(K.LONGCASE, weight_order="going;strike")))
    assert note not in " ".join(told.split())


def test_the_card_minds_selector_silence_and_moon() -> None:
    assert "never move the selector while it chimes" in both(K.FLOOR_CHIMING)
    assert "from 22:00 to 07:00 it is silent" in both(K.FLOOR_CHIMING)
    assert "comes right by itself within two hours" in both(K.FLOOR_CHIMING)
    assert "never set the moon while it is changing" in both(K.LONGCASE)
    stubborn = " ".join(text_of(owners_card(released(K.FLOOR_CHIMING, self_correcting="no"))).split())
    assert "by itself within" not in stubborn
    assert "it doesn't correct itself" in " ".join(
        text_of(fitters_sheet(released(K.FLOOR_CHIMING, self_correcting="no"))).split()
    )


def test_a_record_of_the_first_edition_has_papers_too() -> None:
    names = [sheet.name for sheet in papers_of(edition_one())]
    assert names == ["release-record", "fitters-sheet", "owners-card", "label"]
    told = " ".join(text_of(fitters_sheet(edition_one())).split())
    assert "what the move does to it is not kept" in told
    assert "Warranty" not in text_of(owners_card(edition_one()))


def test_a_clock_with_every_hazard_fits_too() -> None:
    hazards = "mercury pendulum; radium on hands and dial; lamp at 230 V; asbestos pad under it; weights over 12 kg"
    record = released(K.FLOOR_CHIMING, movement_only="yes", hazards=hazards)
    assert len(reader(pdf_of(fitters_sheet(record), "Letter")).pages) == 2
    assert len(reader(pdf_of(owners_card(record), "Letter")).pages) == 1
    there = text_of(fitters_sheet(record)).split("- - -")[-1]
    assert "mercury pendulum" in there  # named again on the page that is used there


def test_a_reference_has_nothing_to_wind_and_nothing_to_mind() -> None:
    told = text_of(owners_card(released(K.REFERENCE)))
    assert "Wind" not in told
    assert "CAUTION" not in told


def test_the_square_in_the_dial_is_told_where_there_may_be_one() -> None:
    assert "square in the dial" in both(K.MANTEL)
    assert "square in the dial" not in both(K.LONGCASE)
