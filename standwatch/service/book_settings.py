"""A book's settings: its own, what the person gives a new one, and the defaults."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import TYPE_CHECKING

from standwatch.model.words import KindName
from standwatch.service.ports import Book
from standwatch.service.shop import DEFAULTS, WORDS, Shop, shop_of
from standwatch.service.shop_limits import LIMIT_COLUMNS, limit_words, limits_of
from standwatch.service.views import Setting

if TYPE_CHECKING:
    from standwatch.service.personal.settings import OwnSettings


class BookSettings:
    """The settings of one book. Until its first fact it has, besides its own, what the person gives a new book."""

    def __init__(self, book: Book, computer_zone: Callable[[], str], own: OwnSettings | None = None) -> None:
        self._book = book
        self._computer_zone = computer_zone
        self._own = own
        self._shop: tuple[Mapping[str, str], Shop] | None = None

    def shop(self) -> Shop:
        """The shop as they tell it."""
        given = self._book.settings()
        if self._shop is None or self._shop[0] != given:
            begun = self._begun(given)
            self._shop = (given, shop_of(begun, "" if begun.get("zone") else self._computer_zone()))
        return self._shop[1]

    def listed(self) -> tuple[Setting, ...]:
        """Each with its default, as both faces list them; then the shop's own limits, in the order of the kinds."""
        given = self._book.settings()
        begun = self._begun(given)
        plain = [
            Setting(name, begun.get(name) or default or self._computer_zone(), name in given, WORDS[name])
            for name, default in DEFAULTS.items()
        ]
        limits = limits_of(given)
        names = [f"{kind}.{column}" for kind in KindName for column in LIMIT_COLUMNS if column in limits.get(kind, {})]
        return (*plain, *(Setting(name, given[name], given=True, words=limit_words(name)) for name in names))

    @property
    def unbegun(self) -> bool:
        """Whether the book has no fact."""
        return self._book.last() is None

    def begin(self, now: datetime, *, own: bool) -> None:
        """Keep in the book what it has no setting for: the zone and, with `own`, what the person gives a new book."""
        kept = self._book.settings()
        begun = {**self._own("new_book").new_book, **kept} if own and self._own is not None else kept
        values = {**begun, "zone": begun.get("zone") or self.shop().zone.key}
        if values != kept:
            self._book.set({name: value for name, value in values.items() if kept.get(name) != value}, at=now)

    def _begun(self, given: Mapping[str, str]) -> Mapping[str, str]:
        if self._own is None or not self.unbegun:
            return given
        return {**self._own("new_book").new_book, **given}

    def kind_columns(self, kind: object) -> Mapping[str, object]:
        """The columns that the person gives a new clock of `kind`."""
        if self._own is None:
            return {}
        return next((columns for name, columns in self._own("kinds").kinds.items() if name == kind), {})
