"""What each column of a clock means, for the help of `clock add`."""

from __future__ import annotations

from standwatch.model.facts import Clock
from standwatch.model.words import Train

_BY_TRAIN = {
    "usable_mm": "usable fall of the {} weight on the stand",
    "kg": "the {} weight",
    "turns": "of the {} spring",
    "scale_mm": "the slot's paper scale at the {} weight",
}

_MEANING = {
    "description": "what it is",
    "kind": "its kind",
    "position": "where it stands",
    "beats_per_hour": "from the train, not from what is stamped on the pendulum",
    "seconds_hand": "whether it has one",
    "drive": "what drives it",
    "trains": "its trains",
    "duration_h": "from one wind to the next, as rated",
    "case_fall_mm": "room to fall in the customer's case",
    "scale": "the paper scales",
    "bob_below_top_mm": "the bob's centre",
    "unlock_deg": "where the escapement just fails to unlock, the worse side",
    "swing_scale_mm": "the swing scale, for --swing-mm",
    "seconds_turn_s": "the small hand; not 60: it is read by the minute hand",
    "escapement": "verge and cylinder have limits of their own",
    "balance": "its compensation",
    "rod": "of the pendulum",
    "maintaining": "goes on while it is wound",
    "self_correcting": "the chime puts itself right",
    "night_silence": "when the strike or chime is off",
    "tunes": "of the chime",
    "moon": "whether it has a moon dial",
    "movement_only": "goes home without its case",
    "nut_pitch_mm": "thread of the rating nut",
    "weight_order": "facing the clock",
    "half_hour": "strikes once at the half hour",
    "mean_rate_limit": "instead of the kind's",
    "day_range_limit": "instead of the kind's",
    "least_days": "instead of the kind's",
    "swing_limit": "the least swing over its unlocking point, instead of the kind's",
    "beat_limit": "the most its beat may be out, instead of the kind's",
    "repaired": "what was done to it, counted by the list of `standwatch clock repairs`",
    "hazards": "what to beware of",
    "owner": "whose it is",
    "home_site": "where its owner lives",
    "home_temperature_c": "the room it goes home to",
    "promised_on": "when the owner was told to expect it",
    "earlier_tag": "the tag of an earlier job on the same clock",
    "on_stand_at": "when it came; facts before it count too",
}


def column_help(name: str) -> str:
    """One line: what the column is, and how to give it."""
    mend = Clock.model_fields[name].description or ""
    train, _, rest = name.partition("_")
    meaning = _BY_TRAIN[rest].format(train) if train in set(Train) and rest in _BY_TRAIN else _MEANING[name]
    text = f"{meaning}: {mend.removeprefix('give ')}."
    return text[:1].upper() + text[1:]
