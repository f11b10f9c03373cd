"""What was repaired, counted under the trade's short list (common practice)."""

import pytest

from standwatch.horology.repairs import REPAIRS, repairs_in


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("pivots and bushes; strike rack", ("pivots", "bushes", "strike")),
        ("Rebushed throughout, two pivots turned", ("pivots", "bushes")),
        ("re‑bushing of the going train", ("bushes",)),
        ("new main spring", ("mainspring",)),
        ("suspension spring", ("suspension",)),
        ("click spring and ratchet wheel", ("click",)),
        ("hairspring, balance staff", ("balance",)),
        ("escape wheel and pallets", ("escapement",)),
        ("third wheel, two teeth", ("wheel, pinion",)),
        ("count wheel", ("strike",)),
        ("cannon pinion loose; hands bent", ("dial, motion work",)),
        ("chime barrel; new cables", ("chime", "line, cable, chain")),
        ("CLEANED AND OILED", ("cleaning",)),
        ("serviced", ("cleaning",)),
        ("one tooth of the great wheel; new gut line", ("wheel, pinion", "line, cable, chain")),
        ("a mystery", ()),
        ("", ()),
        ("underlined; a bobbin; overhand; doorstep", ()),  # parts of other words
    ],
)
def test_free_words_count_under_the_list(text: str, names: tuple[str, ...]) -> None:
    assert repairs_in(text) == names


def test_each_word_of_the_list_counts_under_its_own_line() -> None:
    for repair in REPAIRS:
        for word in (repair.name, *repair.words):
            assert repair.name in repairs_in(word), word
    words = [word for repair in REPAIRS for word in repair.words]
    assert len(words) == len(set(words))
    assert all(word == word.casefold() and repairs_in(word) for word in words)
