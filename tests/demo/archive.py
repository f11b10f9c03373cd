"""Clocks of earlier months: tested, let go, at their owners'; three came back, one of them is on the stand again."""

from __future__ import annotations

from datetime import timedelta

from standwatch.horology.kinds import KINDS
from standwatch.model.words import KindName
from tests.demo.diary import Kit, Row, Shop
from tests.demo.going_home import Past, Seasons, clock_id
from tests.demo.stand import Nature, SimClock, civil

_BY_DAY = ("09:00", "10:00", "11:00", "12:00", "13:00", "14:00", "15:00", "16:00", "17:00", "18:00", "19:00")


def _begin(shop: Shop, tag: str, start: str, kind: str, nature: Nature, **columns: object) -> Past:
    """A clock put on the stand at nine, set to time and wound."""
    traits = KINDS[KindName(kind)]
    clock = SimClock(tag, nature, Seasons(shop.seed, shop.room), seed=shop.seed, start=civil(f"{start} 09:00"), error=3)
    told: Row = {"tag": tag, "id": clock_id(tag), "kind": kind, **columns}
    told["on_stand_at"] = civil(f"{start} 09:00").isoformat()
    by_seconds = kind in {"regulator", "longcase"} or columns.get("seconds_hand") == "yes"
    how = "seconds-hand" if by_seconds else "minute-hand"
    kit = Kit(how, 5, balance=traits.oscillator == "balance", torsion=traits.oscillator == "torsion")
    past = Past(tag, told, kit, clock)
    past.done(f"{start} 09:10", "wound")
    return past


def _day(start: str, days: int, time: str) -> str:
    return f"{civil(f'{start} 08:00') + timedelta(days=days):%m-%d} {time}"


def _tested(
    past: Past,
    start: str,
    *,
    strikes: bool = True,
    cased: bool = True,
    oil: bool = True,
    second_wind: int = 7,
    rate_sd: float = 0.3,
) -> None:
    """An eight-day clock: every hour heard in its first two days, one wind of nine days, then its own case."""

    def day(days: int, time: str) -> str:
        return _day(start, days, time)

    if strikes:
        for time in _BY_DAY:
            past.read(day(1, time), count=True)
    past.read(day(9, "08:00"), count=strikes)
    past.wound(day(9, "08:10"))
    if oil:
        past.done(day(9, "08:15"), "oil-checked", amount=0, note="mk")
    if cased:
        past.unsettle(day(9, "08:20"), "cased", rate_sd=rate_sd, error_sd=3)
    past.done(day(9, "08:30"), "safety-checked", note="mk")
    if strikes:
        past.read(day(10, "12:00"), count=True)
    past.read(day(11, "08:05"), day(14, "08:05"), swing=True, beat=True)
    past.read(day(15, "08:05"), swing=True)
    past.read(day(16, "08:05"), day(17, "08:05"))
    past.wound(day(9 + second_wind, "08:10"))


def _weights(rate: float, q1: float, q2: float, speed: float, swing: float) -> Nature:
    room = speed * 9.5
    return Nature(
        rate=rate, q1=q1, q2=q2, speed={"going": speed, "strike": speed / 160}, floor={"going": room, "strike": room},
        swing=swing,
    )  # fmt: skip


def _p1(shop: Shop) -> Past:
    """A regulator, sent home at the end of January."""
    start = "01-05"
    past = _begin(
        shop, "2303", start, "regulator", _weights(0.2, 0.1, 0.01, 148, 1.5), position="A6",
        description="mahogany wall regulator", going_usable_mm=1500, unlock_deg=0.95, rod="wood", escapement="deadbeat",
        repaired="pallets; suspension", owner="Ovingdale",
    )  # fmt: skip
    past.read(_day(start, 0, "16:05"))
    _tested(past, start, strikes=False, rate_sd=0.1)
    past.read(*(_day(start, n, "08:05") for n in (18, 21, 22)))
    past.released(_day(start, 22, "09:00"), "mk")
    past.delivered("01-30 14:00", move=0.9, said="screwed to the wall at four points", wound_by="owner", wall=True)
    past.called("02-13 11:00", "goes well, wound on Sundays")
    return past


def _p2(shop: Shop) -> Past:
    """A mantel clock whose owner forced its key in May."""
    start = "02-02"
    nature = Nature(rate=4, q1=3, q2=0.2, curve=10, run_days=9, swing=5.2, swing_wind=0.08, beat=1.4)
    past = _begin(
        shop, "2311", start, "mantel", nature, position="A4",
        description="black slate, two trains", unlock_deg=3.2, repaired="mainspring; click", owner="Tarrowby",
    )  # fmt: skip
    _tested(past, start, second_wind=8)
    past.read(_day(start, 18, "08:05"))
    past.released(_day(start, 18, "09:00"), "mk")
    past.delivered("02-23 10:30", move=-3.5, said="on a shelf, level", wound_by="owner")
    past.called("03-09 10:00", "well; gains a little by Friday")
    past.back("05-12 15:00", "user", "wound backwards, the click spring bent", stopped=True)
    return past


def _p3(shop: Shop) -> Past:
    """A longcase, read at home in June."""
    start = "03-02"
    past = _begin(
        shop, "2317", start, "longcase", _weights(3, 0.9, 0.06, 158, 2.6), position="A1",
        description="oak, brass dial, bolt and shutter", maintaining="yes", going_usable_mm=1600,
        strike_usable_mm=1600, unlock_deg=1.6, rod="steel",
        repaired="pivots; bushes", owner="Minchett",
    )  # fmt: skip
    _tested(past, start, oil=False)
    past.released(_day(start, 17, "09:00"), "mk", oil="looked at on the bench, nothing dark")
    past.delivered("03-23 13:30", move=5.5, said="stone floor, plumb", wound_by="owner", wall=True)
    past.called("04-07 10:30", "gains a minute, the owner is content")
    past.read("06-18 16:05")
    return past


def _p4(shop: Shop) -> Past:
    """A carriage clock in its travelling case."""
    start = "03-30"
    nature = Nature(rate=-3, q1=2.5, q2=0.2, curve=6, run_days=9, swing=250, swing_wind=0.1, beat=1.1)
    past = _begin(
        shop, "2324", start, "carriage", nature, position="B4",
        description="gilt, one gong", escapement="lever", balance="cut", repaired="balance; cleaning", owner="Crannick",
    )  # fmt: skip
    _tested(past, start, second_wind=8)
    past.read(_day(start, 18, "08:05"))
    past.released(_day(start, 18, "09:00"), "mk")
    past.delivered("04-22 16:00", move=2.5, said="fetched by its owner", wound_by="owner")
    past.called("05-06 09:30", "within a minute or two")
    return past


def _p5(shop: Shop) -> Past:
    """A torsion clock under its dome."""
    start = "04-13"
    nature = Nature(rate=6, q1=4, q2=0.3, run_days=420, swing=320, overswing=(25, 26))
    past = _begin(
        shop, "2329", start, "torsion", nature, position="C3",
        description="four balls, glass dome", repaired="suspension; cleaning", owner="Pottersby",
    )  # fmt: skip
    past.read(*(_day(start, n, "08:05") for n in (1, 4, 8)))
    past.read(*(_day(start, n, "08:05") for n in (11, 15, 22)), swing=True)
    past.done(_day(start, 22, "08:15"), "oil-checked", amount=0, note="mk")
    past.read(*(_day(start, n, "08:05") for n in (23, 24, 25, 28, 29)))
    past.done(_day(start, 28, "08:30"), "safety-checked", note="mk")
    past.released(_day(start, 29, "09:00"), "mk")
    past.delivered("05-18 11:00", move=4, said="on a stone sill, out of the sun")
    past.called("06-01 10:00", "goes")
    return past


def _p6(shop: Shop) -> Past:
    """A weight-driven wall clock that stood after a week: out of beat at home."""
    start = "04-27"
    past = _begin(
        shop, "2333", start, "weight-wall", _weights(1.0, 0.4, 0.03, 116, 1.7), position="A2",
        description="walnut, two weights", seconds_hand="yes", going_usable_mm=1200, strike_usable_mm=1200,
        unlock_deg=1.05, rod="wood", escapement="deadbeat", repaired="suspension; lines", owner="Halvane",
    )  # fmt: skip
    _tested(past, start)
    past.released(_day(start, 17, "09:00"), "jt")
    past.delivered("05-19 10:00", move=-4, said="papered wall, one screw", wound_by="owner", wall=False)
    past.back("05-28 14:00", "set-up", "stood: case had swung out of plumb; screwed, set in beat", stopped=True)
    past.called("06-04 10:00", "goes since")
    return past


def _p7(shop: Shop) -> Past:
    """A mantel clock that stopped in October, within its warranty: the round movement that is on the stand again."""
    start = "06-01"
    nature = Nature(rate=-5, q1=3, q2=0.2, curve=10, run_days=9, swing=5.0, swing_wind=0.1, beat=1.6)
    past = _begin(
        shop, "2346", start, "mantel", nature, position="A4",
        description="black slate, round movement, bell", going_turns=11, strike_turns=12, unlock_deg=3.3,
        escapement="visible, jewelled pallets",
        repaired="bushes; mainspring", owner="Marrack",
    )  # fmt: skip
    _tested(past, start, oil=False, second_wind=8)
    past.read(_day(start, 18, "08:05"))
    past.released(_day(start, 18, "09:00"), "jt", oil="no time before the holidays")
    past.delivered("06-24 15:00", move=2, said="mantelpiece, level", wound_by="owner")
    past.called("07-08 10:00", "goes well")
    past.back("10-29 09:30", "mechanical", "stops on its last days: a pivot dry", stopped=True)
    return past


def _p8(shop: Shop) -> Past:
    """A bracket clock let go before its days could be told apart by the minute hand."""
    start = "07-06"
    nature = Nature(rate=2, q1=1.8, q2=0.15, run_days=9, swing=4.8, swing_wind=0.05, beat=1.2)
    past = _begin(
        shop, "2359", start, "bracket", nature, position="B6",
        description="ebonised, pull repeat", unlock_deg=3.0, repaired="fusee chain; bell hammer",
        owner="Wrenfold",
    )  # fmt: skip
    _tested(past, start, second_wind=8)
    past.read(_day(start, 18, "08:05"))
    past.released(_day(start, 18, "09:00"), "mk", day_range="wanted for a wedding")
    past.delivered("07-27 17:00", move=-6, said="bookcase", wound_by="housekeeper")
    past.called("08-10 10:00", "loses a minute a week")
    past.read("09-15 11:05")
    return past


def _p9(shop: Shop) -> Past:
    """A spring-driven wall clock, a movement only."""
    start = "08-10"
    nature = Nature(rate=9, q1=4, q2=0.3, curve=14, run_days=9, swing=5.4, swing_wind=0.1, beat=1.5)
    past = _begin(
        shop, "2371", start, "spring-wall", nature, position="B2",
        description="drop-dial movement", unlock_deg=3.4, movement_only="yes", repaired="mainspring; cleaning",
        owner="Dewsmere",
    )  # fmt: skip
    _tested(past, start, cased=False, second_wind=8)
    past.released(_day(start, 17, "09:00"), "jt")
    past.delivered("09-04 12:00", move=7, said="fetched; its case is at the owner's", wound_by="owner")
    past.called("09-07 10:00", "hangs and goes", told=False)
    past.called("09-18 10:00", "gains, the owner minds little")
    return past


def _p10(shop: Shop) -> Past:
    """A longcase that went home two weeks ago: its owner was called yesterday."""
    start = "10-12"
    past = _begin(
        shop, "2389", start, "longcase", _weights(-2, 0.5, 0.05, 160, 2.5), position="C1",
        description="painted dial, bolt and shutter", maintaining="yes", going_usable_mm=1600,
        strike_usable_mm=1600, unlock_deg=1.55,
        rod="steel", repaired="wheel teeth; strike rack", owner="Birkmoor",
    )  # fmt: skip
    _tested(past, start)
    past.summer_time("10-26 08:12")
    past.released("10-29 16:00", "mk")
    past.delivered("11-05 10:30", move=4, said="oak boards, fixed at the top", wound_by="owner", wall=True)
    past.called("11-19 16:40", "goes well, right to the minute")
    return past


ARCHIVE = (_p1, _p2, _p3, _p4, _p5, _p6, _p7, _p8, _p9, _p10)
"""Their stories, oldest first."""
