"""From the book to assessments, worked out again only where something changed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from contextlib import AbstractContextManager
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial
from typing import TYPE_CHECKING

from standwatch.estimate.answers import Estimates, Timekeeping
from standwatch.estimate.history import History, history_of
from standwatch.estimate.learned import DEFAULTS as USUAL
from standwatch.estimate.learned import Learned
from standwatch.estimate.owners_place import owner_site
from standwatch.estimate.together import NOTHING_SHARED, Common
from standwatch.horology.moving import manner_of, moving_alike
from standwatch.judge.assessment import Assessment
from standwatch.model.facts import Clock
from standwatch.model.records import Draft, Record
from standwatch.service.book_settings import BookSettings
from standwatch.service.homes import MOST_GONE, Homes
from standwatch.service.office import late
from standwatch.service.office.around import Around, time_of
from standwatch.service.office.kept import Kept
from standwatch.service.office.learning import MOST_TEACHERS, Basis, Learning, last_monday
from standwatch.service.office.lessons import Lessons
from standwatch.service.office.rails import Mates, Rails
from standwatch.service.office.sharing import Alone, Sharing
from standwatch.service.office.shelf import ClockFacts, Shelf
from standwatch.service.ports import Book
from standwatch.service.shop import Shop
from standwatch.service.views import StandView

if TYPE_CHECKING:  # numpy, which tags are shown without
    from standwatch.estimate.at_home import AtHome, FollowUp
    from standwatch.estimate.engine import Memory
    from standwatch.service.personal.settings import OwnSettings


class Assessor:
    """One book's facts and assessments. Everything it keeps can be thrown away and worked out again."""

    def __init__(
        self,
        book: Book,
        computer_zone: Callable[[], str],
        own: OwnSettings | None = None,
        lessons: Lessons | None = None,
    ) -> None:
        self.book = book
        self.settings = BookSettings(book, computer_zone, own)
        self._shelf = Shelf(book)
        self._kept: dict[str, Kept] = {}
        self._learning = Learning(late.learn, lessons)
        self._sharing = Sharing(late.voice_of, late.listening)
        self._homes = Homes()
        self._rails = Rails()
        self._memories: dict[bool, Memory] = {}

    # facts

    def clocks(self) -> dict[str, Record[Clock]]:
        """Every current clock by tag."""
        self._shelf.refresh()
        return self._shelf.clocks()

    def clock(self, tag: str) -> Record[Clock]:
        """The clock called `tag`; BadValue if there is none."""
        self._shelf.refresh()
        return self._shelf.clock(tag)

    def exact(self, tag: str) -> str:
        """`tag` as the book writes it; BadValue if it has no such clock."""
        return self.clock(tag).body.tag

    def facts(self, tag: str) -> ClockFacts:
        """The current facts of the clock with exactly this tag."""
        self._shelf.refresh()
        return self._shelf.of(tag)

    def facts_of(self, tags: Iterable[str]) -> dict[str, ClockFacts]:
        """The current facts of the clocks with exactly these tags, read in one go."""
        self._shelf.refresh()
        return self._shelf.all_of(tags)

    def present(self, now: datetime) -> dict[str, tuple[Clock, str]]:
        """The clocks of `on_stand` and the slot of each, without reading all that was read of them."""
        self._shelf.refresh()
        here = self._shelf.register.here(now, self.shop().calls)
        found = {}
        for tag, (record, slot) in self._shelf.slots(here, now).items():
            came = record.body.on_stand_at
            if came is None or came <= now or self._shelf.of(tag).begun(now):
                found[tag] = (record.body, slot)
        return found

    def on_stand(self, now: datetime) -> dict[str, ClockFacts]:
        """The clocks that `view` shows: on the stand, and those away whose calls are not all done.

        Nothing is read of the others.
        """
        self._shelf.refresh()
        here = self._shelf.register.here(now, self.shop().calls)
        return {tag: facts for tag, facts in self._shelf.all_of(here).items() if facts.begun(now)}

    # the shop, and writing

    def shop(self) -> Shop:
        """The shop as the book's settings tell it."""
        return self.settings.shop()

    def writing(self) -> AbstractContextManager[None]:
        """The book's write lock, held while reading and then appending."""
        return self.book.writing()

    def append(self, drafts: Iterable[Draft], now: datetime) -> list[str]:
        """Write facts, all or none; the first ones fix the book's settings. Call it while `writing`."""
        self.settings.begin(now, own=self.settings.unbegun)
        return self.book.append(drafts, at=now)

    # assessments

    def history(self, tag: str, now: datetime, *, without: str | None = None) -> History:
        """The History of one clock as of `now`, as if the check-in `without` had not been recorded."""
        self._shelf.refresh()
        facts = self._shelf.of(tag)
        if without is not None:
            facts = replace(facts, check_ins=tuple(r for r in facts.check_ins if r.id != without))
        return self._history(facts, now, self._around(now, [facts], without=without))

    def history_before(self, tag: str, work: str) -> History:
        """The History of one clock just before the work of the check-in `work` was done: as found, nothing later."""
        self._shelf.refresh()
        facts = self._shelf.of(tag)
        done = next(r for r in facts.check_ins if r.id == work)
        nothing = dict.fromkeys(("work", "amount", "train", "explained"))
        found = replace(done, body=done.body.model_copy(update=nothing))
        rows = [r for r in facts.check_ins if (r.body.at, r.place) < (done.body.at, done.place)]
        return self._history(replace(facts, check_ins=(*rows, found)), done.body.at, self._alone(done.body.at))

    def estimates(self, history: History, now: datetime) -> Estimates:
        """The estimates of one clock, by what the shop's clocks had taught by `now`."""
        return self._estimates_with(history, self.time(history, now), now, self.learned(now))

    def time(self, history: History, now: datetime) -> Timekeeping:
        """Error and rate of one clock, by what the shop's clocks had taught by `now`."""
        return self._times_of([history], learned=self.learned(now))[0]

    def learned(self, now: datetime) -> Learned:
        """What the clocks of the book had taught by the last Monday; the kinds' defaults where learning is off."""
        shop = self.shop()
        if not shop.learning:
            return USUAL
        self._shelf.refresh()
        until = last_monday(now, shop.zone)
        teachers = self._shelf.register.latest(until, MOST_TEACHERS)
        basis = Basis(until, shop.zone, self._shelf.register.ids_until(until, teachers))
        alone = partial(self._alone, until)
        return self._learning.learned(
            basis, lambda: (alone().bumps, alone().temperatures), lambda: self._lesson(teachers, until)
        )

    def _lesson(self, teachers: Sequence[str], until: datetime) -> list[History]:
        alone = self._alone(until)
        return [self._history(facts, until, alone) for facts in self._shelf.all_of(teachers).values()]

    def common(self, now: datetime) -> Common:
        """What the clocks of the stand share by `now`."""
        self._shelf.refresh()
        return self._around(now, []).common

    def _around(
        self, now: datetime, wanted: Sequence[ClockFacts], *, without: str | None = None, mates: bool = False
    ) -> Around:
        """What is around the clocks of the stand, and `wanted`, who count in the place of what is kept of them.

        Who hangs beside whom is looked for with `mates` only.
        """
        alone = self._alone(now, without)
        learned = self.learned(now)
        here = self.on_stand(now)
        asked = {facts.clock.body.tag: facts for facts in wanted}
        begun, ended = time_of(here, asked, now)
        # whoever was read since the oldest of them came has a voice in what happened then, gone or not
        read = self._shelf.all_of(sorted(self._shelf.register.read_since(begun, ended)))
        voices = [
            Alone(facts, (alone, learned), partial(self._history, facts, now, alone))
            for facts in (read | here | asked).values()
            if any(first <= (ended or now) and last >= begun for first, last in facts.span)
        ]
        common = self._sharing.common(voices, now, partial(self._times_of, learned=learned))
        if not mates:
            return replace(alone, common=common)
        return replace(alone, common=common, mates=self._rails.mates(here | asked, now))

    def _alone(self, now: datetime, without: str | None = None) -> Around:
        """What is around each clock by itself."""
        return Around(self.shop(), self._shelf.bumps(now), self._shelf.temperatures(now, without=without))

    def assess(self, tag: str, now: datetime) -> Assessment:
        """The assessment of the clock with exactly this tag."""
        self._shelf.refresh()
        return self._assess([self._shelf.of(tag)], now)[0]

    def view(self, now: datetime, *, keep: timedelta = timedelta()) -> StandView:
        """The stand at `now`. Assessments of unchanged clocks that are up to `keep` old are taken as they are."""
        from standwatch.judge.assess import who_first  # noqa: PLC0415  # tags are shown before the estimators are loaded

        shop = self.shop()
        found = self._assess(list(self.on_stand(now).values()), now, keep)
        next_round, learned = shop.rounds.next_after(now), self.learned(now)
        return StandView(now, next_round, shop, who_first(found), learned, self.common(now))

    def _history(self, facts: ClockFacts, now: datetime, around: Around) -> History:
        return history_of(
            facts.clock.body,
            facts.check_ins,
            now=now,
            zone=around.shop.zone,
            rail_bumps=around.bumps,
            temperatures=around.temperatures,
            common=around.common,
            handovers=facts.handovers,
            waivers=facts.waivers,
            limits=around.shop.limits,
        )

    def _assess(self, wanted: list[ClockFacts], now: datetime, keep: timedelta = timedelta()) -> list[Assessment]:
        from standwatch.judge.assess import assess  # noqa: PLC0415  # tags are shown before the estimators are loaded

        shop, around, learned = self.shop(), self._around(now, wanted, mates=True), self.learned(now)
        stale = [
            facts
            for facts in wanted
            if (kept := self._kept.get(facts.clock.body.tag)) is None
            or not kept.good_for(facts, now, around, learned, keep)
        ]
        for facts, estimates in zip(stale, self._estimates(stale, now, around, learned), strict=True):
            tag, rails = facts.clock.body.tag, estimates.history.rails
            found = assess(estimates, estimates.going, shop.rounds, shop.calls)
            self._kept[tag] = Kept(facts, rails, around.of_clock(tag, rails), learned, now, found)
        return [self._kept[facts.clock.body.tag].assessment for facts in wanted]

    def _estimates(
        self, wanted: Sequence[ClockFacts], now: datetime, around: Around, learned: Learned
    ) -> list[Estimates]:
        """The estimates of `wanted`; where nothing is shared, what was worked out to see that is taken."""
        tags = [facts.clock.body.tag for facts in wanted]
        alone = {} if around.common != NOTHING_SHARED else {tag: self._sharing.alone(tag, now) for tag in tags}
        rest = [self._history(facts, now, around) for facts in wanted if alone.get(facts.clock.body.tag) is None]
        anew = zip(rest, self._times_of(rest, learned=learned), strict=True)
        return [
            self._estimates_with(*(alone.get(tag) or next(anew)), now, learned, around.mates.get(tag, ()))
            for tag in tags
        ]

    def _estimates_with(
        self, history: History, time: Timekeeping, now: datetime, learned: Learned, mates: Mates = ()
    ) -> Estimates:
        """The estimates of one clock beside its `mates`; of one at its owner's with the error there, for who asks."""
        from standwatch.estimate.estimates import estimates_with  # noqa: PLC0415  # tags are shown before the estimators are loaded

        beside = [known for mate in mates if (known := self._sharing.known(mate)) is not None]
        found = estimates_with(history, time, beside, learned=learned)
        if history.home_since is None:
            return found
        return replace(found, find_home=partial(self.at_home, history, time, now))

    def at_home(self, history: History, time: Timekeeping, now: datetime) -> AtHome:
        """The error at its owner's of the clock of `history`, by what the shop's follow-ups had taught by `now`."""
        from standwatch.estimate.at_home import AtHome, moves_of  # noqa: PLC0415  # tags are shown before the estimators are loaded

        moves = moves_of(manner_of(history.clock.kind), self.follow_ups(history, now))
        return AtHome(history, time, moves, shop=self.shop().site, owner=owner_site(history.clock))

    def follow_ups(self, history: History, now: datetime) -> list[FollowUp]:
        """What clocks that move as it does had taught by `now`, but by the stay that `history` is on."""
        alone, learned = self._alone(now), self.learned(now)
        gone = self._shelf.all_of(self._shelf.register.gone(now, moving_alike(history.clock.kind), MOST_GONE))

        def known(stays: Sequence[ClockFacts]) -> list[tuple[History, Timekeeping]]:
            others = [self._history(facts, now, alone) for facts in stays]
            return list(zip(others, self._times_of(others, learned=learned), strict=True))

        return self._homes.follow_ups(history, gone, now, known, shop=alone.shop.site)

    def _times_of(self, histories: Sequence[History], learned: Learned) -> Sequence[Timekeeping]:
        """Error and rate of clocks, each going on from where it was when last asked.

        With what all share, and without, a clock's story has other steps, so each is remembered by itself.
        """
        from standwatch.estimate.engine import Memory  # noqa: PLC0415  # tags are shown before the estimators are loaded
        from standwatch.estimate.timekeeping import timekeepings_of  # noqa: PLC0415  # the same

        shared = any(history.common != NOTHING_SHARED for history in histories)
        return timekeepings_of(histories, learned=learned, memory=self._memories.setdefault(shared, Memory()))
