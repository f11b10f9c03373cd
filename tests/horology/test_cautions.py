from __future__ import annotations

import pytest

from standwatch.horology.cautions import caution, fitters_cautions, owners_cautions
from standwatch.model.facts import Clock
from standwatch.model.records import build
from standwatch.model.words import Work


def a(kind: str, **columns: object) -> Clock:
    return build(Clock, {"tag": "1", "kind": kind, **columns})


def test_weights_and_springs_hurt_differently() -> None:
    assert "feet clear" in (caution(a("longcase"), Work.WOUND) or "")
    assert "key" in (caution(a("mantel"), Work.WOUND) or "")


@pytest.mark.parametrize(
    ("work", "said"),
    [
        (Work.OPENED, "let down"),
        (Work.CASED, "local code"),
        (Work.HANDS_SET, "while it strikes"),
        (Work.TUNE, "selector"),
    ],
)
def test_each_danger_has_its_caution(work: Work, said: str) -> None:
    assert said in (caution(a("floor-chiming"), work) or "")


def test_looking_and_noting_need_none() -> None:
    assert caution(a("longcase"), Work.SEEN_GOING) is None


def test_its_own_hazards_come_first() -> None:
    told = caution(a("longcase", hazards="mercury pendulum"), Work.MOVED)
    assert told is not None
    assert told.startswith("This clock: mercury pendulum.")


def test_what_its_own_text_names_comes_before_its_kind_and_the_local_code_last() -> None:
    told = fitters_cautions(a("longcase", hazards="mercury pendulum; radium on the hands", rod="steel"))
    assert told[0] == "This clock: mercury pendulum; radium on the hands."
    assert [line.split(":")[0] for line in told[1:3]] == ["Mercury", "Radium paint"]
    assert "Weights fall" in told[3]
    assert "tips" in told[4]
    assert told[-1] == "Local codes and licensed practice come first."
    assert "never scraped" in told[2]
    assert "upright, apart" in told[1]


@pytest.mark.parametrize(
    ("kind", "said", "unsaid"),
    [
        ("longcase", "tips", "mainspring"),
        ("floor-chiming", "never slacken", "mainspring"),
        ("cuckoo", "off its wheel", "tips"),
        ("mantel", "mainspring", "eights"),
        ("carriage", "mainspring", "wall"),
        ("torsion", "mainspring", "eights"),
        ("spring-wall", "fixing", "tips"),
        ("regulator", "fixing", "mainspring"),
    ],
)
def test_only_what_such_a_clock_can_do_is_cautioned_of(kind: str, said: str, unsaid: str) -> None:
    told = " ".join(fitters_cautions(a(kind)))
    assert said in told
    assert unsaid not in told


@pytest.mark.parametrize("text", ["silk line", "drummer", "no hazards", "numbered 1230 v"])
def test_no_danger_is_read_out_of_other_words(text: str) -> None:
    assert len(fitters_cautions(a("mantel", description=text))) == len(fitters_cautions(a("mantel")))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Mercury jar", "mercury"),
        ("radium dial", "never touch, scrape"),
        ("luminous hands", "radium"),
        ("lamp at 230 V", "mains"),
        ("electric rewind", "mains"),
        ("asbestos pad under the lamp", "asbestos"),
    ],
)
def test_an_owner_is_told_what_not_to_touch(text: str, said: str) -> None:
    assert said in " ".join(owners_cautions(a("mantel", hazards=text)))
    assert "Local codes" not in " ".join(owners_cautions(a("mantel", hazards=text)))
