"""What the ear decided, as the columns that keep it: one fact for one key."""

from __future__ import annotations

from standwatch.judge.sounding import HOURS
from standwatch.model.units import clock_words
from standwatch.model.words import Chime, Work
from standwatch.service.hearing.picking import Stagger
from standwatch.service.hearing.voices import Voice

Cells = dict[str, object]
SHUT_OFF = "strike shut off"
"""How the note of a strike that is silent on purpose begins."""


def heard_right(voice: Voice) -> Cells:
    """All of it right: the chime in step at its quarter, the hour's blows; of one on silent, that it said nothing."""
    if voice.silent:
        return selector(voice)
    cells: Cells = {"tag": voice.tag}
    if voice.chimes:
        cells |= {"chime": Chime.IN_STEP, "quarter": voice.quarter}
    if voice.strikes_hour:
        cells |= {"hour": voice.hour, "blows": voice.blows}
    elif voice.blows:
        cells["blows"] = voice.blows
    return cells


def counted(voice: Voice, blows: int) -> Cells:
    """So many blows at the hour the dial showed; nothing of the chime, which was not told."""
    return {"tag": voice.tag, "hour": voice.hour, "blows": blows}


def quarter_off(voice: Voice) -> Cells:
    """It played another quarter; nothing of the count."""
    return {"tag": voice.tag, "chime": Chime.OUT_OF_STEP, "quarter": voice.quarter}


def selector(voice: Voice) -> Cells:
    """The selector stands on silent."""
    return {"tag": voice.tag, "chime": Chime.SILENT, "quarter": voice.quarter}


def shut_off(voice: Voice) -> Cells:
    """Its strike is shut off by hand: no count, and no fault."""
    return {"tag": voice.tag, "note": f"{SHUT_OFF} at {HOURS[voice.hour - 1]}"}


def fault(voice: Voice) -> Cells:
    """It should have sounded and did not."""
    if voice.chimes or voice.silent:
        return {"tag": voice.tag, "chime": Chime.NOT_RUNNING, "quarter": voice.quarter}
    return counted(voice, 0)


def staggered(stagger: Stagger) -> Cells:
    """Its hands were set, so that it sounds alone."""
    return {
        "tag": stagger.voice.tag,
        "work": Work.HANDS_SET,
        "amount": stagger.seconds,
        "note": f"staggered {clock_words(stagger.seconds)}, to be heard alone",
    }
