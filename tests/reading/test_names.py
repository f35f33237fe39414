"""The name that was most likely meant."""

from __future__ import annotations

import subprocess
import sys

from hypothesis import given
from hypothesis import strategies as st
from rapidfuzz import fuzz

from journalgen.reading.names import NEAR, _most_alike, nearest
from journalgen.slugs import key

TEXTS = st.text("abcde ABé-ß", max_size=12)


@given(TEXTS, TEXTS)
def test_no_two_texts_are_more_alike_than_they_can_be(one: str, other: str) -> None:
    """What is passed over without the library is nothing that it would have found."""
    assert fuzz.ratio(one, other) <= _most_alike(one, other) + 1e-9


@given(TEXTS, st.lists(TEXTS, max_size=6), st.sampled_from([NEAR, 85]))
def test_the_nearest_is_the_most_alike_that_is_alike_enough(text: str, known: list[str], at_least: int) -> None:
    found = nearest(text, known, at_least)
    alike = {name: fuzz.ratio(key(text), key(name)) for name in known}
    enough = [name for name in known if alike[name] >= at_least]
    assert (found in enough and alike[found] == max(alike.values())) if enough else found is None


def test_a_word_of_ones_own_does_not_bring_in_the_library() -> None:
    code = (
        "import sys; from journalgen.reading.names import nearest\n"
        "print(nearest('quench', ['etch', 'blast', 'undercoat']), 'rapidfuzz' in sys.modules)\n"
        "print(nearest('undercot', ['etch', 'blast', 'undercoat']), 'rapidfuzz' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split("\n")[:2] == ["None False", "undercoat True"]
