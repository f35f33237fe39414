"""YAML as texts with places: nothing is typed, nothing is run, nothing explodes."""

from __future__ import annotations

import time

import pytest

from journalgen.problems import Problems
from journalgen.reading.trees import parse_tree, place_at, plain
from tests.journals import rules


def tree(text: str, problems: Problems | None = None) -> object:
    found = Problems() if problems is None else problems
    node = parse_tree(text, "x.yaml", 1, found)
    if problems is None:
        assert not found.found
    return plain(node) if node is not None else None


def test_every_scalar_stays_the_text_that_was_typed() -> None:
    text = "a: 2:30\nb: 0123\nc: NO\nd: 1.0\ne: 2024-03-09\nf: ~\ng: 0x1F\nh: 'quoted: yes'\n"
    assert tree(text) == {
        "a": "2:30", "b": "0123", "c": "NO", "d": "1.0", "e": "2024-03-09", "f": "~", "g": "0x1F", "h": "quoted: yes",
    }  # fmt: skip


def test_a_key_with_nothing_after_it_was_not_given() -> None:
    assert tree("a:\nb: 1\n") == {"b": "1"}


def test_values_know_their_line_and_column() -> None:
    node = parse_tree("a: 1\nb:\n  - {c: 2, d: 3}\n", "x.yaml", 10, Problems())
    assert node is not None
    place = place_at(node, ("b", 0, "d"))
    assert (place.line, place.column) == (12, 15)


@pytest.mark.parametrize(
    ("text", "rule", "line"),
    [
        ("a: 1\na: 2\n", "duplicate-key", 2),
        ("a: !!python/object/apply:os.system [ls]\n", "yaml-tag", 1),
        ("a: !x 1\n", "yaml-tag", 1),
        ("a: [1, 2\nb: 3\n", "yaml", 2),
        ("a:\n\tb: 1\n", "yaml", 2),
        ("{[1]: 2}\n", "yaml-key", 1),
        ("a: 1\n---\nb: 2\n", "yaml", 2),
        ("a: *b\n", "yaml-alias", 1),
        ("a: &a [*a]\n", "yaml-alias", 1),
        ("a: " + "[" * 40 + "]" * 40 + "\n", "yaml-deep", 1),
        ("a: \x07\n", "yaml", 1),
    ],
)
def test_what_is_refused_is_said_with_its_line(text: str, rule: str, line: int) -> None:
    problems = Problems()
    assert tree(text, problems) is None
    assert rules(problems) == [rule]
    assert problems.found[0].place.line == line


def test_a_few_aliases_are_read_and_many_are_refused() -> None:
    assert tree("a: &x [1, 2]\nb: *x\n") == {"a": ["1", "2"], "b": ["1", "2"]}
    problems = Problems()
    many = "a: &x 1\nb: [" + ", ".join(["*x"] * 30) + "]\n"
    assert tree(many, problems) is None
    assert rules(problems) == ["yaml-alias"]


def test_aliases_within_aliases_cannot_unfold() -> None:
    bomb = "a0: &a0 [lol, lol]\n" + "".join(f"a{i}: &a{i} [*a{i - 1}, *a{i - 1}]\n" for i in range(1, 40))
    problems = Problems()
    start = time.perf_counter()
    assert tree(bomb, problems) is None
    assert time.perf_counter() - start < 2  # not a benchmark: unfolded, it would never end
    assert rules(problems) == ["yaml-alias"]
