"""Adds to a list in an entry's front matter, and leaves every other byte of the entry as the person wrote it.

The places where a line may go are found from what YAML makes of the text, and tried in turn. What comes of
each is read again: only a text whose front matter holds the old items, then the new ones, and is otherwise the
same, is ever given back.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from typing import Any, Final

import yaml
from msgspec import Struct

from journalgen.problems import Problems
from journalgen.reading.entries import split_front_matter
from journalgen.reading.texts import decode
from journalgen.reading.trees import Node, Row, Table, Text, is_empty, parse_tree

_MARK: Final = b"\xef\xbb\xbf"
"""The byte order mark that some editors put before UTF-8."""

_DASH: Final = re.compile(r"(?<=\n)( *)-(?=\s)")

_STEP: Final = 2
"""Blanks by which a new list is set in."""

Edit = tuple[tuple[int, str], ...]
"""Texts to insert, each before the letter of that number."""


class CannotAdd(Exception):
    """Nothing could be added without touching what is there; the message is one sentence that says why."""


def add_to_list(data: bytes, name: str, items: Sequence[str]) -> bytes:
    """An entry's bytes with items added at the end of the list `name` of its front matter.

    `items` are YAML, a line each. A list that is absent is begun; a single value becomes the first of a
    list. Line ends and a byte order mark stay as they are. Raises CannotAdd.
    """
    entry = _Entry.read(data)
    wanted = _added(entry.tree, name, [_read_item(item) for item in items])
    for edit in _edits(entry, name, items):
        changed = entry.apply(edit)
        try:
            now = _Entry.read(changed)
        except CannotAdd:
            continue
        if now.tree in wanted and now.body == entry.body:
            return changed
    raise CannotAdd(f"`{name}` is written in a way that cannot be added to without changing it.")


class _Entry(Struct, frozen=True):
    """One entry, taken apart."""

    data: bytes
    text: str  # with LF line ends and without a byte order mark
    start: int | None  # where the front matter begins in the text; None where there is none
    end: int  # where the line begins that closes it
    body: str
    tree: dict[str, Any]

    @classmethod
    def read(cls, data: bytes) -> _Entry:
        problems = Problems()
        text = decode(data, "", problems)
        if text is None:
            raise CannotAdd("It is not UTF-8 text.")
        front, first, body, body_line = split_front_matter(text, "", problems)
        tree = None if front is None else parse_tree(front, "", first, problems)
        if not isinstance(tree, Table):
            raise CannotAdd("Its front matter cannot be read.")
        if body_line == 1:  # there is nothing but a body
            return cls(data, text, None, 0, body, {})
        starts = [0, *(at + 1 for at in _find_all(text, "\n"))]
        return cls(data, text, starts[first - 1], starts[body_line - 2], body, _plain(tree))

    def apply(self, edit: Edit) -> bytes:
        """The entry's bytes with the insertions made, in its own line ends."""
        mark = _MARK if self.data.startswith(_MARK) else b""
        own = self.data.decode("utf-8-sig")
        doubled = [at - n for n, at in enumerate(_find_all(own, "\r\n"))]  # where a line end of two letters became one
        line_end = next((end for end in ("\r\n", "\n", "\r") if end in own), "\n")
        pieces, done = [], 0
        for at, inserted in edit:
            there = at + bisect_left(doubled, at)
            pieces += [own[done:there], inserted.replace("\n", line_end)]
            done = there
        return mark + "".join([*pieces, own[done:]]).encode()


def _find_all(text: str, sought: str) -> Iterator[int]:
    at = text.find(sought)
    while at >= 0:
        yield at
        at = text.find(sought, at + len(sought))


def _plain(node: Node) -> Any:
    """The tree as plain texts, lists and mappings, with what is empty.

    Line ends at a text's end mean nothing; a block text has one more as soon as a key follows it.
    """
    if isinstance(node, Text):
        return node.text.rstrip("\n")
    if isinstance(node, Row):
        return [_plain(item) for item in node.items]
    return {key: _plain(value) for key, value in node.values.items()}


def _read_item(item: str) -> Any:
    tree = parse_tree(f"- {item}\n", "", 1, Problems())
    if "\n" in item or not isinstance(tree, Row) or len(tree.items) != 1 or is_empty(tree.items[0]):
        raise ValueError(f"{item!r} is not one item of a YAML list.")
    return _plain(tree.items[0])


def _added(tree: dict[str, Any], name: str, items: list[Any]) -> list[dict[str, Any]]:
    """The trees that are wanted: two where there is an empty text, which may stay as an empty item."""
    old = tree.get(name, "")
    kept = [old] if isinstance(old, list) else [[], [old]] if not old else [[old]]
    return [{**tree, name: [*items_before, *items]} for items_before in kept]


def _edits(entry: _Entry, name: str, items: Sequence[str]) -> Iterator[Edit]:
    """Ways to add the items, the handsomest first."""
    block = "".join([f"{name}:\n", *(f"{' ' * _STEP}- {item}\n" for item in items)])
    if entry.start is None:
        yield ((0, f"---\n{block}---\n"),)
        return
    front = entry.text[entry.start : entry.end]
    try:
        root = yaml.compose(front, Loader=yaml.SafeLoader)
    except yaml.YAMLError:
        return
    if root is None:
        yield ((entry.end, block),)
    elif isinstance(root, yaml.MappingNode):
        for edit in _Front(front, root, name, items).edits():
            yield tuple((entry.start + at, text) for at, text in edit)


class _Front(Struct, frozen=True):
    """The front matter of one entry as YAML sees it, and what is to be added."""

    text: str
    root: Any
    name: str
    items: Sequence[str]

    def edits(self) -> Iterator[Edit]:
        pair = next((pair for pair in self.root.value if pair[0].value == self.name), None)
        if pair is None:
            yield from self.begin()
            return
        key, value = pair
        if value.start_mark.index < key.end_mark.index:
            return  # an alias: what it leads to serves another key as well
        elif isinstance(value, yaml.ScalarNode) and not value.value.strip() and value.style is None:
            yield from self.fill(key, value)
        elif isinstance(value, yaml.SequenceNode):
            yield from self.extend_flow(key, value) if value.flow_style else self.extend_block(key, value)
        else:
            yield from self.wrap(key, value)

    def begin(self) -> Iterator[Edit]:
        """There is no such key yet: it comes last."""
        if not self.root.flow_style:
            yield ((len(self.text), self.block(self.root.start_mark.column)),)
            return
        listed = f"{self.name}: [{', '.join(self.items)}]"
        if self.root.value:
            yield ((_end(self.root.value[-1][1]), f", {listed}"),)
        yield ((self.root.end_mark.index - 1, listed),)

    def fill(self, key: Any, value: Any) -> Iterator[Edit]:
        """The key has nothing after it."""
        if self.root.flow_style:
            yield ((value.start_mark.index, f" [{', '.join(self.items)}]"),)
        else:
            yield ((self.next_line(value.end_mark.index), self.dashes(key.start_mark.column + _STEP)),)

    def extend_block(self, key: Any, value: Any) -> Iterator[Edit]:
        """A list with a line for each item: more lines, after comments that are set in with the last of them."""
        start, column = value.start_mark.index, value.start_mark.column
        if self.text[start] == "&" and (dash := _DASH.search(self.text, start)):  # the first item comes after it
            column = len(dash[1])
        last = value.value[-1]
        if last.start_mark.index >= start:  # it is no alias
            at = self.next_line(_end(last))
            if column > key.start_mark.column:
                at = self.skip_comments(at, column)
            yield ((at, self.dashes(column)),)
        yield ((self.this_line(value.end_mark.index), self.dashes(column)),)

    def extend_flow(self, key: Any, value: Any) -> Iterator[Edit]:
        """A list between brackets: more items before the closing one."""
        column = key.start_mark.column + _STEP
        if not value.value:
            yield ((value.start_mark.index + 1, self.between(column)),)
            return
        last = value.value[-1]
        if not self.text[self.this_line(last.start_mark.index) : last.start_mark.index].strip():
            column = last.start_mark.column
        added = self.between(column)
        if last.start_mark.index >= value.start_mark.index:
            yield ((_end(last), f",\n{' ' * column}{added}"),)
        closing = value.end_mark.index - 1
        yield ((closing, f", {added}"),)
        yield ((closing, f" {added}"),)

    def wrap(self, key: Any, value: Any) -> Iterator[Edit]:
        """A single value, of one line or many: it becomes the first item."""
        start, end, column = value.start_mark.index, _end(value), key.start_mark.column
        after = self.next_line(end)
        own_line = self.this_line(start)
        if not self.root.flow_style:
            if self.text[own_line:start].strip():
                for inset in (column + _STEP, column):
                    yield ((start, f"\n{' ' * inset}- "), (after, self.dashes(inset)))
            else:
                inset = value.start_mark.column
                if not isinstance(value, yaml.MappingNode) or value.flow_style:
                    yield ((start, "- "), (after, self.dashes(inset)))
                yield ((own_line, f"{' ' * column}-\n"), (after, self.dashes(column)))
        yield ((start, "["), (end, f", {', '.join(self.items)}]"))

    def block(self, column: int) -> str:
        return f"{' ' * column}{self.name}:\n{self.dashes(column + _STEP)}"

    def dashes(self, column: int) -> str:
        return "".join(f"{' ' * column}- {item}\n" for item in self.items)

    def between(self, column: int) -> str:
        return f",\n{' ' * column}".join(self.items)

    def this_line(self, at: int) -> int:
        return self.text.rfind("\n", 0, at) + 1

    def next_line(self, at: int) -> int:
        """Where the next line begins; where this one does if nothing of it belongs to what ended there."""
        if at and self.text[at - 1] == "\n":
            return at
        end = self.text.find("\n", at)
        return len(self.text) if end < 0 else end + 1

    def skip_comments(self, at: int, column: int) -> int:
        """Past the lines that hold only a comment, set in as far as the list or farther."""
        while at < len(self.text):
            end = self.next_line(at + 1)
            line = self.text[at:end]
            inset = len(line) - len(line.lstrip(" "))
            if line[inset : inset + 1] != "#" or inset < column:
                break
            at = end
        return at


def _end(node: Any) -> int:
    """Where the last letter of a value is past; blank lines and comments after it do not belong to it."""
    if isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
        last = node.value[-1]
        last = last[1] if isinstance(last, tuple) else last
        if last.start_mark.index >= node.start_mark.index:
            return _end(last)
    found: int = node.end_mark.index
    return found
