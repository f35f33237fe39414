"""What a body refers to: placed elements and cross-references, found before any page is made."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from journalgen.problems import Problems
from journalgen.reading import shapes
from journalgen.reading.fields import as_photo_file
from journalgen.reading.trees import Text, parse_tree
from journalgen.reading.unreadable import Unreadable
from journalgen.records import Block, PairChoice, Reference
from journalgen.values import Place

MARKS: Final = 10_000
CELLS: Final = 20_000
"""Signs of Markdown in one body, and cells of a table as wide as its widest line and as long as the whole body: more
would keep whoever makes the pages waiting."""

_SIGNS: Final = "*_[`|"


def read_blocks(
    body: str, file: str, first_line: int, home: str, problems: Problems
) -> tuple[tuple[Block, ...], tuple[Reference, ...]]:
    """The placed elements and the cross-references of a body, in order.

    A block that cannot be read is reported and kept empty, so that the order stays that of the fences.
    """
    if _is_overgrown(body, file, first_line, problems):
        return (), ()
    if "](" not in body and "```" not in body and "~~~" not in body and "]:" not in body:
        return (), ()  # most bodies: no need to parse Markdown
    from journalgen.markup import find_fences, find_references, plain_text

    fences = find_fences(body, first_line)
    blocks = (_block(f.kind, f.content, Place(file, f.line), home, problems) for f in fences)
    pictures = _pictures(body, file, first_line, problems)
    plain_text(body)  # is remembered, and is to be had for little while the body is parsed
    return tuple(blocks), (*find_references(body, file, first_line), *pictures)


def _is_overgrown(body: str, file: str, first_line: int, problems: Problems) -> bool:
    """Reports a body that no page could show in good time."""
    marks = sum(map(body.count, _SIGNS))
    if marks > MARKS:
        problems.error(
            Place(file, first_line),
            "text-too-marked",
            f"The text has {marks:,} signs of Markdown ({' '.join(_SIGNS)}); {MARKS:,} are the most.",
            "Keep tables and listings of that size in a file of their own, and write here what they show.",
        )
        return True
    if "|" not in body:
        return False
    lines = [line for line in body.split("\n") if line.strip()]
    if max(line.count("|") for line in lines) * len(lines) > CELLS:
        problems.error(
            Place(file, first_line),
            "table-too-large",
            f"The text has a table that may grow to more than {CELLS:,} cells.",
            "Divide it, or keep it in a file of its own, and write here what it shows.",
        )
        return True
    return False


def _pictures(body: str, file: str, first_line: int, problems: Problems) -> Iterator[Reference]:
    """Photographs of the journal that the text shows; a picture from anywhere else is not shown, and said so."""
    from journalgen.markup import find_images, photo_file

    for image in find_images(body, first_line):
        place = Place(file, image.line)
        name = photo_file(image.target)
        if name is not None:
            yield Reference(place, "photo", name)
        else:
            problems.warning(
                place,
                "picture-elsewhere",
                f'The picture "{image.target}" is not one of the journal\'s photographs, so it is not shown.',
                "Copy it into photos/ and list it under `photos:`.",
            )


def _block(kind: str, content: str, place: Place, home: str, problems: Problems) -> Block:
    if kind == "pair":
        return Block(place, kind, pair=_pair(content, place, home, problems))
    lines = [line.strip().lstrip("-").strip() for line in content.splitlines()]
    lines = [line for line in lines if line]
    if not lines:
        problems.warning(place, "block-empty", f"This `{kind}` block names nothing.", "Name one thing on each line.")
    if kind == "photos":
        return Block(place, kind, files=_files(lines, place, problems))
    return Block(place, kind, measures=tuple(_measure_name(line) for line in lines))


def _pair(content: str, place: Place, home: str, problems: Problems) -> PairChoice | None:
    tree = parse_tree(content, place.file, place.line + 1, problems)
    if isinstance(tree, Text):  # only the part's name
        return PairChoice(place, tree.text.strip())
    found = shapes.read(shapes.PairShape, tree, problems, home) if tree else None
    return PairChoice(place, found.part, found.before, found.after) if found else None


def _files(lines: list[str], place: Place, problems: Problems) -> tuple[str, ...]:
    files = []
    for line in lines:
        try:
            files.append(as_photo_file(line))
        except Unreadable as fault:
            problems.error(place, fault.rule, fault.message, fault.remedy)
    return tuple(files)


def _measure_name(line: str) -> tuple[str, str]:
    part, colon, what = line.partition(":")
    return (part.strip(), what.strip()) if colon else ("", line)
