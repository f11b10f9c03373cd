"""Leads of the cold, of oil and of weights hung wrongly: seen, and just not."""

from __future__ import annotations

from tests.estimate.leads.seen import codes, lead
from tests.stories import daily


def log(cold_days: tuple[int, ...]) -> list[str]:
    """The stand's thermometer each morning of three weeks: 19 deg C, and 11 on some days."""
    return [f"11-{d:02} 08:00 temperature_c={11 if d in cold_days else 19} work=seen-going" for d in range(2, 23)]


def stopping(days: tuple[int, ...]) -> list[str]:
    """Found stopped on these mornings and restarted, whatever the reason."""
    lines = []
    for d in days:
        lines += [f"11-{d:02} 08:02 work=stopped", f"11-{d:02} 08:20 work=restarted"]
    return lines


def test_stops_only_in_the_cold() -> None:
    found = lead("cold", "mantel", [*log((6, 13, 19)), *stopping((6, 13))], now="11-22 09:00")
    assert found is not None
    assert found.odds > 0.6
    assert found.text.startswith("all 2 stops came at 11 °C or colder")
    assert found.text.endswith("run it through a cold night")


def test_a_stop_in_the_warmth_speaks_against_it() -> None:
    assert "cold" not in codes("mantel", [*log((6, 13, 19)), *stopping((6, 10, 13))], now="11-22 09:00")


def test_where_most_days_are_cold_it_tells_nothing() -> None:
    assert "cold" not in codes("mantel", [*log(tuple(range(4, 20))), *stopping((6, 13))], now="11-22 09:00")


def test_one_stop_is_no_pattern() -> None:
    assert "cold" not in codes("mantel", [*log((6, 13, 19)), *stopping((6,))], now="11-22 09:00")


def warm_and_cold(per_degree: float) -> list[str]:
    """A longcase whose room goes from 20 to 12 deg C and back by the day, and its swing with it."""
    cells = "temperature_c={20-8*(d%2):.0f} amplitude_deg={2.5*(1-" + f"{per_degree}" + "*8*(d%2)):.3f} error_s={d:.1f}"
    return daily("11-02 08:00", "11-20 08:00", cells)


def test_a_swing_that_is_low_in_the_cold() -> None:
    found = lead("cold", "longcase", warm_and_cold(0.015), now="11-20 09:00")
    assert found is not None
    assert found.odds > 0.9
    assert found.text.startswith("the swing is 1.6 % lower for each °C colder")


def test_a_swing_that_hardly_minds_is_none() -> None:
    assert codes("longcase", warm_and_cold(0.002), now="11-20 09:00") == []


def test_dark_oil() -> None:
    dark = ["11-02 08:00 error_s=0", "11-12 08:00 work=oil-checked amount=1 note=JP"]
    found = lead("oil-dark", "mantel", dark, now="11-13 09:00")
    assert found is not None
    assert found.text == "oil dark or dry at a pivot on Thu 12 Nov (JP): a bush sheds or plating has gone; open it"
    again = lead("oil-dark", "mantel", [*dark, "11-13 08:00 work=oil-checked amount=1 note=JP"], now="11-13 09:00")
    assert again is not None
    assert again.odds > found.odds


def test_clear_or_opened_oil_is_none() -> None:
    dark = ["11-02 08:00 error_s=0", "11-12 08:00 work=oil-checked amount=1 note=JP"]
    assert codes("mantel", ["11-12 08:00 work=oil-checked amount=0 note=JP"], now="11-13 09:00") == []
    assert codes("mantel", [*dark, "11-12 09:00 work=oil-checked amount=0 note=JP"], now="11-13 09:00") == []
    assert codes("mantel", [*dark, "11-12 09:00 work=opened"], now="11-13 09:00") == []


KILOGRAMS = {"going_kg": 6.0, "strike_kg": 6.0, "chime_kg": 9.0}


def hung_anew(degrees: float, chime: str) -> list[str]:
    """A floor clock that swung 3.2 degrees, moved and its weights hung again."""
    return [
        *daily("11-02 08:00", "11-06 08:00", "error_s={d:.0f} amplitude_deg=3.2"),
        "11-06 09:00 work=moved note=A4",
        *daily("11-07 10:00", "11-09 10:00", "amplitude_deg=" + f"{degrees}"),
        f"11-09 11:00 chime={chime} quarter=4",
    ]


def test_weights_exchanged() -> None:
    ledger = hung_anew(3.9, "not-running")  # the root of 9/6 is 1.22
    found = lead("weights-exchanged", "floor-chiming", ledger, now="11-09 12:00", **KILOGRAMS)
    assert found is not None
    assert found.text == (
        "the chime fails to run and the going swings 22 % wider than usual: weights exchanged; look at their labels"
    )


def test_weights_are_where_they_belong() -> None:
    found = codes("floor-chiming", hung_anew(3.9, "in-step"), now="11-09 12:00", **KILOGRAMS)
    assert "weights-exchanged" not in found
    found = codes("floor-chiming", hung_anew(3.25, "not-running"), now="11-09 12:00", **KILOGRAMS)
    assert "weights-exchanged" not in found
    assert "weights-exchanged" not in codes("floor-chiming", hung_anew(3.9, "not-running"), now="11-09 12:00")


def hanging(chime_mm_a_day: float, *, hung: bool = True) -> list[str]:
    """A floor clock wound and its weights hung again on the 9th; its chime weight read each morning since."""
    before = daily("11-02 08:00", "11-09 08:00", "error_s={d:.0f} amplitude_deg=3.2 going_mm={135*d:.0f}")
    fell = f"chime_mm={{6+{chime_mm_a_day}*d:.0f}}"
    after = daily("11-10 08:00", "11-13 08:00", "amplitude_deg=3.9 going_mm={140+135*d:.0f} " + fell)
    again = ["11-09 08:10 work=moved note=A4"] if hung else []
    return [*before, *again, "11-09 08:20 work=wound", "11-09 09:00 chime_mm=6 going_mm=4", *after]


def test_a_chime_weight_that_hangs_labours_too() -> None:
    found = codes("floor-chiming", hanging(1), now="11-13 09:00", **KILOGRAMS)
    assert "chime-stuck" in found
    assert "weights-exchanged" in found, "nobody had to hear it keep silent"
    found = codes("floor-chiming", hanging(135), now="11-13 09:00", **KILOGRAMS)
    assert "chime-stuck" not in found
    assert "weights-exchanged" not in found


def test_one_that_hung_before_they_were_hung_anew_is_no_exchange() -> None:
    before = daily(
        "11-02 08:00", "11-09 08:00", "error_s={d:.0f} amplitude_deg=3.2 going_mm={135*d:.0f} chime_mm={300+d:.0f}"
    )
    after = daily("11-10 08:00", "11-13 08:00", "amplitude_deg=3.9 going_mm={140+135*d:.0f} chime_mm={308+d:.0f}")
    ledger = [*before, "11-09 08:10 work=moved note=A4", "11-09 08:20 work=wound train=going", *after]
    found = codes("floor-chiming", ledger, now="11-13 09:00", **KILOGRAMS)
    assert "chime-stuck" in found
    assert "weights-exchanged" not in found
