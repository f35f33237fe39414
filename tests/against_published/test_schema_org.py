"""The types and properties of the pages' JSON-LD against the vocabulary of schema.org.

The vocabulary is read from the type definitions of the npm package schema-dts, version 2.1.0, which
are made from schema.org's own. A property must belong to the type or one above it, and must admit what it is given.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from journalgen.editions import public_edition
from journalgen.site.matter import PUBLIC
from tests.site.samples import edition, journal, one, trees

FOLDER = os.environ.get("JOURNALGEN_SCHEMA_ORG")
pytestmark = pytest.mark.skipif(not FOLDER, reason="JOURNALGEN_SCHEMA_ORG does not name the folder of schema-dts")

_INTERFACE = re.compile(r"^(?:export )?interface (\w+?)(?:Base|Leaf) extends ([\w<>, ]+) \{(.*?)^\}", re.S | re.M)
_PROPERTY = re.compile(r'^ +"(\w+)"\?: SchemaValue<(.*), "\w+">;$', re.M)
_DATA = {"Text", "URL", "Date", "DateTime", "Duration", "Number", "Integer"}


@cache
def vocabulary() -> dict[str, tuple[tuple[str, ...], dict[str, set[str]]]]:
    """By type: the types above it, and for each of its own properties what it admits."""
    text = (Path(FOLDER or "") / "dist" / "schema.d.ts").read_text("utf-8")
    found = {}
    for name, above, body in _INTERFACE.findall(text):
        parents = [part.strip().removesuffix("Base") for part in above.split(",")]
        own = {key: set(kinds.split(" | ")) for key, kinds in _PROPERTY.findall(body)}
        # A type stands there as what all below it share and as itself; one without types below only as itself.
        known = found.get(name, ((), {}))
        found[name] = (known[0] + tuple(p for p in parents if p != name), known[1] | own)
    return found


def lineage(kind: str) -> Iterator[str]:
    yield kind
    for parent in vocabulary().get(kind, ((), {}))[0]:
        yield from lineage(parent)


def admitted(kind: str, key: str) -> set[str] | None:
    return next((known for k in lineage(kind) if k in vocabulary() if (known := vocabulary()[k][1].get(key))), None)


def faults(node: dict[str, Any], path: str = "") -> Iterator[str]:
    kind = node["@type"]
    if kind not in vocabulary():
        yield f"{path}: no type {kind}"
        return
    for key, value in node.items():
        if key.startswith("@"):
            continue
        kinds = admitted(kind, key)
        if kinds is None:
            yield f"{path}: {kind} has no {key}"
            continue
        for item in value if isinstance(value, list) else [value]:
            yield from _faults_of_value(item, kinds, f"{path}/{key}")


def _faults_of_value(value: Any, kinds: set[str], path: str) -> Iterator[str]:
    if not isinstance(value, dict):
        if not kinds & _DATA:
            yield f"{path}: a text, where only {sorted(kinds)} may stand"
    elif "@type" not in value:
        if "IdReference" not in kinds:
            yield f"{path}: a reference, where only {sorted(kinds)} may stand"
    elif not kinds & set(lineage(value["@type"])):
        yield f"{path}: {value['@type']}, where only {sorted(kinds)} may stand"
    else:
        yield from faults(value, path)


def test_the_vocabulary_was_read() -> None:
    assert len(vocabulary()) > 500
    assert "CreativeWork" in set(lineage("Article"))
    assert admitted("Article", "headline") == {"Text"}
    assert list(faults({"@type": "Article", "breadcrumb": "x"})) == [": Article has no breadcrumb"]
    assert list(faults({"@type": "Sitting"})) == [": no type Sitting"]


def test_every_page_speaks_in_the_words_of_the_vocabulary() -> None:
    site = trees(edition(public_edition(journal()), PUBLIC))
    kinds = set()
    for name, tree in site.items():
        block = json.loads(one(tree, "script[@type='application/ld+json']").text)
        assert block["@context"] == "https://schema.org"
        for node in block["@graph"]:
            kinds.add(node["@type"])
            assert list(faults(node)) == [], name
    assert {"WebPage", "WebSite", "Product", "ImageGallery", "CollectionPage", "AboutPage"} <= kinds
