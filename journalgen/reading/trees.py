"""YAML to a tree of texts with their places: nothing is typed, nothing is run, nothing explodes.

Every scalar stays the text the person typed, so `2:30` is not a number and `NO` is a word. Keys
are unique, tags are refused, and anchors and aliases are allowed only a few times and never inside
one another, so that a small file cannot unfold into a huge one.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

import yaml
from msgspec import Struct, field

from journalgen.problems import Problems
from journalgen.reading.yaml_faults import explain
from journalgen.values import Place

DEEPEST: Final = 12
MOST_ALIASES: Final = 20

Plain = str | list["Plain"] | dict[str, "Plain"]


class Text(Struct, frozen=True):
    """A scalar, as typed."""

    text: str
    place: Place


class Row(Struct, frozen=True):
    """A sequence."""

    items: tuple[Node, ...]
    place: Place


class Table(Struct, frozen=True):
    """A mapping, with the place of each key."""

    values: dict[str, Node]
    keys: dict[str, Place]
    place: Place


Node = Text | Row | Table


class _Refused(Exception):
    def __init__(self, place: Place, rule: str, message: str, remedy: str) -> None:
        super().__init__(message)
        self.finding = (place, rule, message, remedy)


def parse_tree(text: str, file: str, first_line: int, problems: Problems) -> Node | None:
    """The tree of one YAML document; None, and an error reported, if it cannot be read.

    Empty text is an empty table.
    """
    builder = _Builder(file, first_line, problems)
    try:
        return builder.build(iter(yaml.parse(text, Loader=yaml.CSafeLoader)))
    except _Refused as refused:
        problems.error(*refused.finding)
    except yaml.MarkedYAMLError as fault:
        mark = fault.problem_mark or fault.context_mark
        place = builder.place(mark) if mark else Place(file, first_line)
        problems.error(place, "yaml", *explain(fault, text))
    except yaml.YAMLError as fault:
        reason = getattr(fault, "reason", None) or "a character that YAML does not allow"
        problems.error(Place(file, first_line), "yaml", f"This is not YAML: {reason}.", "Remove the character.")
    return None


class _Builder(Struct):
    file: str
    first_line: int
    problems: Problems
    anchors: dict[str, Node | None] = field(default_factory=dict)  # None while still open
    aliases: int = 0
    in_anchor: int = 0

    def place(self, mark: Any) -> Place:
        return Place(self.file, mark.line + self.first_line, mark.column + 1)

    def refuse(self, event: Any, rule: str, message: str, remedy: str) -> _Refused:
        return _Refused(self.place(event.start_mark), rule, message, remedy)

    def build(self, events: Iterator[Any]) -> Node:
        root: Node = Table({}, {}, Place(self.file, self.first_line))
        for event in events:
            if isinstance(event, (yaml.ScalarEvent, yaml.SequenceStartEvent, yaml.MappingStartEvent, yaml.AliasEvent)):
                root = self.node(event, events, 0)
            elif isinstance(event, yaml.DocumentEndEvent):
                self.refuse_second(events)
        if isinstance(root, Text) and not root.text:
            return Table({}, {}, root.place)
        return root

    def refuse_second(self, events: Iterator[Any]) -> None:
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent):
                raise self.refuse(event, "yaml", "A second document begins here.", "Remove the `---` in the middle.")

    def node(self, event: Any, events: Iterator[Any], depth: int) -> Node:
        if depth > DEEPEST:
            raise self.refuse(event, "yaml-deep", "This is nested too deeply.", "Remove the needless brackets.")
        if isinstance(event, yaml.AliasEvent):
            return self.alias(event)
        if getattr(event, "tag", None):
            raise self.refuse(
                event, "yaml-tag", f"The tag {event.tag} is not used here.", "Remove the word that begins with `!`."
            )
        if event.anchor is None:
            return self.content(event, events, depth)
        return self.anchored(event, events, depth)

    def anchored(self, event: Any, events: Iterator[Any], depth: int) -> Node:
        self.anchors[event.anchor] = None
        self.in_anchor += 1
        node = self.content(event, events, depth)
        self.in_anchor -= 1
        self.anchors[event.anchor] = node
        return node

    def alias(self, event: Any) -> Node:
        self.aliases += 1
        node = self.anchors.get(event.anchor)
        if node is None or self.in_anchor or self.aliases > MOST_ALIASES:
            raise self.refuse(
                event, "yaml-alias", f"The alias *{event.anchor} cannot be used here.", "Write the value out."
            )
        return node

    def content(self, event: Any, events: Iterator[Any], depth: int) -> Node:
        place = self.place(event.start_mark)
        if isinstance(event, yaml.ScalarEvent):
            return Text(event.value, place)
        if isinstance(event, yaml.SequenceStartEvent):
            return Row(tuple(self.items(events, depth)), place)
        return self.table(place, events, depth)

    def items(self, events: Iterator[Any], depth: int) -> Iterator[Node]:
        for event in events:
            if isinstance(event, yaml.SequenceEndEvent):
                return
            yield self.node(event, events, depth + 1)

    def table(self, place: Place, events: Iterator[Any], depth: int) -> Table:
        values: dict[str, Node] = {}
        keys: dict[str, Place] = {}
        for event in events:
            if isinstance(event, yaml.MappingEndEvent):
                break
            key = self.node(event, events, depth + 1)
            if not isinstance(key, Text):
                raise self.refuse(event, "yaml-key", "A key must be plain text.", "Put the text between quotes.")
            if key.text in values:
                raise self.refuse(
                    event,
                    "duplicate-key",
                    f"`{key.text}` stands here and on line {keys[key.text].line}.",
                    "Keep one of the two.",
                )
            keys[key.text] = key.place
            values[key.text] = self.node(next(events), events, depth + 1)
        return Table(values, keys, place)


def plain(node: Node) -> Plain:
    """The tree as plain texts, lists and mappings; keys with nothing after them are left out."""
    if isinstance(node, Text):
        return node.text
    if isinstance(node, Row):
        return [plain(item) for item in node.items]
    return plain_table(node)


def plain_table(node: Table) -> dict[str, Plain]:
    """A mapping as plain texts, lists and mappings."""
    return {key: plain(value) for key, value in node.values.items() if not is_empty(value)}


def is_empty(node: Node) -> bool:
    """Whether nothing was written: `hours:` with no value."""
    return isinstance(node, Text) and not node.text.strip()


def place_at(node: Node, path: tuple[int | str, ...]) -> Place:
    """The place of what lies at a path of keys and positions, or of the nearest thing above it."""
    for step in path:
        if isinstance(node, Table) and isinstance(step, str) and step in node.values:
            node = node.values[step]
        elif isinstance(node, Row) and isinstance(step, int) and step < len(node.items):
            node = node.items[step]
        else:
            break
    return node.place
