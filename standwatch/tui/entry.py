"""The one-line entry: what a person types beside a clock, read into the ledger's cells. Pure.

A line is a few short words in any order: the dial's time or an error first, then values that begin with their letter.

    8:05:30              the dial showed
    +14  -1:02  14 fast  the error
    a2.6                 swing, degrees       l826 c943 r985   weights left, centre, right: mm fallen, or as the
                                              slot's paper scale reads where the clock has one
    i  o  s  x           chime in step, out of step, selector on silent, should have sounded; i3 at the third quarter
    h7  h7=6             seven heard right; six blows counted at seven
    n anything           the rest of the line is a note
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from standwatch.horology.hanging import weight_sides
from standwatch.horology.kinds import traits_of
from standwatch.horology.repairs import REPAIRS, repairs_in
from standwatch.model.facts import Clock
from standwatch.model.units import dial_seconds, error_words
from standwatch.model.words import Chime, Drive, KindName, ReadBy, Train, Work
from standwatch.service.readings import fallen_mm, scale_zero

_DIAL = re.compile(r"\d{1,2}:[0-5]\d(:[0-5]\d)?")
_SPAN = re.compile(r"(?:(?:(\d+):)?(\d+):)?(\d+(?:\.\d+)?)")
_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?")
_CHIME = {"i": Chime.IN_STEP, "o": Chime.OUT_OF_STEP, "s": Chime.SILENT, "x": Chime.NOT_RUNNING}
_CHIME_WORDS = {"i": "in step", "o": "out of step", "s": "selector on silent", "x": "should have sounded"}


@dataclass
class Entry:
    """What a line says so far: cells for the ledger, the same in words, and what is wrong, if anything."""

    cells: dict[str, object] = field(default_factory=dict)
    said: list[str] = field(default_factory=list)
    problem: str | None = None

    def put(self, column: str, value: object, words: str) -> None:
        """One cell more; a column given twice is a slip of the fingers."""
        if column in self.cells and self.cells[column] != value:
            self.problem = self.problem or f"{words}: given twice"
        self.cells[column] = value
        self.said.append(words)


def span_seconds(text: str) -> float | None:
    """ "14", "1:02", "1:02:30", "2.1" as seconds; None where it is no span.

    Two figures after a point are refused: 3.20 may be meant as 3:20.
    """
    found = _SPAN.fullmatch(text)
    if not found or re.search(r"\.\d\d", text):
        return None
    hours, minutes, seconds = (float(part or 0) for part in found.groups())
    if found[2] is not None and (seconds >= 60 or (found[1] is not None and minutes >= 60)):
        return None
    return hours * 3600 + minutes * 60 + seconds


def read_error(text: str) -> float | None:
    """A signed error in seconds from "+14", "−1:02", "14 fast", "1:02 slow", "right"; None where it is none."""
    plain = text.strip().lower().replace("−", "-")
    if plain in {"right", "+0", "-0"}:
        return 0.0
    side = 0
    for name, sign in (("fast", 1), ("slow", -1)):
        if plain.endswith(name):
            plain, side = plain[: -len(name)].strip().removesuffix(" s").strip(), sign
    if plain[:1] in {"+", "-"}:
        sign = 1 if plain[0] == "+" else -1
        if side and sign != side:
            return None
        plain, side = plain[1:].strip(), sign
    if not side:
        return None
    seconds = span_seconds(plain)
    return None if seconds is None else side * seconds


def parse(text: str, clock: Clock, *, work: Work | None = None) -> Entry:
    """What `text` says about `clock`; with `work`, a bare number is its amount and a train may be named."""
    entry = Entry()
    words, note = _split(text)
    if note:
        entry.put("note", note, f"note “{note}”")
    if work is not None:
        entry.cells["work"] = work.value
    while words and entry.problem is None:
        word = words.pop(0)
        if words and words[0].lower() in {"fast", "slow"}:
            word = f"{word} {words.pop(0)}"
        _read_word(word, entry, clock, work)
    return entry


def _split(text: str) -> tuple[list[str], str]:
    """The words of a line and its note: all that follows a lone n."""
    found = re.search(r"(?:^|\s)[nN](?:\s+(.*))?$|(?:^|\s)[nN]\s+(.*)", text)
    if not found:
        return text.split(), ""
    note = found[1] or found[2] or ""
    return text[: found.start()].split(), note.strip()


def _read_word(word: str, entry: Entry, clock: Clock, work: Work | None) -> None:
    low = word.lower()
    error = read_error(low)
    if error is not None and work is None:
        entry.put("error_s", error, error_words(error, tenths=error != round(error)))
        _one_time(entry)
    elif _DIAL.fullmatch(low):
        _read_dial(low, entry)
    elif work is not None and _work_word(low, entry, clock, work):
        return
    elif not (_letter_value(low, entry, clock) or _heard(low, entry, clock) or _manner(low, entry)):
        entry.problem = _mend(word, work)


def _mend(word: str, work: Work | None) -> str:
    if re.fullmatch(r"[+−-]?\d+\.\d\d+", word):
        return f"{word}: write 3:20 for minutes and seconds, 3.2 for seconds"
    if _SPAN.fullmatch(word) and work is None:
        return f"{word}: fast or slow? write +{word} or −{word}, or the dial's time with its hour"
    return f"{word}: not understood; ? shows what can be typed"


def _read_dial(text: str, entry: Entry) -> None:
    hours = int(text.split(":", maxsplit=1)[0])
    if hours > 23:
        entry.problem = f"{text}: no dial shows that"
        return
    dial_seconds(text)
    entry.put("dial", text, f"dial {text}")
    _one_time(entry)


def _one_time(entry: Entry) -> None:
    if "dial" in entry.cells and "error_s" in entry.cells:
        entry.problem = "the dial's time or the error, not both"


def _letter_value(low: str, entry: Entry, clock: Clock) -> bool:
    """A letter and its number: swing, falls, beat, temperature, moon, overswing."""
    found = re.fullmatch(r"([alcrbtmv])(-?\d+(?:\.\d+)?)(?:,(\d+(?:\.\d+)?))?", low)
    if not found:
        return False
    letter, number, second = found[1], float(found[2]), found[3]
    traits = traits_of(clock)
    if second is not None and letter != "v":
        return False
    if letter in "lcr":
        return _fall(letter, number, entry, clock)
    if letter == "v":
        if second is None:
            return False
        entry.put("overswing_left_deg", number, f"overswing left {number:g}°")
        entry.put("overswing_right_deg", float(second), f"right {float(second):g}°")
        return True
    unit = "ms" if traits.oscillator == "balance" else "%"
    column, words = {
        "a": ("amplitude_deg", f"swing {number:g}°"),
        "b": ("beat_error_ms" if unit == "ms" else "beat_error_pct", f"beat {number:g} {unit}"),
        "t": ("temperature_c", f"{number:g} °C"),
        "m": ("moon_age_d", f"moon {number:g} d"),
    }[letter]
    entry.put(column, number, words)
    return True


def sides_of(clock: Clock) -> dict[str, tuple[str, Train]]:
    """By its letter (l, c, r) each weight's side and train; empty without weights."""
    traits = traits_of(clock)
    if not traits.weights:
        return {}
    return {side[0]: (side, train) for side, train in weight_sides(traits.trains, clock.weight_order).items()}


def _fall(letter: str, number: float, entry: Entry, clock: Clock) -> bool:
    sides = sides_of(clock)
    if letter not in sides:
        hung = ", ".join(f"{key} {train}" for key, (_, train) in sides.items())
        entry.problem = f"{letter}: no weight hangs there; {hung}" if sides else "this clock has no weights"
        return True
    side, train = sides[letter]
    fallen = fallen_mm(clock, train, number)
    read = "" if scale_zero(clock, train) is None else f"{number:g} on the scale, "
    entry.put(f"{train}_mm", fallen, f"{side}, {train} {read}{fallen:g} mm" + (" fallen" if read else ""))
    return True


def _heard(low: str, entry: Entry, clock: Clock) -> bool:
    """A chime heard, or an hour counted."""
    chime = re.fullmatch(r"([iosx])([1-4])?", low)
    if chime:
        if Train.CHIME not in traits_of(clock).trains:
            entry.problem = "this clock has no chime"
            return True
        at = f" at quarter {chime[2]}" if chime[2] else ""
        entry.put("chime", _CHIME[chime[1]].value, f"chime {_CHIME_WORDS[chime[1]]}{at}")
        if chime[2]:
            entry.cells["quarter"] = int(chime[2])
        return True
    hour = re.fullmatch(r"h(\d{1,2})(?:=(\d{1,2}))?", low)
    if not hour:
        return False
    if not 1 <= int(hour[1]) <= 12:
        entry.problem = f"h{hour[1]}: a dial has hours 1 to 12"
        return True
    blows = int(hour[2] or hour[1])
    entry.put("hour", int(hour[1]), f"{blows} blows at {int(hour[1])}")
    entry.cells["blows"] = blows
    return True


def _manner(low: str, entry: Entry) -> bool:
    """How it was read, by the beginning of its word; staged."""
    if len(low) >= 3 and "staged".startswith(low):
        entry.put("staged", "yes", "staged")
        return True
    ways = [way for way in ReadBy if len(low) >= 3 and way.value.startswith(low)]
    if len(ways) != 1:
        return False
    entry.put("read_by", ways[0].value, f"by {ways[0].value.replace('-', ' ')}")
    return True


def _work_word(low: str, entry: Entry, clock: Clock, work: Work) -> bool:
    """A word that only belongs to a work: its amount, its train, explained."""
    plain = low.replace("−", "-")
    if _NUMBER.fullmatch(plain):
        number = float(plain)
        entry.put("amount", number, amount_words(work, number, clock))
        return True
    if work in {Work.HANDS_SET, Work.HELD, Work.SUMMER_TIME}:
        seconds = read_error(f"+{plain}" if plain[:1].isdigit() else plain)
        if seconds is not None:
            entry.put("amount", seconds, amount_words(work, seconds, clock))
            return True
    trains = [train for train in traits_of(clock).trains if len(plain) >= 2 and train.value.startswith(plain)]
    if len(trains) == 1:
        entry.put("train", trains[0].value, f"{trains[0]} train")
        return True
    if work in {Work.STOPPED, Work.RAN_OUT} and len(plain) >= 3 and "explained".startswith(plain):
        entry.put("explained", "yes", "explained")
        return True
    return False


def amount_words(work: Work, number: float, clock: Clock) -> str:
    """An amount with its unit and sign in words."""
    traits = traits_of(clock)
    size = f"{abs(number):g}"
    match work:
        case Work.WOUND:
            return f"{size} mm" if traits.drive is Drive.WEIGHT else f"{size} turns of the key"
        case Work.NUT if traits.oscillator == "pendulum":
            return f"{'raises' if number >= 0 else 'lowers'} the bob {size} turn{'' if size == '1' else 's'}"
        case Work.NUT:
            return f"{size} towards {'faster' if number >= 0 else 'slower'}"
        case Work.HANDS_SET | Work.SUMMER_TIME:
            return f"{size} s {'forward' if number >= 0 else 'back'}"
        case Work.HELD:
            return f"{size} s"
        case Work.HOURS_SHIFTED:
            return f"{size} h {'forward' if number >= 0 else 'back'}"
        case Work.OIL_CHECKED:
            return "clear" if number == 0 else "dark or dry at a pivot"
        case Work.MIS_SET:
            return "1 quarter" if size == "1" else f"{size} quarters"
        case Work.TUNE:
            return "silent" if number == 0 else f"position {size}"
        case _:
            return size


def parse_new_clock(text: str) -> Entry:
    """ "2426 longcase A4 r bushes": a tag (it may have spaces), a kind by its beginning, a slot, what was repaired."""
    entry = Entry()
    words = text.split()
    at = next((n for n in range(len(words) - 1, 0, -1) if kinds_like(words[n])), None)
    if at is None:
        entry.problem = "give its tag, then its kind, such as longcase" if words else "give its tag and its kind"
        if len(words) > 1:
            entry.problem = f"{words[-1]}: no kind is called so; there are {', '.join(KindName)}"
        return entry
    kinds = kinds_like(words[at])
    if len(kinds) > 1:
        entry.problem = f"{words[at]}: which? {', '.join(kinds)}"
        return entry
    entry.put("tag", " ".join(words[:at]), f"tag {' '.join(words[:at])}")
    entry.put("kind", kinds[0].value, kinds[0].value)
    slot, repaired = _after_kind(words[at + 1 :])
    if slot:
        entry.put("position", slot, f"slot {slot}")
    if repaired is not None:
        counts = repairs_in(repaired) or ("other work",)
        names = ", ".join(repair.name for repair in REPAIRS)
        entry.said.append(f"repaired “{repaired}” ({', '.join(counts)})" if repaired else f"repaired: {names}")
        entry.cells |= {"repaired": repaired} if repaired else {}
    return entry


def _after_kind(words: list[str]) -> tuple[str, str | None]:
    """The slot, and what was repaired: the rest after a lone r; None without one."""
    at = next((n for n, word in enumerate(words) if word.lower() == "r"), None)
    return (" ".join(words), None) if at is None else (" ".join(words[:at]), " ".join(words[at + 1 :]))


def kinds_like(word: str) -> list[KindName]:
    """The kinds whose names begin with `word`; the one that is it, if there is."""
    low = word.lower()
    if low in set(KindName):
        return [KindName(low)]
    return [kind for kind in KindName if len(low) >= 3 and kind.value.startswith(low)]
