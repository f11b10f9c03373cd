"""The person's settings: every bad line by its number and with its mend, the rest in force; TOML 1.0 is the rule."""

from __future__ import annotations

import random
import stat
import sys
import tomllib
from pathlib import Path
from time import perf_counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standwatch.model.errors import BadValue
from standwatch.model.words import KindName
from standwatch.service.personal.file import keep_theme, read_settings
from standwatch.service.personal.settings import WORDS_OF, Settings, settings_of
from standwatch.service.personal.toml_lines import read_lines

FULL = """\
# what I like
theme = "standwatch-light"   # the shop is bright
bell = true

[keys]
stand.read = ["r", "kp_enter"]  # one hand
"stand.move(-1)" = [
    "up",   # as always
    "k",
]

[new_book]
zone = "Europe/London"
open_days = ["Tue", "Wed", "Sat"]
next_round = 07:45:00
holidays = "GB-SCT"
site = "51.5,20"
calls = [2, 14]
learning = false
shop = "The Old Mill"
paper = "letter"
warranty_months = 6
house_call_h = 3.5
held_week_h = 0.25

[kinds.longcase]
mean_rate_limit = 7
least_days = 21

[kinds]
bracket = { day_range_limit = 10.5 }
carriage = { swing_limit = 200, beat_limit = 2 }

[themes.workshop]
dark = true
background = "#101010"
foreground = "#eeeeee"
primary = "#88bbff"
error = "#ff8888"
warning = "#ffcc66"
success = "#99dd99"
"""


def test_everything_that_can_be_set() -> None:
    told = settings_of(FULL)
    assert told.wrong == ()
    assert (told.theme, told.bell) == ("standwatch-light", True)
    assert told.keys == {"stand.read": ("r", "kp_enter"), "stand.move(-1)": ("up", "k")}
    assert told.new_book == {
        "zone": "Europe/London", "open_days": "Tue,Wed,Sat", "next_round": "07:45", "holidays": "GB-SCT",
        "site": "51.5,20", "calls": "2;14", "learning": "no", "shop": "The Old Mill", "paper": "Letter",
        "warranty_months": "6", "house_call_h": "3.5", "held_week_h": "0.25",
    }  # fmt: skip
    assert told.kinds[KindName.LONGCASE] == {"mean_rate_limit": 7, "least_days": 21}
    assert told.kinds[KindName.BRACKET] == {"day_range_limit": 10.5}
    assert told.kinds[KindName.CARRIAGE] == {"swing_limit": 200, "beat_limit": 2}
    assert told.themes["workshop"].warning == "#ffcc66"
    assert told.lines["keys.stand.move(-1)"] == 7
    assert told.lines["themes.workshop.success"] == 41


def test_it_reads_what_the_standard_library_reads() -> None:
    """Python's own reader of TOML is the yardstick for a file without mistakes."""

    def leaves(found: object, path: tuple[str, ...] = ()) -> dict[tuple[str, ...], object]:
        if not isinstance(found, dict):
            return {path: found}
        return {key: value for name, each in found.items() for key, value in leaves(each, (*path, name)).items()}

    read, wrong = read_lines(FULL)
    assert not wrong
    assert {leaf.path: leaf.value for leaf in read} == leaves(tomllib.loads(FULL))


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("bell = 1", 1, "bell 1 is neither true nor false; give true or false"),
        ("\n\nbel = true", 3, "no setting is called 'bel'; did you mean bell?"),
        ("theme = 3", 1, "give one such as"),
        ("theme =", 1, "can't be read; write name = value"),
        ("theme = standwatch-light", 1, 'texts in "quotes"'),
        ("[keys", 1, "is no heading such as [keys]; what is under it is not read"),
        ("[[keys]]\nstand.read = 'r'", 1, "is no heading"),
        ("[keys]\nstand.read = []", 2, "is no key; give one such as"),
        ("[keys]\nstand.read = [\n'r'\n\n[new_book]", 2, "can't be read"),
        ("[new_book]\nnext_round = '24:00'", 2, "give HH:MM"),
        ("[new_book]\nzone = 'Mars/Base'", 2, "is no IANA time zone"),
        ("[new_book]\nopen_days = ['Noday']", 2, "open_days"),
        ("[new_book]\nrounds = 2", 2, "no setting of a book is called 'rounds'"),
        ("[kinds.longcase]\nleast_days = 0", 2, "give days, 1 to 400"),
        ("[kinds.longcase]\nleast_days = '9'", 2, "is not a number; give days"),
        ("[kinds.longcase]\nleast_days = nan", 2, "is not a finite number"),
        ("[kinds.carriage]\nswing_limit = 25", 2, "a balance needs 50 degrees to unlock at all"),
        ("[kinds.torsion]\nbeat_limit = 0", 2, "is out of range; give per cent (balance: ms; torsion: degrees"),
        ("[new_book]\nlongcase.least_days = 9", 2, "is no setting of a new book; write it under [kinds.longcase]"),
        ("[new_book]\npaper = 'A5'", 2, "give A4 or Letter"),
        ("[new_book]\nwarranty_months = true", 2, "are no months; give a whole number, 0 to 120"),
        ("[kinds.longcase]\nowner = 'Orrin'", 2, "no default of a kind is called 'owner'"),
        ("[kinds.longcse]\nleast_days = 9", 2, "no kind is called 'longcse'; did you mean longcase?"),
        ("[themes.a]\ndark = true\nbackground = 'blue'", 3, "background 'blue' is no colour"),
        ("[themes.a]\ndark = true", 2, "the theme 'a' lacks background, foreground, primary"),
        ("bell = true\nbell = false", 2, "bell stands on line 1 already; keep one"),
        ("[keys]\nstand.read='r'\n[keys]\nstand.undo='z'", 3, "mend that line"),
    ],
)
def test_a_bad_line_is_named_with_its_place_and_the_mend(text: str, line: int, said: str) -> None:
    told = settings_of(text)
    assert any(wrong.line == line and said in told.told(wrong) for wrong in told.wrong), told.wrong
    assert told.told(told.wrong[0]).startswith(f"settings.toml:{told.wrong[0].line}: ")


def test_the_rest_counts() -> None:
    told = settings_of("bell = true\nthis is no line\n[kinds.mantel]\nleast_days = -3\nday_range_limit = 20\n")
    assert told.bell
    assert told.kinds == {KindName.MANTEL: {"day_range_limit": 20}}
    assert [wrong.line for wrong in told.wrong] == [2, 4]


def bad_line(chance: random.Random) -> str:
    """A line that can't be, under [kinds.longcase], [new_book] or [keys]: broken, unknown or out of range."""
    word = "".join(chance.choices("abcdefgh", k=8))
    return chance.choice(
        [
            f"{word} = ", f"{word}", f"= {word}", f"{word} = {word}", f'{word} = "never closed', f"{word} = [1, 2",
            f"{word} = 3", f"{word}.{word} = true", f"{word} = {{a = 1}}", f'"{word}" = 2026-11-20', f"{word} == 1",
            f"{word} = 1 2", f"{word} = '''", f'{word} = """{word}', f"{word} = {{", f"] {word}",
        ]
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(3))
def test_of_a_thousand_wrong_lines_each_is_named_and_fast(seed: int) -> None:
    chance = random.Random(seed)  # noqa: S311  # the same lines every time
    lines, bad = ["bell = true", "[kinds.longcase]"], []
    for n in range(1000):
        bad.append(len(lines) + 1)
        lines.append(bad_line(chance))
        if n % 97 == 0:
            lines.append(f"# a remark between {n}")
        if n == 500:
            lines += ["[new_book]", 'next_round = "07:30"', "[keys]", 'stand.read = "r"']
            bad += []
    begun = perf_counter()
    told = settings_of("\n".join(lines))
    took = perf_counter() - begun
    named = {wrong.line for wrong in told.wrong}
    # under [keys] a name of no action is the screens' to refuse: the line reads as TOML
    left = [line for line in bad if line not in named]
    assert all(told_as_key(lines[line - 1], told) for line in left)
    assert len(named) + len(left) == 1000
    assert all(wrong.sentence.count(";") >= 1 for wrong in told.wrong), "each has its mend"
    assert told.bell
    assert told.new_book == {"next_round": "07:30"}
    assert took < 2


def told_as_key(line: str, told: Settings) -> bool:
    return any(name in line for name in told.keys)


@given(st.text(alphabet=st.characters(codec="utf-8", exclude_characters="\r"), max_size=300))
def test_no_text_whatever_breaks_it(text: str) -> None:
    told = settings_of(text)
    assert all(0 <= wrong.line <= text.count("\n") + 1 for wrong in told.wrong)


def test_a_mark_of_order_and_windows_line_ends_are_fine(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_bytes(b'\xef\xbb\xbfbell = true\r\n[keys]\r\nstand.read = "r"\r\n')
    told = read_settings(path)
    assert (told.wrong, told.bell, told.keys) == ((), True, {"stand.read": ("r",)})


def test_no_file_is_no_mistake_and_an_unreadable_one_is_named(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    assert read_settings(path) == Settings()
    path.write_bytes(b"\xff\xfe\x00")
    told = read_settings(path)
    assert "can't be read: it is not UTF-8" in told.told(told.wrong[0])
    path.unlink()
    path.mkdir()
    assert "can't be read" in read_settings(path).wrong[0].sentence


# writing: comments survive, whole or not at all


def test_the_theme_is_kept_and_every_other_byte_stays(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(FULL, "utf-8")
    keep_theme(path, "workshop")
    assert path.read_text("utf-8") == FULL.replace('"standwatch-light"', '"workshop"')


def test_a_theme_is_put_before_the_first_heading(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text("# mine\nbell = true\n\n[keys]\nstand.read = 'r' # so\n", "utf-8")
    keep_theme(path, "standwatch-light")
    told = read_settings(path)
    assert (told.wrong, told.theme, told.bell, told.keys) == ((), "standwatch-light", True, {"stand.read": ("r",)})
    assert "# mine\n" in path.read_text("utf-8")
    assert "stand.read = 'r' # so\n" in path.read_text("utf-8")


def test_a_missing_file_and_its_folder_are_made(tmp_path: Path) -> None:
    path = tmp_path / "far" / "away" / "settings.toml"
    keep_theme(path, "standwatch-light")
    assert read_settings(path) == Settings(theme="standwatch-light", lines={"theme": 2})
    assert [each.name for each in path.parent.iterdir()] == ["settings.toml"], "no half-written file is left"


def test_a_broken_file_is_left_as_it_is_and_the_line_named(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text("bell = true\n[keys\n", "utf-8")
    with pytest.raises(BadValue, match=r"the theme is not kept: settings\.toml:2: "):
        keep_theme(path, "standwatch-light")
    assert path.read_text("utf-8") == "bell = true\n[keys\n"


@pytest.mark.skipif(sys.platform == "win32", reason="links and modes are Unix'")
def test_a_link_stays_a_link_and_the_mode_stays(tmp_path: Path) -> None:
    real, link = tmp_path / "dotfiles.toml", tmp_path / "settings.toml"
    real.write_text("bell = true\n", "utf-8")
    real.chmod(0o600)
    link.symlink_to(real)
    keep_theme(link, "standwatch-light")
    assert link.is_symlink()
    assert read_settings(real).theme == "standwatch-light"
    assert stat.S_IMODE(real.stat().st_mode) == 0o600


@pytest.mark.skipif(sys.platform == "win32", reason="a file is no folder there either, but says it otherwise")
def test_where_it_can_t_be_written_it_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", "utf-8")
    with pytest.raises(BadValue, match=r"the theme is not kept: .* can't be written: "):
        keep_theme(tmp_path / "file" / "settings.toml", "standwatch-light")


# the page that tells of it

PAGE = Path(__file__).parents[2] / "docs" / "settings.md"


def test_the_page_has_every_key_with_its_words() -> None:
    page = PAGE.read_text("utf-8")
    for name, words in WORDS_OF.items():
        assert f"| `{name}` | {words} |" in page
    rows = [line for line in page.split("## Every key")[1].splitlines() if line.startswith("| `")]
    assert len(rows) == len(WORDS_OF), "and none that is not"


def test_the_page_s_example_is_without_mistakes() -> None:
    page = PAGE.read_text("utf-8")
    example = page.split("```toml\n")[1].split("```")[0]
    told = settings_of(example)
    assert told.wrong == ()
    assert told.keys
    assert told.kinds
    assert told.themes
