"""A weight read far from where it should be: said at once, while a second look still tells."""

from __future__ import annotations

from tests.cli.conftest import Program


def test_a_check_in_says_which_weight_to_look_at_again(program: Program) -> None:
    program("set", "zone=Europe/London")
    program("clock", "add", "77", "--kind", "floor-chiming")
    program("work", "77", "wound", "--at", "2026-11-02T08:20")
    for day, going, strike, chime in ((3, 143, 143, 143), (4, 278, 278, 278), (5, 413, 278, 413), (6, 548, 278, 548)):
        said = program(
            *("checkin", "77", "--error", 1, "--at", f"2026-11-{day:02d}T08:15"),
            *("--going-fall", going, "--strike-fall", strike, "--chime-fall", chime),
            now=f"2026-11-{day:02d}T08:16:00+00:00",
        ).out
        assert ("look again at once" in said) is (day >= 5)
        assert ("the strike weight at 278 mm" in said) is (day >= 5)
    told = program("status", "77", "--json", now="2026-11-06T09:00:00+00:00").json
    [lead] = [lead for lead in told["clocks"][0]["leads"] if lead["code"] == "strike-stuck"]
    assert lead["odds"] >= 0.9
    assert "the strike weight has hardly fallen since Wed 4 Nov" in lead["text"]
    lines = program("status", "77", now="2026-11-06T09:00:00+00:00").out.splitlines()
    [ends] = [line for line in lines if line.startswith("  strike ends ")]
    assert ends.endswith(", if it went on from now: it seems stuck")
    assert not [line for line in lines if line.startswith(("  going  ends", "  chime  ends")) and "stuck" in line]


def test_a_reading_under_a_fifth_of_what_is_expected_may_be_in_cm(program: Program) -> None:
    """Common practice: mm everywhere; who reads a rule types 17 for 170."""
    told = {}
    for fall in (52, 1000):  # some 490 mm after three days
        tag = f"of-{fall}"
        program("clock", "add", tag, "--kind", "longcase")
        program("work", tag, "wound", "--at", "2026-11-02T08:20+00:00")
        now = "2026-11-05T08:20:00+00:00"
        told[fall] = program("checkin", tag, "--going-fall", fall, "--at", now, now=now).out
    assert "expected: typed in cm? look again at once" in told[52]
    assert "expected: look again at once" in told[1000]
