"""Lines added to the front matter, and every other byte as it was."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.front_matter import CannotAdd, add_to_list
from journalgen.problems import Problems
from journalgen.reading.entries import parse_entry
from journalgen.reading.texts import decode
from journalgen.records import Session

ITEMS = ["{file: new one.jpg, part: front wheel, shows: before}", '{file: "2.jpg", part: ["a, b", c]}']
NEW = ["new one.jpg", "2.jpg"]


def added(front: str, items: list[str] = ITEMS) -> str:
    """The front matter after the items were added."""
    made = add_to_list(f"---\n{front}---\nThe body.\n".encode(), "photos", items).decode()
    assert made.startswith("---\n")
    assert made.endswith("---\nThe body.\n")
    return made[4 : -len("---\nThe body.\n")]


LINES = f"  - {ITEMS[0]}\n  - {ITEMS[1]}\n"
CASES = {
    "a block list": ("photos:\n  - a.jpg\ndate: x\n", f"photos:\n  - a.jpg\n{LINES}date: x\n"),
    "a block list set in by four": (
        "photos:\n    - a.jpg\n", f"photos:\n    - a.jpg\n    - {ITEMS[0]}\n    - {ITEMS[1]}\n",
    ),
    "a block list not set in": ("photos:\n- a\n# z\n", f"photos:\n- a\n- {ITEMS[0]}\n- {ITEMS[1]}\n# z\n"),
    "comments of the list stay with it": (
        "photos:\n  - a.jpg # good\n  # - b.jpg, blurred\n# next\ndate: x\n",
        f"photos:\n  - a.jpg # good\n  # - b.jpg, blurred\n{LINES}# next\ndate: x\n",
    ),
    "a flow list": ("photos: [a, b] # two\n", f"photos: [a, b,\n  {ITEMS[0]},\n  {ITEMS[1]}] # two\n"),
    "an empty flow list": ("photos: []\n", f"photos: [{ITEMS[0]},\n  {ITEMS[1]}]\n"),
    "a flow list of lines": (
        "photos: [\n    a, # one\n    {file: b} # two\n]\n",
        f"photos: [\n    a, # one\n    {{file: b}},\n    {ITEMS[0]},\n    {ITEMS[1]} # two\n]\n",
    ),
    "a flow list with a last comma": ("photos: [a,]\n", f"photos: [a,\n  {ITEMS[0]},\n  {ITEMS[1]},]\n"),
    "one text": ("photos: a.jpg # mine\nx: y\n", f"photos: \n  - a.jpg # mine\n{LINES}x: y\n"),
    "one text with brackets": ("photos: a [1].jpg\n", f"photos: \n  - a [1].jpg\n{LINES}"),
    "one text of two lines": (
        "photos: a.jpg,\n  b.jpg\n", f"photos: \n- a.jpg,\n  b.jpg\n- {ITEMS[0]}\n- {ITEMS[1]}\n",
    ),
    "one text on its own line": ("photos:\n  a.jpg\n", f"photos:\n  - a.jpg\n{LINES}"),
    "one mapping": ("photos: {file: a}\n", f"photos: \n  - {{file: a}}\n{LINES}"),
    "one mapping of lines": (
        "photos:\n  file: a\n  part: b\n", f"photos:\n-\n  file: a\n  part: b\n- {ITEMS[0]}\n- {ITEMS[1]}\n",
    ),
    "nothing after the key": ("photos: # none yet\nx: y\n", f"photos: # none yet\n{LINES}x: y\n"),
    "an empty text": ('photos: ""\n', f'photos: \n  - ""\n{LINES}'),
    "no such key": ("date: x\n", f"date: x\nphotos:\n{LINES}"),
    "an example in a comment": (
        "date: x\n# photos:\n#   - {file: a}\n", f"date: x\n# photos:\n#   - {{file: a}}\nphotos:\n{LINES}",
    ),
    "only comments": ("# nothing\n", f"# nothing\nphotos:\n{LINES}"),
    "nothing at all": ("", f"photos:\n{LINES}"),
    "a block text last": ("note: |\n  long\n", f"note: |\n  long\nphotos:\n{LINES}"),
    "a block text that keeps its end": ("note: |+\n  long\n\n\n", f"note: |+\n  long\n\n\nphotos:\n{LINES}"),
    "all set in": (" date: x\n", f" date: x\n photos:\n   - {ITEMS[0]}\n   - {ITEMS[1]}\n"),
    "all in braces": ("{date: x}\n", f"{{date: x, photos: [{', '.join(ITEMS)}]}}\n"),
    "all in braces, with a list": ("{photos: [a], x: y}\n", None),
    "all in braces, with one text": ("{photos: a, x: y}\n", f"{{photos: [a, {', '.join(ITEMS)}], x: y}}\n"),
    "a key in quotes": ("'photos': [a]\n", f"'photos': [a,\n  {ITEMS[0]},\n  {ITEMS[1]}]\n"),
    "an alias as the last item": ("a: &x p\nphotos:\n  - *x\nb: c\n", f"a: &x p\nphotos:\n  - *x\n{LINES}b: c\n"),
    "an alias in brackets": ("a: &x p\nphotos: [*x]\n", None),
}  # fmt: skip


@pytest.mark.parametrize(("front", "wanted"), CASES.values(), ids=CASES.keys())
def test_lines_go_where_a_person_would_put_them(front: str, wanted: str | None) -> None:
    made = added(front)
    assert made == wanted or (wanted is None and all(item in made for item in ITEMS))


@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_line_ends_and_a_byte_order_mark_stay(line_end: str, mark: str) -> None:
    old = f"{mark}---\ndate: 2024-03-09\nphotos:\n  - ä.jpg\nx: y\n---\nBody\n\n".replace("\n", line_end)
    new = add_to_list(old.encode(), "photos", ITEMS).decode()
    assert new == old.replace("ä.jpg" + line_end, "ä.jpg" + line_end + LINES.replace("\n", line_end))


@pytest.mark.parametrize("body", ["", "Just text.", "Just text.\n", "\n\nText\r\nmore\r\n", "\ufeffText\n"])
def test_an_entry_without_front_matter_is_given_some(body: str) -> None:
    new = add_to_list(body.encode(), "photos", ITEMS).decode()
    mark = "\ufeff" if body.startswith("\ufeff") else ""
    assert new.replace("\r\n", "\n") == f"{mark}---\nphotos:\n{LINES}---\n" + body.lstrip("\ufeff").replace(
        "\r\n", "\n"
    )
    assert new.endswith(body.lstrip("\ufeff"))


REFUSED = {
    "what is not YAML": (b"---\nphotos: [a\n---\n", "cannot be read"),
    "front matter without an end": (b"---\nphotos: [a]\n", "cannot be read"),
    "a key that stands twice": (b"---\nphotos: [a]\nphotos: [b]\n---\n", "cannot be read"),
    "what is not UTF-8": (b"---\nphotos: [\xe4]\n---\n", "not UTF-8"),
    "a list that serves two keys": (b"---\nphotos: &p [a]\nfound: *p\n---\n", "cannot be added to"),
    "a list that another key lends": (b"---\nfound: &p [a]\nphotos: *p\n---\n", "cannot be added to"),
    "a list instead of keys": (b"---\n- a\n---\n", "cannot be read"),
}


@pytest.mark.parametrize(("data", "why"), REFUSED.values(), ids=REFUSED.keys())
def test_what_cannot_be_added_to_is_refused(data: bytes, why: str) -> None:
    with pytest.raises(CannotAdd, match=why):
        add_to_list(data, "photos", ITEMS)


@pytest.mark.parametrize("item", ["", "a\nb: c", "[", "a\n- b", "# nothing"])
def test_an_item_that_is_not_one_item_is_a_slip_of_the_caller(item: str) -> None:
    with pytest.raises(ValueError, match="not one item"):
        add_to_list(b"---\n---\n", "photos", [item])


def test_other_lists_are_added_to_alike() -> None:
    assert add_to_list(b"---\nparts: [wheel]\n---\n", "parts", ["lamp"]) == b"---\nparts: [wheel,\n  lamp]\n---\n"


# The law: whatever stands in the front matter, the old bytes are all there, and it reads as old and new.

WORD = st.text("abcäß01 ", min_size=1, max_size=8).filter(lambda word: word.strip() == word)
COMMENT = st.sampled_from(["", "", "# a comment\n", "\n", "  # set in, with: colon\n", "# photos: [x.jpg]\n"])
TAIL = st.sampled_from(["", "", " # at the end", "  "])
TEXTS = st.one_of(
    WORD,
    WORD.map(lambda word: f'"{word}: # no comment, \\" {word}"'),
    WORD.map(lambda word: f"'it''s {word}'"),
    st.builds("{}\n  {}".format, WORD, WORD),
    st.builds('"{}\n  # {}\n\n  z"'.format, WORD, WORD),
    st.builds("|\n  {}\n  # {}\n".format, WORD, WORD).map(lambda text: text.rstrip("\n")),
    st.builds(">-\n  {}\n\n  {}\n".format, WORD, WORD).map(lambda text: text.rstrip("\n")),
    st.builds("|+\n  {}\n\n".format, WORD),
)
OTHER = {"title": TEXTS, "parts": st.sampled_from(["wheel", "[wheel, lamp]", "\n  - wheel\n  - lamp"]),
         "hours": st.sampled_from(["2:30", "", "1"]), "private": st.sampled_from(["no", "yes"]),
         "work": st.just("\n  - part: wheel\n    step: etch\n    note: |\n      photos:\n        - x.jpg")}  # fmt: skip
PHOTOS = {
    "": [], " ": [], " []": [], " [ # none\n ]": [], " a.jpg": ["a.jpg"], " a.jpg, b c.jpg": ["a.jpg", "b c.jpg"],
    " 'a.jpg'": ["a.jpg"], " a (1) [x].jpg": ["a (1) [x].jpg"], " [a.jpg, b.jpg]": ["a.jpg", "b.jpg"],
    " [a.jpg, {file: b.jpg, caption: 'x]'},]": ["a.jpg", "b.jpg"],
    " [\n  a.jpg, # one\n  b.jpg\n  # two\n  ]": ["a.jpg", "b.jpg"],
    "\n- a.jpg\n- b.jpg": ["a.jpg", "b.jpg"], "\n  - a.jpg\n  - file: b.jpg\n    caption: c": ["a.jpg", "b.jpg"],
    "\n    # first\n    - {file: a.jpg,\n       caption: b}": ["a.jpg"],
    "\n  - file: a.jpg\n    caption: |\n      b\n      # c": ["a.jpg"],
    " {file: a.jpg, part: wheel}": ["a.jpg"], "\n  file: a.jpg\n  part: wheel": ["a.jpg"], "\n  a.jpg": ["a.jpg"],
    "\n  - a.jpg\n  -": ["a.jpg"], " &x\n  - a.jpg": ["a.jpg"],
}  # fmt: skip


@st.composite
def entries(draw: st.DrawFn) -> tuple[str, list[str]]:
    """An entry, and the photographs that it lists."""
    names = draw(st.lists(st.sampled_from(sorted(OTHER)), unique=True, max_size=4))
    listed: list[str] = []
    rows = [f"{name}: {draw(OTHER[name])}" for name in names]
    if draw(st.integers(0, 4)):
        written = draw(st.sampled_from(sorted(PHOTOS)))
        listed = PHOTOS[written]
        rows.insert(draw(st.integers(0, len(rows))), f"photos:{written}")
    lines = draw(COMMENT)
    for row in rows:
        tail = draw(TAIL) if "|" not in row and ">" not in row else ""
        lines += f"{row}{tail}\n{draw(COMMENT)}"
    mark, line_end = draw(st.sampled_from(["", "\ufeff"])), draw(st.sampled_from(["\n", "\r\n"]))
    before = draw(st.sampled_from(["", "\n"]))
    text = f"{before}---\n{lines}{draw(st.sampled_from(['---', '...', '--- ']))}\nBody\n\n---\nmore"
    return mark + text.replace("\n", line_end), listed


def session(data: bytes) -> tuple[Session, list[str]]:
    problems = Problems()
    text = decode(data, "x", problems)
    assert text is not None
    read = parse_entry(text, "entries/2024-03-09-a-day.md", "GBP", problems)
    assert read is not None, problems.found
    return read, [problem.rule for problem in problems.found]


def is_made_by_inserting(old: bytes, new: bytes) -> bool:
    """Whether the new bytes are the old with at most two pieces put in."""
    start = next((n for n, (a, b) in enumerate(zip(old, new, strict=False)) if a != b), len(old))
    rest, longer = old[start:], new[start:]
    end = next((n for n, (a, b) in enumerate(zip(rest[::-1], longer[::-1], strict=False)) if a != b), len(rest))
    return rest[: len(rest) - end] in longer[: len(longer) - end]


@given(entries())
def test_old_bytes_stay_and_new_photographs_come_last(entry: tuple[str, list[str]]) -> None:
    text, listed = entry
    old, old_rules = session(text.encode())
    assert [photo.file for photo in old.photos] == listed
    data = add_to_list(text.encode(), "photos", ITEMS)
    new, rules = session(data)
    assert rules == old_rules
    assert [photo.file for photo in new.photos] == [*listed, *NEW]
    assert [(p.file, p.parts, p.caption) for p in new.photos[: len(listed)]] == [
        (p.file, p.parts, p.caption) for p in old.photos
    ]
    same = ("day", "title", "minutes", "parts", "body", "private", "uses", "purchases", "pairs")
    assert [getattr(new, name) for name in same] == [getattr(old, name) for name in same]
    assert [(line.parts, line.step, line.note) for line in new.work] == [
        (line.parts, line.step, line.note) for line in old.work
    ]
    assert is_made_by_inserting(text.encode(), data)


SCRAPS = st.lists(
    st.sampled_from([*"[]{},#'\"|>!?-% \n\t\u2028\x85ä", "photos:", "- ", ": ", "&x ", "*x", "\r\n", "---", "x: y\n"]),
    max_size=25,
).map("".join)


@given(SCRAPS)
def test_any_text_is_added_to_or_refused(front: str) -> None:
    old = f"---\n{front}\n---\nb\u2028c\x85\n".encode()
    try:
        new = add_to_list(old, "photos", ITEMS)
    except CannotAdd:
        return
    assert is_made_by_inserting(old, new)
