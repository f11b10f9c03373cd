"""What was learned is kept from one start to the next, and is worked out again where anything is amiss."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from standwatch.estimate.history import History
from standwatch.estimate.learned import Learned, NoiseShift, SpringRuns, WindingStep
from standwatch.model.words import KindName
from standwatch.service.office.learning import Learning
from standwatch.service.office.lessons import Lessons, key_of
from standwatch.service.stand import Stand
from standwatch.store import open_book
from tests.service.test_stand import add, read
from tests.shop import NOW, morning

TAUGHT = Learned(
    {KindName.LONGCASE: NoiseShift(1.5, 0.8, 1.0, 9)},
    WindingStep(-7.5, 2.0, 8),
    {KindName.MANTEL: SpringRuns(0.1, 0.2, 9)},
)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Where lessons are kept, in a folder that isn't there yet."""
    return tmp_path / "cache" / "learned.json"


def test_all_that_was_learned_comes_back(file: Path) -> None:
    Lessons(lambda: file).keep("a", TAUGHT)
    assert Lessons(lambda: file).recall("a") == TAUGHT
    assert Lessons(lambda: file).recall("b") is None
    assert [each.name for each in file.parent.iterdir()] == [file.name]


def test_the_latest_lessons_are_kept(file: Path) -> None:
    lessons = Lessons(lambda: file)
    for n in range(12):
        lessons.keep(str(n), Learned())
    assert [n for n in range(12) if lessons.recall(str(n)) is not None] == list(range(4, 12))


@pytest.mark.parametrize("text", ["", "[]", "{", '{"a": 3}', '{"a": {"noise": {"sundial": [1, 1, 1, 9]}}}', "\udcff"])
def test_what_can_t_be_read_is_learned_anew(file: Path, text: str) -> None:
    file.parent.mkdir()
    file.write_bytes(text.encode("utf-8", "surrogateescape"))
    lessons = Lessons(lambda: file)
    assert lessons.recall("a") is None
    lessons.keep("a", TAUGHT)
    assert lessons.recall("a") == TAUGHT


def test_a_folder_that_can_t_be_made_keeps_nothing_and_stops_nobody(tmp_path: Path) -> None:
    (tmp_path / "cache").write_text("a file")
    lessons = Lessons(lambda: tmp_path / "cache" / "learned.json")
    lessons.keep("a", TAUGHT)
    assert lessons.recall("a") is None


def test_a_key_tells_all_that_it_rests_on_apart() -> None:
    assert key_of(NOW, {"T1": ("a", "b")}) == key_of(NOW, {"T1": ("a", "b")})
    assert len({key_of(NOW, {}), key_of(NOW + timedelta(days=7), {}), key_of(NOW, {"T1": ("a",)})}) == 3


def test_another_start_learns_only_what_is_new(tmp_path: Path, file: Path) -> None:
    given: list[Sequence[History]] = []

    def learn(histories: Sequence[History]) -> Learned:
        given.append(histories)
        return TAUGHT

    def start() -> Stand:
        stand = Stand(open_book(tmp_path / "book.sqlite"), computer_zone=lambda: "Europe/London")
        stand._assessor._learning = Learning(learn, Lessons(lambda: file))
        return stand

    with closing(start()) as stand:
        add(stand, "T1")
        read(stand, "T1", days=8)
        given.clear()
    for at, lessons in ((NOW, 0), (NOW, 0), (morning(20), 0), (NOW, 1), (NOW, 1)):
        with closing(start()) as stand:
            assert stand.learned(NOW) == TAUGHT
            assert len(given) == lessons
        with closing(Stand(open_book(tmp_path / "book.sqlite"))) as other:
            other.check_in({"tag": "T1", "at": at, "error_s": 16}, NOW)  # of this week, or of long before


def test_the_room_of_that_time_counts_too(tmp_path: Path, file: Path) -> None:
    keys = set()
    for warmth in (None, 15.0, 21.0):
        with closing(Stand(open_book(tmp_path / f"{warmth}.sqlite"), lessons=Lessons(lambda: file))) as stand:
            add(stand, "T1")
            stand.check_in({"tag": "T1", "at": morning(9), "temperature_c": warmth, "work": "seen-going"}, NOW)
            alone = stand._assessor._alone(NOW)
            keys.add(key_of(alone.bumps, alone.temperatures))
    assert len(keys) == 3
