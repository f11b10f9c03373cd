"""Places as they are typed."""

import pytest

from standwatch.horology.gravity import Site, parse_site
from standwatch.model.errors import BadValue


@pytest.mark.parametrize(
    ("text", "site"),
    [("51.5,30", Site(51.5, 30)), ("-33.9,50", Site(-33.9, 50)), (" 0 , -12.5 ", Site(0, -12.5))],
)
def test_a_place(text: str, site: Site) -> None:
    assert parse_site(text) == site


@pytest.mark.parametrize(
    "text", ["", "51.5", "51.5;30", "51.5,30,2", "north,30", "nan,30", "91,0", "45,inf", "45,9001"]
)
def test_no_place(text: str) -> None:
    with pytest.raises(BadValue, match="give LAT,METRES") as refused:
        parse_site(text)
    assert refused.value.column == "site"
