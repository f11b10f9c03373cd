"""Sixteen colours and none, in a real terminal of its own; and no state is told by colour alone."""

import fcntl
import os
import pty
import re
import select
import signal
import struct
import sys
import termios
from collections.abc import Callable
from pathlib import Path
from time import monotonic

import pytest
from textual.theme import Theme

from standwatch.service.reference import reference_time
from standwatch.tui.themes import DARK, LIGHT, SIXTEEN_DARK, SIXTEEN_LIGHT
from tests.tui.screens import WIDE, press, running, text_of

Books = Callable[[str], Path]
TRUE = re.compile(rb"[34]8;2;(\d+);(\d+);(\d+)")
OF_256 = re.compile(rb"[34]8;5;\d+")
COLOURS = ("text-error", "text-warning", "text-success", "text-primary")


AS_OF = ("--now", "2026-11-20T08:20:14+00:00")
WORKED_OUT = (b"next round", b"2417", b"lower bob")


def shown_by(
    book: Path, *options: str, until: tuple[bytes, ...] = WORKED_OUT, most: float = 30.0, **environment: str
) -> bytes:
    """What the program sends to a terminal of 120x36 until all of `until` was shown."""
    child, terminal = pty.fork()
    if child == 0:
        os.environ.update({"TERM": "xterm-256color", "COLORTERM": "truecolor", "LANG": "C.UTF-8", **environment})
        command = [sys.executable, "-m", "standwatch", "--book", str(book), *(options or AS_OF)]
        os.execv(command[0], command)  # noqa: S606  # its own program in its own terminal
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 36, 120, 0, 0))
    told, begun = b"", monotonic()
    try:
        while not all(wanted in told for wanted in until):
            assert monotonic() - begun < most, told[-2000:]
            if select.select([terminal], [], [], 0.2)[0]:
                told += os.read(terminal, 65536)
        return told
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(terminal)


def test_a_terminal_of_many_colours_gets_the_house_s(shop_book: Path) -> None:
    assert TRUE.search(shown_by(shop_book))


def test_the_person_s_file_is_read_and_what_is_wrong_in_it_is_said(shop_book: Path, tmp_path: Path) -> None:
    file = tmp_path / "settings.toml"
    file.write_text('theme = "standwatch-light"\nbell = maybe\n', "utf-8")
    told = shown_by(shop_book, until=(*WORKED_OUT, b"settings.toml:2:"), STANDWATCH_SETTINGS=str(file))
    red, green, blue = (int(str(LIGHT.background)[n : n + 2], 16) for n in (1, 3, 5))
    assert b"48;2;%d;%d;%d" % (red, green, blue) in told


def test_at_the_computer_s_time_the_head_says_how_well_it_is_kept(shop_book: Path) -> None:
    shown_by(shop_book, "--book", str(shop_book), until=(b"next round", reference_time().short.encode()))


def test_a_terminal_of_sixteen_colours_gets_no_others(shop_book: Path) -> None:
    told = shown_by(shop_book, TEXTUAL_COLOR_SYSTEM="standard")
    assert not TRUE.search(told)
    assert not OF_256.search(told)
    # ECMA-48 SGR 30-37 and, as terminals have them, 90-97: red, yellow and cyan are each used
    for code in (91, 93, 96):
        assert re.search(rb"[\[;]%d[;m]" % code, told), code


def test_without_colour_there_are_greys_alone(shop_book: Path) -> None:
    """https://no-color.org: no colour where NO_COLOR is set; shades of grey keep what is muted muted."""
    told = shown_by(shop_book, NO_COLOR="1")
    assert {(red, green, blue) for red, green, blue in TRUE.findall(told) if not red == green == blue} == set()
    assert not re.search(rb"\x1b\[[0-9;]*\b(3[1-6]|4[1-6]|9[1-6])m", told)


async def test_without_colour_the_same_words_and_marks_stand_there(
    books: Books, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = []
    book = books("shop")
    for colour in (True, False):
        if not colour:
            monkeypatch.setenv("NO_COLOR", "1")
        async with running(book, WIDE) as (app, pilot):
            assert app.no_color is not colour
            app.follow("2417")
            await press(pilot)
            shown.append(text_of(app))
            if not colour:
                assert {app.theme_variables[name] for name in COLOURS} == {app.theme_variables["foreground"]}
    assert shown[0] == shown[1]
    for row, word in (("2411", "attention"), ("2409", "ran out"), ("2422", "off"), ("2417", "on test")):
        assert any(row in line and word in line for line in shown[1].splitlines()), row
    assert re.search(r"^ *■ A4 2411 ", shown[1], re.MULTILINE)
    assert re.search(r"^ +›A3 2417 ", shown[1], re.MULTILINE)


def luminance(colour: str) -> float:
    """WCAG 2.2's relative luminance of #RRGGBB."""
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """WCAG 2.2's contrast ratio."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_yardstick_is_right() -> None:
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)
    assert contrast("#777777", "#FFFFFF") == pytest.approx(4.48, abs=0.005)  # WCAG's own well-known border case


@pytest.mark.parametrize("theme", [DARK, LIGHT], ids=["dark", "light"])
def test_the_house_s_states_stand_out(theme: Theme) -> None:
    for name in COLOURS:
        assert contrast(theme.variables[name], str(theme.background)) > 6, name
    assert contrast(theme.variables["foreground-muted"], str(theme.background)) > 4.5


@pytest.mark.parametrize("colours", [SIXTEEN_DARK, SIXTEEN_LIGHT], ids=["dark", "light"])
def test_the_sixteen_s_states_can_be_read(colours: dict[str, str]) -> None:
    for name in (*COLOURS, "foreground", "foreground-muted"):
        assert contrast(colours[name], colours["background"]) > 3, name
