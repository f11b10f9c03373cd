"""Signs, units and rounding, where they are kept."""

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standwatch.model import units


class TestRoundToDoubt:
    """GUM (JCGM 100:2008) 7.2.6: at most two significant digits of doubt, and the value rounded to match."""

    @pytest.mark.parametrize(
        ("value", "doubt", "text"),
        [
            # GUM 7.2.6: y = 10.05762 ohm with u = 27 milliohm becomes 10.058 ohm
            (10.05762, 0.027, ("10.058", "0.027")),
            # GUM H.3, thermometer: y1 -0.1712 (0.0029), y2 0.00218 (0.00067)
            (-0.17120, 0.00288, ("−0.1712", "0.0029")),
            (0.002183, 0.000668, ("0.0022", "0.0007")),
            (-0.14937, 0.00414, ("−0.149", "0.004")),
        ],
    )
    def test_published_examples(self, value: float, doubt: float, text: tuple[str, str]) -> None:
        assert units.round_to_doubt(value, doubt) == text

    @pytest.mark.parametrize(
        ("value", "doubt", "text"),
        [
            (6.2, 1.13, ("6.2", "1.1")),
            (6.2, 0.0996, ("6.20", "0.10")),
            (1234.5, 140, ("1230", "140")),
            (1234.5, 99.6, ("1230", "100")),
            (-0.04, 1.2, ("0.0", "1.2")),  # no minus nought
            (12.5, 0.0, ("12.500", "0")),
            (9.96, 2.96, ("10.0", "3.0")),
            (0.0, 1e-12, ("0.000000000", "0.000000000")),
        ],
    )
    def test_edges(self, value: float, doubt: float, text: tuple[str, str]) -> None:
        assert units.round_to_doubt(value, doubt) == text

    @pytest.mark.parametrize(("value", "doubt"), [(float("nan"), 1), (1, float("inf")), (float("-inf"), 1)])
    def test_what_is_not_finite_is_no_number(self, value: float, doubt: float) -> None:
        with pytest.raises(ValueError, match="finite"):
            units.round_to_doubt(value, doubt)

    @given(st.floats(-1e6, 1e6), st.floats(1e-4, 1e4))
    def test_rounding_never_moves_a_value_by_more_than_a_sixth_of_its_doubt(self, value: float, doubt: float) -> None:
        shown, shown_doubt = (float(t.replace(units.MINUS, "-")) for t in units.round_to_doubt(value, doubt))
        assert abs(shown - value) <= doubt / 5 + 1e-9
        assert shown_doubt == pytest.approx(doubt, rel=0.17)
        assert len(f"{shown_doubt:.9f}".replace(".", "").strip("0")) <= 2


@pytest.mark.parametrize(
    ("error_s", "plain", "tenths"),
    [
        (14.2, "0:14 fast", "14.2 s fast"),
        (-2.14, "0:02 slow", "2.1 s slow"),
        (0.04, "right", "right"),
        (-0.4, "right", "0.4 s slow"),
        (59.6, "1:00 fast", "59.6 s fast"),
        (-312, "5:12 slow", "5:12 slow"),
        (3750, "1:02:30 fast", "1:02:30 fast"),
        (-21600, "6:00:00 slow", "6:00:00 slow"),
        (0.0, "right", "right"),
    ],
)
def test_errors_in_words(error_s: float, plain: str, tenths: str) -> None:
    assert units.error_words(error_s) == plain
    assert units.error_words(error_s, tenths=True) == tenths


@pytest.mark.parametrize(
    ("rate", "words"),
    [(6.21, "gains 6.2 a day"), (-0.3, "loses 0.3 a day"), (0.04, "keeps time"), (-0.04, "keeps time")],
)
def test_rates_in_words(rate: float, words: str) -> None:
    assert units.rate_words(rate) == words


@pytest.mark.parametrize(
    ("value", "text"), [(6.2, "+6.2"), (-0.31, "−0.3"), (0.04, "0.0"), (-0.04, "0.0"), (12.0, "+12.0")]
)
def test_signed_numbers_have_a_real_minus_and_a_leading_zero(value: float, text: str) -> None:
    assert units.signed(value) == text


@pytest.mark.parametrize(
    ("hours", "text"),
    [
        (-2, "0h"),
        (0.4, "0h"),
        (23.4, "23h"),
        (23.6, "1d00h"),
        (44, "1d20h"),
        (239.4, "9d23h"),
        (240, "10d"),
        (9600, "400d"),
    ],
)
def test_spans(hours: float, text: str) -> None:
    assert units.span_words(hours) == text


@given(st.floats(-1e7, 1e7))
def test_a_dial_shows_every_error_within_six_hours(error_s: float) -> None:
    shown = units.wrap_dial(error_s)
    assert -21600 < shown <= 21600
    turns = (error_s - shown) / 43200
    assert turns == pytest.approx(round(turns), abs=1e-6)


@given(st.floats(-21599, 21600), st.integers(-50, 50))
def test_whole_turns_of_the_dial_change_nothing(error_s: float, turns: int) -> None:
    assert units.wrap_dial(error_s + 43200 * turns) == pytest.approx(error_s, abs=1e-6)


@pytest.mark.parametrize(
    ("dial", "seconds"), [("12:00", 0), ("0:00", 0), ("3:47", 13620), ("15:47", 13620), ("11:59:59", 43199)]
)
def test_what_a_dial_shows(dial: str, seconds: float) -> None:
    assert units.dial_seconds(dial) == seconds


@given(st.datetimes(datetime(1970, 1, 1), datetime(2100, 1, 1), timezones=st.just(UTC)))  # noqa: DTZ001
def test_days_are_undone_to_the_microsecond(at: datetime) -> None:
    assert abs(units.moment(units.days(at)) - at) <= timedelta(microseconds=1)


def test_days_know_offsets() -> None:
    noon = datetime(2026, 11, 20, 12, tzinfo=UTC)
    assert units.days(noon.astimezone(timezone(timedelta(hours=5)))) == units.days(noon)
