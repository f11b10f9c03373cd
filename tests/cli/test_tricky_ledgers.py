"""Ledgers at the edges of each sentence that says how evidence is recorded: imported into a real book, read as JSON.

A case is a clock's story and what must come of it: by requirement the outcome, or outcome and what was observed.
2 November 2026 is a Monday; Greenwich Mean Time holds from Sunday 25 October. All trade facts are common practice.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import pytest

from tests.cli.conftest import Program
from tests.cli.ledger import MET, MISSED, NONE, OPEN, story
from tests.stories import daily

Wanted = str | tuple[str, Any]


@dataclass(frozen=True)
class Case:
    """One ledger: `wants` by requirement, or by the words `standing` and `next`."""

    name: str
    kind: str
    lines: Sequence[str]
    now: str
    wants: Mapping[str, Wanted]
    columns: Mapping[str, Any] = field(default_factory=dict)


def read(first: str, last: str, more: str = "", rate: float = 3) -> list[str]:
    """A reading every morning."""
    return daily(first, last, f"error_s={{{rate}*d:.1f}} {more}")


WOUND = ["11-02 08:00 work=wound"]
TWELVE = [f"11-03 {8 + n // 4:02}:{10 + 5 * (n % 4)} hour={n + 1} blows={n + 1} staged=yes" for n in range(12)]
FOUR = [f"11-02 11:{15 * n:02} chime=in-step quarter={n + 1}" for n in range(4)]
FIVE = [*FOUR, *[f"11-{d:02} 11:00 chime=in-step" for d in (3, 4, 5, 6)]]
UNLOCK = {"unlock_deg": 2.0}
SWUNG = "amplitude_deg=2.7"
LATE = ["11-02 08:06 " + SWUNG, "11-03 08:06 " + SWUNG, "11-08 08:06 " + SWUNG]

GOING = [
    Case(f"{cells} shows it going", "floor-chiming", ["11-02 08:00 error_s=0", f"11-05 08:00 {cells}"], "11-05 09:00",
         {"continuous-running": (OPEN, pytest.approx(days, abs=1e-6))})
    for cells, days in (
        ("error_s=2", 3), ("dial=8:00", 3), ("hour=8 blows=8", 3), ("blows=1", 3), ("chime=in-step", 3),
        ("chime=out-of-step", 3), ("work=seen-going", 3), ("chime=silent", 0), ("chime=not-running", 0),
        ("going_mm=400", 0), ("amplitude_deg=3", 0), ("moon_age_d=3", 0), ("temperature_c=20", 0),
        ("work=wound", 0), ("work=stopped dial=8:00", 0),
    )
]  # fmt: skip

RUNNING = [
    Case("an hour short of the least days is enough", "cuckoo", read("11-02 08:59", "11-09 07:59"), "11-09 08:10",
         {"continuous-running": OPEN}),
    Case("just an hour short of the least days", "cuckoo", ["11-02 09:00 error_s=0", "11-09 08:00 error_s=1"],
         "11-09 08:10", {"continuous-running": MET}),
    Case("no reading for six days is no stop", "longcase", ["11-02 08:00 error_s=0", "11-20 08:00 error_s=9"],
         "11-20 08:10", {"continuous-running": (MET, pytest.approx(18))}),
    Case("moved, cased and held count together", "longcase",
         [*read("11-02 08:00", "11-20 08:00"), "11-05 09:00 work=moved", "11-07 09:00 work=cased",
         "11-09 09:00 work=held"],
         "11-20 08:10", {"continuous-running": (MET, pytest.approx(18))}),
    Case("a restart without a stop starts it anew", "longcase",
         [*read("11-02 08:00", "11-20 08:00"), "11-10 09:00 work=restarted"], "11-20 08:10",
         {"continuous-running": (OPEN, pytest.approx(10 - 1 / 24))}),
    Case("opened and restarted in one visit", "longcase",
         [*read("11-02 08:00", "11-20 08:00"), "11-10 09:00 work=opened", "11-10 09:00 work=restarted"], "11-20 08:10",
         {"continuous-running": (OPEN, pytest.approx(10 - 1 / 24))}),
    Case("a stop told twice is one, explained by either row", "longcase",
         [*read("11-02 08:00", "11-05 08:00"), "11-06 08:00 work=stopped", "11-06 10:00 work=stopped explained=yes",
          "11-06 10:01 work=restarted", "11-06 10:02 error_s=0"], "11-06 10:05", {"standing": "settling"}),
    Case("found going after a stop nobody restarted", "longcase",
         [*read("11-02 08:00", "11-05 08:00"), "11-06 08:00 work=stopped explained=yes", "11-09 08:00 work=seen-going"],
         "11-09 08:10", {"standing": "on-test", "continuous-running": (OPEN, pytest.approx(0))}),
    Case("and if the stop is unexplained it stays at attention", "longcase",
         [*read("11-02 08:00", "11-05 08:00"), "11-06 08:00 work=stopped", "11-09 08:00 work=seen-going"],
         "11-09 08:10", {"standing": "attention", "next": "explain"}),
    Case("two stops, the first explained", "longcase",
         [*read("11-02 08:00", "11-04 08:00"), "11-05 08:00 work=stopped explained=yes", "11-05 08:01 work=restarted",
          "11-06 08:00 work=stopped", "11-06 08:01 work=restarted", "11-09 08:00 error_s=0"], "11-09 08:10",
         {"standing": "attention", "continuous-running": (OPEN, pytest.approx(3, abs=0.01))}),
    Case("a ran-out before its rated time is a stop", "longcase",
         [*WOUND, *read("11-02 08:05", "11-09 08:05"), "11-10 06:59 work=ran-out", "11-10 08:01 work=wound",
          "11-10 08:02 work=restarted", "11-10 08:03 error_s=0"], "11-10 08:10",
         {"standing": "attention", "continuous-running": (OPEN, pytest.approx(0, abs=0.01))}),
    Case("and not an hour later", "longcase",
         [*WOUND, *read("11-02 08:05", "11-09 08:05"), "11-10 07:00 work=ran-out", "11-10 08:01 work=wound",
          "11-10 08:02 work=restarted", "11-10 08:03 error_s=0"], "11-10 08:10",
         {"standing": "on-test", "continuous-running": (OPEN, pytest.approx(7, abs=0.01))}),
    Case("run out and hanging is attention", "longcase",
         [*WOUND, *read("11-02 08:05", "11-10 08:05"), "11-11 08:00 work=ran-out"], "11-11 08:10",
         {"standing": "attention", "next": "wind"}),
    Case("its dial's candidates all lie before the rated time", "longcase",
         # found three days after it was last seen, due since Tuesday; 830 mm are five days, Saturday 8:10
         [*WOUND, *read("11-02 08:05", "11-06 08:05", "going_mm={165*d:.0f}"),
          "11-13 08:00 work=ran-out dial=8:10 going_mm=826"], "11-13 08:10",
         {"standing": "attention", "next": "explain"}),
    Case("a strike run out alone costs its own run and no continuity", "longcase",
         [*WOUND, *read("11-02 08:05", "11-11 08:05", "hour=8 blows=8"), "11-11 08:10 work=wound",
          "11-13 08:00 work=ran-out train=strike", "11-13 08:01 work=wound train=strike", "11-13 08:05 error_s=33"],
         "11-13 08:10",
         {"continuous-running": (OPEN, pytest.approx(11, abs=0.01)), "full-duration": OPEN, "weight-passage": (OPEN,
         1)}),
    Case("an overdue wind is named, and is no run to let go on", "regulator",
         [*WOUND, *daily("11-02 08:05", "11-04 08:05", "error_s=0 going_mm={150*d:.0f}")], "11-20 08:10",
         {"next": "wind", "standing": "on-test"}),
    Case("a run worth letting go on", "longcase",
         [*WOUND, *read("11-02 08:05", "11-10 08:05", "going_mm={165*d:.0f} strike_mm={165*d:.0f}")], "11-10 08:10",
         {"next": "let-run-out"}),
    Case("an early ran-out row of a clock never wound counts from its first fact", "longcase",
         ["11-02 08:00 error_s=0", "11-11 08:00 work=ran-out"], "11-11 08:10", {"next": "wind"}),
]  # fmt: skip

RUN_9 = [*WOUND, *read("11-02 08:05", "11-11 08:05")]
FULL = [
    Case("half a day past its rated time, to the hour", "longcase",
         [*WOUND, "11-02 08:05 error_s=0", "11-10 19:00 error_s=24 hour=7 blows=7"], "11-10 19:10",
         {"full-duration": MET}),
    Case("and a minute less", "longcase",
         [*WOUND, "11-02 08:05 error_s=0", "11-10 18:59 error_s=24 hour=7 blows=7"], "11-10 19:10",
         {"full-duration": OPEN}),
    Case("what is shown after the next wind is of another run", "longcase",
         [*WOUND, "11-02 08:05 error_s=0", "11-10 18:50 work=wound", "11-10 19:00 error_s=24 hour=7 blows=7"],
         "11-10 19:10", {"full-duration": OPEN}),
    Case("what is read in the row of the next wind is as found before it", "longcase",
         [*WOUND, "11-02 08:05 error_s=0", "11-10 19:00 error_s=24 hour=7 blows=7 work=wound"],
         "11-10 19:10", {"full-duration": MET}),
    Case("a wind of the strike alone ends the strike's run alone", "longcase",
         [*WOUND, "11-02 08:05 error_s=0", "11-08 08:00 work=wound train=strike",
         "11-11 08:00 error_s=24 hour=8 blows=8"],
         "11-11 08:10", {"full-duration": (OPEN, pytest.approx(72, abs=0.1))}),
    Case("heard staged, the strike ran", "longcase", [*RUN_9, "11-11 08:06 hour=3 blows=3 staged=yes"], "11-11 08:10",
         {"full-duration": MET}),
    Case("seen going proves no train's run", "longcase", [*WOUND, "11-11 08:05 work=seen-going"], "11-11 08:10",
         {"full-duration": (OPEN, 0)}),
    Case("a fall grown since the reading before proves the strike", "longcase",
         [*RUN_9, "11-10 08:06 strike_mm=1200", "11-11 08:06 strike_mm=1330"], "11-11 08:10", {"full-duration": MET}),
    Case("a lone fall grew since nothing", "longcase", [*RUN_9, "11-11 08:06 strike_mm=1330"], "11-11 08:10",
         {"full-duration": (OPEN, 0)}),
    Case("weights past the customer's case prove nothing", "longcase",
         [*WOUND, *read("11-02 08:05", "11-11 08:05", "going_mm={165*d:.0f} hour=8 blows=8")], "11-11 08:10",
         {"full-duration": OPEN}, {"case_fall_mm": 1200, "going_usable_mm": 1800}),
    Case("and within it they do", "longcase",
         [*WOUND, *read("11-02 08:05", "11-11 08:05", "going_mm={165*d:.0f} hour=8 blows=8")], "11-11 08:10",
         {"full-duration": MET}, {"case_fall_mm": 1500, "going_usable_mm": 1800, "strike_usable_mm": 1800}),
    Case("thirty hours want thirty, an hour short will do", "cuckoo",
         [*WOUND, "11-03 13:00 error_s=3 hour=1 blows=1"], "11-03 13:10", {"full-duration": (MET, pytest.approx(29))}),
    Case("a stop in the run ends it", "longcase",
         [*WOUND, *read("11-02 08:05", "11-06 08:05"), "11-06 09:00 work=stopped explained=yes",
          "11-06 09:01 work=restarted", *read("11-07 08:05", "11-11 08:05", "hour=8 blows=8")], "11-11 08:10",
         {"full-duration": (OPEN, 0)}),
    Case("shown past its rated time, then run out", "longcase",
         [*WOUND, *read("11-02 08:05", "11-10 08:05", "hour=8 blows=8"), "11-10 17:00 work=ran-out"], "11-10 17:10",
         {"full-duration": MET}),
    Case("shown past its rated time, and neither run out nor half a day past", "longcase",
         [*WOUND, *read("11-02 08:05", "11-10 08:05", "hour=8 blows=8")], "11-10 17:10", {"full-duration": OPEN}),
    Case("an unexplained stop after it takes the run away", "longcase",
         [*RUN_9, "11-11 08:05 hour=8 blows=8", "11-11 08:06 work=wound", "11-12 08:00 work=stopped",
          "11-12 08:01 work=restarted"], "11-12 08:10", {"full-duration": OPEN, "weight-passage": (OPEN, 0)}),
    Case("a chime at silent proves nothing by its tune", "floor-chiming",
         [*RUN_9, "11-02 09:00 work=tune amount=0", "11-11 08:05 hour=8 blows=8", "11-11 08:06 work=tune amount=1",
          "11-11 08:15 chime=in-step"], "11-11 08:20", {"full-duration": (OPEN, 0)}),
    Case("torsion: inferred from going and overswing", "torsion",
         [*daily("11-02 08:05", "11-30 08:05", "error_s=0"),
          *[f"11-{d} 09:00 overswing_left_deg=25 overswing_right_deg=28" for d in (10, 20, 29)]], "11-30 08:10",
         {"full-duration": MET, "amplitude": (MET, 25), "beat": (MET, 3), "weight-passage": NONE, "own-case": NONE}),
    Case("a month clock by its turns", "spring-wall-31d",
         [*WOUND, *read("11-02 08:05", "11-16 08:05"), "11-16 08:10 work=wound train=going amount=7",
          "11-16 08:10 work=wound train=strike amount=6.5"], "11-16 08:20", {"full-duration": MET},
         {"going_turns": 17, "strike_turns": 16}),
]  # fmt: skip

PASSAGE = [
    Case("seven days of a wind less an hour", "regulator", [*WOUND, "11-02 08:05 error_s=0", "11-09 07:00 error_s=0.1"],
         "11-09 08:00", {"weight-passage": (MET, 1)}),
    Case("and a minute less", "regulator", [*WOUND, "11-02 08:05 error_s=0", "11-09 06:59 error_s=0.1"], "11-09 08:00",
         {"weight-passage": (OPEN, 0)}),
    Case("a longcase twice", "longcase", [*WOUND, *read("11-02 08:05", "11-16 08:05"), "11-09 08:10 work=wound"],
         "11-16 08:10", {"weight-passage": (MET, 2)}),
    Case("a wind of the strike alone is none of the going train", "longcase",
         [*WOUND, *read("11-02 08:05", "11-16 08:05"), "11-09 08:10 work=wound train=strike"], "11-16 08:10",
         {"weight-passage": (OPEN, 1)}),
    Case("daily clocks want one day", "cuckoo", [*WOUND, "11-02 08:05 error_s=0", "11-03 08:00 error_s=1"],
         "11-03 08:05",
         {"weight-passage": (MET, 1)}),
    Case("springs have none", "mantel", WOUND, "11-03 08:00", {"weight-passage": NONE}),
]  # fmt: skip

RATE = [
    Case("four readings over six days are one too few", "longcase",
         [f"11-{d:02} 08:00 error_s={3 * d}" for d in (2, 4, 6, 8)], "11-08 08:10", {"mean-rate": OPEN,
         "day-range": OPEN}),
    Case("five over four days less an hour", "longcase",
         ["11-02 09:00 error_s=0", *[f"11-{d:02} 08:00 error_s={3 * (d - 2)}" for d in (3, 4, 5, 6)]], "11-06 08:10",
         {"mean-rate": MET}),
    Case("springs want a whole wind, a week", "mantel", [*WOUND, *read("11-02 08:05", "11-08 08:05")], "11-08 08:10",
         {"mean-rate": OPEN}),
    Case("and have it after seven days", "mantel", [*WOUND, *read("11-02 08:05", "11-09 08:05")], "11-09 08:10",
         {"mean-rate": MET}),
    Case("as it is kept: wound every fourth day", "mantel",
         [*[f"11-{d:02} 08:00 work=wound" for d in (2, 6)], *read("11-02 08:05", "11-07 08:05")], "11-07 08:10",
         {"mean-rate": MET}),
    Case("readings within the nut's settling count for nothing", "longcase",
         [*read("11-02 08:00", "11-06 08:00"), "11-06 09:00 work=nut", *[f"11-06 {h}:00 error_s=9" for h in range(10,
         20)]],
         "11-06 19:10", {"mean-rate": OPEN, "standing": "settling"}),
    Case("two works of a visit: hands and nut", "longcase",
         [*read("11-02 08:00", "11-06 08:00"), "11-06 08:00 work=hands-set amount=-12",
         "11-06 08:00 work=nut amount=-0.1",
          *read("11-07 08:00", "11-11 08:00", rate=-1)], "11-11 08:10", {"mean-rate": MET, "continuous-running": (OPEN,
          9)}),
    Case("a regulator read by the minute hand never shows its day range", "regulator",
         daily("11-02 08:00", "11-20 08:00", "error_s={0.2*d:.1f} read_by=minute-hand"), "11-20 08:10",
         {"day-range": OPEN}),
    Case("a longcase by the minute hand goes by steps of two days", "longcase",
         daily("11-02 08:00", "11-20 08:00", "error_s={3*d:.1f} read_by=minute-hand"), "11-20 08:10",
         {"mean-rate": MET}, {"seconds_hand": "no"}),
    Case("hours shifted by nobody knows how many: the next dial tells", "longcase",
         [*daily("11-02 08:05", "11-06 08:05", "dial=8:05:{3*d:02.0f}"), "11-06 08:10 work=hours-shifted",
          *daily("11-07 08:05", "11-10 08:05", "dial=1:05:{15+3*d:02.0f}")], "11-10 08:10",
         {"mean-rate": MET, "day-range": MET, "next": "listen"}),
    Case("a reference has no limit", "reference", read("11-02 08:00", "11-20 08:00", "error_u_s=0.01", rate=0.1),
         "11-20 08:10", {"mean-rate": OPEN, "day-range": NONE, "continuous-running": NONE, "safety": NONE,
         "oil": NONE}),
    Case("unless one is given", "reference", read("11-02 08:00", "11-20 08:00", "error_u_s=0.01", rate=0.1),
         "11-20 08:10", {"mean-rate": MET}, {"mean_rate_limit": 1}),
    Case("far outside the limit it is missed", "longcase", read("11-02 08:00", "11-09 08:00", rate=40), "11-09 08:10",
         {"mean-rate": MISSED, "standing": "attention"}),
    Case("facts before it came on the stand count too", "longcase", read("11-02 08:00", "11-20 08:00"), "11-20 08:10",
         {"mean-rate": MET, "continuous-running": (MET, pytest.approx(18))},
         {"on_stand_at": "2026-11-18T08:00:00+00:00"}),
    Case("a small hand that shows no seconds is read by the minute hand", "longcase", read("11-02 08:00",
         "11-09 08:00"),
         "11-09 08:10", {"mean-rate": MET}, {"seconds_turn_s": 54.5}),
]  # fmt: skip

SWING = [
    Case("three, one late, each a quarter over", "longcase", [*WOUND, *LATE], "11-08 08:10", {"amplitude": MET},
         UNLOCK),
    Case("none late", "longcase", [*WOUND, *LATE[:2], "11-07 08:06 " + SWUNG], "11-07 08:10", {"amplitude": OPEN},
         UNLOCK),
    Case("late by an hour less", "longcase", [*WOUND, *LATE[:2], "11-08 07:00 " + SWUNG], "11-08 08:10",
         {"amplitude": MET}, UNLOCK),
    Case("late only after the strike's wind is not late", "longcase",
         [*WOUND, "11-07 08:00 work=wound train=going", *LATE], "11-08 08:10", {"amplitude": OPEN}, UNLOCK),
    Case("no unlocking point", "longcase", [*WOUND, *LATE], "11-08 08:10", {"amplitude": OPEN}),
    Case("a swing read within a quarter of an hour of the restart is none", "longcase",
         [*WOUND, *LATE, "11-08 08:20 work=restarted", "11-08 08:35 amplitude_deg=2.0"], "11-08 08:40",
         {"amplitude": MET}, UNLOCK),
    Case("low once, late, and three good ones since", "longcase",
         [*WOUND, "11-08 08:06 amplitude_deg=2.2", "11-08 08:10 work=wound",
          *[f"11-{d:02} 08:06 {SWUNG}" for d in (9, 10, 11)]], "11-11 08:10", {"amplitude": MISSED}, UNLOCK),
    Case("low once, early, and three good ones since", "longcase",
         [*WOUND, "11-03 08:06 amplitude_deg=2.2", *[f"11-{d:02} 08:06 {SWUNG}" for d in (6, 7, 8)]], "11-08 08:10",
         {"amplitude": MET}, UNLOCK),
    Case("a lever in degrees", "carriage",
         [*WOUND, *[f"11-{d:02} 08:06 amplitude_deg={a}" for d, a in ((2, 250), (5, 240), (8, 180))]], "11-08 08:10",
         {"amplitude": (MET, 180)}),
    Case("a cylinder in degrees", "carriage",
         [*WOUND, *[f"11-{d:02} 08:06 amplitude_deg={a}" for d, a in ((2, 150), (5, 140), (8, 120))]], "11-08 08:10",
         {"amplitude": (MET, 120)}, {"escapement": "cylinder"}),
    Case("beat twice, a day apart", "longcase", ["11-02 08:00 beat_error_pct=4", "11-03 08:00 beat_error_pct=4"],
         "11-03 08:10", {"beat": (MET, 4)}),
    Case("over the limit at last", "longcase", ["11-02 08:00 beat_error_pct=1", "11-03 08:00 beat_error_pct=4.1"],
         "11-03 08:10", {"beat": (MISSED, 4.1)}),
    Case("over it at first and right since", "longcase",
         ["11-02 08:00 beat_error_pct=9", "11-03 08:00 beat_error_pct=1", "11-04 08:00 beat_error_pct=1"],
         "11-04 08:10",
         {"beat": MET}),
    Case("read in the row that set it, it was before", "longcase",
         ["11-02 08:00 beat_error_pct=9 work=beat-set", "11-03 08:00 beat_error_pct=1", "11-04 08:00 beat_error_pct=1"],
         "11-04 08:10", {"beat": MET}),
]  # fmt: skip

EARS = [
    Case("eleven hours", "longcase", TWELVE[:11], "11-03 12:00", {"twelve-counts": (OPEN, 11)}),
    Case("twelve", "longcase", TWELVE, "11-03 12:00", {"twelve-counts": (MET, 12)}),
    Case("none struck at seven", "longcase", ["11-03 07:00 hour=7 blows=0"], "11-03 08:00", {"twelve-counts": MISSED}),
    Case("a half-hour's blow has no hour", "longcase", ["11-03 07:30 blows=1", *TWELVE], "11-03 12:00",
         {"twelve-counts": MET}, {"half_hour": "yes"}),
    Case("a wrong count before it is put right, then once", "longcase",
         ["11-02 09:00 hour=9 blows=8", "11-02 09:10 work=strike-set", *TWELVE], "11-03 12:00",
         {"twelve-counts": (OPEN, 11)}),
    Case("and twice", "longcase",
         ["11-02 09:00 hour=9 blows=8", "11-02 09:10 work=strike-set", *TWELVE, "11-03 21:00 hour=9 blows=9"],
         "11-04 12:00", {"twelve-counts": MET}),
    Case("a wrong count in the row that puts it right", "longcase",
         ["11-02 09:00 hour=9 blows=8 work=strike-set", *TWELVE], "11-03 12:00", {"twelve-counts": (OPEN, 11)}),
    Case("five mornings are local dates: two of one night", "floor-chiming",
         [*FOUR, *[f"11-{d:02} 11:00 chime=in-step" for d in (3, 4)], "11-05 00:15 chime=in-step",
          "11-05 23:45 chime=in-step"], "11-06 08:00", {"chime-step": (OPEN, 4)}),
    Case("five", "floor-chiming", FIVE, "11-06 12:00", {"chime-step": (MET, 5)}),
    Case("the night of the clocks' change is one date", "floor-chiming",
         # 23:30 GMT on 24 October is half past midnight of the 25th by summer time
         ["10-22 11:00 chime=in-step quarter=1", "10-23 11:00 chime=in-step quarter=2",
         "10-24 11:00 chime=in-step quarter=3",
          "10-25 00:30 chime=in-step quarter=4", "10-25 23:30 chime=in-step"], "10-26 08:00", {"chime-step": (OPEN,
          4)}),
    Case("a quarter nobody named is none", "floor-chiming",
         [f"11-{d:02} 11:00 chime=in-step" for d in range(2, 9)], "11-09 08:00", {"chime-step": (OPEN, 5)}),
    Case("not running and unexplained", "floor-chiming", [*FIVE, "11-06 12:00 chime=not-running"], "11-06 12:10",
         {"chime-step": OPEN}),
    Case("not running and explained", "floor-chiming", [*FIVE, "11-06 12:00 chime=not-running explained=yes"],
         "11-06 12:10", {"chime-step": MET}),
    Case("a slip before five mornings are there", "floor-chiming", [*FOUR, "11-03 11:00 chime=out-of-step"],
         "11-03 12:00", {"chime-step": MISSED, "standing": "attention", "next": "listen"}),
    Case("hands set just two hours before", "floor-chiming",
         [*FIVE, "11-06 12:00 work=hands-set", "11-06 14:00 chime=out-of-step"], "11-06 14:10", {"chime-step": MET}),
    Case("hands set in the same row are after what was heard", "floor-chiming",
         [*FIVE, "11-06 12:00 chime=out-of-step work=hands-set"], "11-06 12:10", {"chime-step": MISSED}),
    Case("hands set in the row before, at the same time", "floor-chiming",
         [*FIVE, "11-06 12:00 work=hands-set", "11-06 12:00 chime=out-of-step"], "11-06 12:10", {"chime-step": MET}),
    Case("out of step after the night's silence", "floor-chiming", [*FIVE, "11-07 08:50 chime=out-of-step"],
         "11-07 09:00", {"chime-step": MET}, {"night_silence": "22:00-07:00"}),
    Case("the silence ends by civil time after the change", "floor-chiming",
         ["10-25 08:50 chime=out-of-step"], "10-25 09:00", {"chime-step": OPEN}, {"night_silence": "22:00-07:00"}),
    Case("a mis-set heard right at its second hour", "floor-chiming",
         ["11-03 08:00 work=mis-set amount=1", "11-03 10:00 chime=in-step"], "11-03 10:10", {"mis-set": (OPEN, 1)}),
    Case("heard right too late is nothing heard", "floor-chiming",
         ["11-03 08:00 work=mis-set amount=1", "11-03 10:01 chime=in-step"], "11-03 10:10", {"mis-set": (OPEN, 0)}),
    Case("wrong after its second hour", "floor-chiming",
         ["11-03 08:00 work=mis-set amount=1", "11-03 10:01 chime=out-of-step"], "11-03 10:10",
         {"mis-set": (MISSED, 0), "chime-step": OPEN}),
    Case("failed, and tried again", "floor-chiming",
         ["11-03 08:00 work=mis-set amount=1", "11-03 10:01 chime=out-of-step", "11-03 11:00 work=mis-set amount=1"],
         "11-03 11:10", {"mis-set": (OPEN, 0)}),
    Case("three right", "floor-chiming",
         [line for n in (1, 2, 3)
          for line in (f"11-03 {8 + 2 * n:02}:00 work=mis-set amount={n}", f"11-03 {9 + 2 * n:02}:00 chime=in-step")],
         "11-03 16:00", {"mis-set": (MET, 3)}),
    Case("not where it does not correct itself", "floor-chiming", [], "11-03 16:00", {"mis-set": NONE, "tunes": NONE},
         {"self_correcting": "no"}),
    Case("each tune, and silent with the return", "floor-chiming",
         ["11-03 08:00 work=tune amount=1", *[f"11-03 08:{15 * n:02} chime=in-step quarter={n + 1}" for n in range(4)],
          "11-03 09:00 work=tune amount=0", "11-03 09:15 chime=silent", "11-03 09:20 work=tune amount=1",
          "11-03 09:30 chime=in-step"], "11-03 10:00", {"tunes": (MET, 2)}, {"tunes": "Larkspur"}),
    Case("silent that nobody heard", "floor-chiming",
         ["11-03 08:00 work=tune amount=1", *[f"11-03 08:{15 * n:02} chime=in-step quarter={n + 1}" for n in range(4)],
          "11-03 09:00 work=tune amount=0", "11-03 09:20 work=tune amount=1", "11-03 09:30 chime=in-step"],
         "11-03 10:00", {"tunes": (OPEN, 1)}, {"tunes": "Larkspur"}),
]  # fmt: skip

LOOKED = [
    Case("oil clear after a week's going less an hour", "longcase",
         ["11-02 08:00 error_s=0", "11-09 07:00 error_s=9", "11-09 07:00 work=oil-checked amount=0 note=KM"],
         "11-09 08:00",
         {"oil": MET}),
    Case("oil clear on the sixth day", "longcase",
         ["11-02 08:00 error_s=0", "11-08 08:00 error_s=9", "11-08 08:00 work=oil-checked amount=0 note=KM"],
         "11-20 08:00",
         {"oil": OPEN}),
    Case("oil dark at last", "longcase",
         ["11-02 08:00 error_s=0", "11-09 08:00 error_s=9", "11-09 08:00 work=oil-checked amount=0 note=KM",
          "11-10 08:00 work=oil-checked amount=1 note=KM"], "11-10 08:10", {"oil": MISSED}),
    Case("safety signed in the visit that cased it, before", "longcase",
         ["11-05 08:00 work=safety-checked note=KM", "11-05 08:00 work=cased"], "11-05 08:10", {"safety": OPEN}),
    Case("and after", "longcase",
         ["11-05 08:00 work=cased", "11-05 08:00 work=safety-checked note=KM"], "11-05 08:10", {"safety": MET}),
    Case("the moon, a week apart", "longcase", ["11-02 08:00 moon_age_d=22", "11-09 08:00 moon_age_d=29"],
         "11-09 08:10", {"moon": MET}, {"moon": "yes"}),
    Case("the moon through new moon", "longcase", ["11-08 08:00 moon_age_d=28", "11-15 08:00 moon_age_d=5.5"],
         "11-15 08:10", {"moon": MET}, {"moon": "yes"}),
    Case("a moon that stood still", "longcase", ["11-02 08:00 moon_age_d=22", "11-09 08:00 moon_age_d=22"],
         "11-09 08:10", {"moon": (MISSED, pytest.approx(7, abs=0.1))}, {"moon": "yes"}),
    Case("moon set between", "longcase",
         ["11-02 08:00 moon_age_d=22", "11-05 08:00 moon_age_d=25 work=moon-set", "11-09 08:00 moon_age_d=29"],
         "11-09 08:10", {"moon": OPEN}, {"moon": "yes"}),
    Case("not in its case", "longcase", RUN_9, "11-11 08:10", {"own-case": (OPEN, None)}),
    Case("a movement alone", "longcase", RUN_9, "11-11 08:10", {"own-case": NONE}, {"movement_only": "yes"}),
    Case("proved in its case", "longcase",
         ["11-02 08:00 work=cased", "11-02 08:01 work=wound", *read("11-02 08:05", "11-08 08:05"),
          "11-05 12:00 hour=12 blows=12"], "11-08 08:10", {"own-case": (MET, pytest.approx(6, abs=0.01))}),
    Case("twelve heard before it was cased", "longcase",
         ["11-01 12:00 hour=12 blows=12", "11-02 08:00 work=cased", "11-02 08:01 work=wound",
          *read("11-02 08:05", "11-08 08:05")], "11-08 08:10", {"own-case": OPEN}),
    Case("twelve wrong there", "longcase",
         ["11-02 08:00 work=cased", "11-02 08:01 work=wound", *read("11-02 08:05", "11-08 08:05"),
          "11-05 12:00 hour=12 blows=11"], "11-08 08:10", {"own-case": MISSED, "twelve-counts": MISSED}),
    Case("twelve wrong there, and put right", "longcase",
         ["11-02 08:00 work=cased", "11-02 08:01 work=wound", *read("11-02 08:05", "11-08 08:05"),
          "11-05 12:00 hour=12 blows=11", "11-05 12:10 work=strike-set"], "11-08 08:10",
         {"own-case": OPEN, "twelve-counts": OPEN}),
    Case("wound in between, six days are not of one wind", "longcase",
         ["11-02 08:00 work=cased", "11-02 08:01 work=wound", *read("11-02 08:05", "11-08 08:05"),
          "11-05 12:00 hour=12 blows=12", "11-05 13:00 work=wound"], "11-08 08:10", {"own-case": OPEN}),
    Case("a cuckoo's two days go over its winds", "cuckoo",
         ["11-02 08:00 work=cased", "11-02 08:01 work=wound", *read("11-02 08:05", "11-07 08:05"),
          "11-03 08:10 work=wound", "11-04 08:10 work=wound", "11-05 12:00 hour=12 blows=12"], "11-07 08:10",
         {"own-case": MET}),
]  # fmt: skip

CASES = [*GOING, *RUNNING, *FULL, *PASSAGE, *RATE, *SWING, *EARS, *LOOKED]


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.kind}: {case.name}")
def test_what_comes_of_it(program: Program, case: Case) -> None:
    clock = story(program, case.kind, case.lines, now=case.now, **case.columns)
    for name, wanted in case.wants.items():
        if name in {"standing", "next"}:
            assert getattr(clock, name) == wanted
            continue
        outcome, *observed = wanted if isinstance(wanted, tuple) else (wanted,)
        told = clock.requirement(name)
        assert told["outcome"] == outcome, told
        if observed:
            assert told["observed"] == observed[0], told
