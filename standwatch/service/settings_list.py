"""The book's settings as both faces list them."""

from __future__ import annotations

from collections.abc import Mapping

from standwatch.model.words import KindName
from standwatch.service.shop import DEFAULTS, WORDS
from standwatch.service.shop_limits import LIMIT_COLUMNS, limit_words, limits_of
from standwatch.service.views import Setting


def settings_listed(given: Mapping[str, str], begun: Mapping[str, str], computer_zone: str) -> tuple[Setting, ...]:
    """Each setting with its default, then the shop's own limits, in the order of the kinds.

    `given` is what the book has, `begun` that and what a new book begins with.
    """
    plain = [
        Setting(name, begun.get(name) or default or computer_zone, name in given, WORDS[name])
        for name, default in DEFAULTS.items()
    ]
    limits = limits_of(given)
    names = [f"{kind}.{column}" for kind in KindName for column in LIMIT_COLUMNS if column in limits.get(kind, {})]
    return (*plain, *(Setting(name, given[name], given=True, words=limit_words(name)) for name in names))
