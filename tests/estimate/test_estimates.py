"""All estimates of a stand at once."""

from __future__ import annotations

from standwatch.estimate.estimates import estimates_of
from standwatch.model.answers import Quantity
from tests.stories import daily, story


def test_each_clock_gets_its_own_in_the_order_given() -> None:
    histories = [
        story(kind, daily("11-02 08:00", "11-08 08:00", f"error_s={{{rate}*d:.1f}}"), now="11-08 09:00")
        for kind, rate in (("longcase", 3), ("mantel", -9))
    ]
    both = estimates_of(histories)
    assert [one.history for one in both] == histories
    for one, sign in zip(both, (1, -1), strict=True):
        assert isinstance(one.time.rate, Quantity)
        assert one.time.rate.estimate * sign > 0
        assert one.power.trains
        assert one.leads == ()
    assert estimates_of([]) == []
