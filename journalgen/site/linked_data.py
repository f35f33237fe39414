"""What a public page says to machines: its own facts in the words of schema.org, as JSON-LD.

Addresses are relative to the page where the journal does not say where it lives; JSON-LD resolves them.
Types and properties are those of schema.org; `tests/against_published` checks the names.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from markupsafe import Markup

from journalgen.ledgers.pairs import Shot
from journalgen.pictures.model import Picture
from journalgen.site.desk import Desk, Link

Facts = Mapping[str, Any]

_CONTEXT: Final = "https://schema.org"
"""A name that the vocabulary gives; nothing is asked of that place."""

HOME: Final = "index.html"
_TYPES: Final = {".json": "application/json", ".csv": "text/csv"}


def write_script(facts: Facts) -> Markup:
    """The content of a data block; no text of the journal can end the element that holds it."""
    text = json.dumps(facts, ensure_ascii=False, separators=(",", ":"))
    return Markup(text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e"))  # noqa: S704


def describe_page(desk: Desk, file: str, kind: str, own: Facts, trail: Sequence[Link]) -> Facts:
    """The graph of one page: the page itself with its own facts, the site it belongs to, and the way to it."""
    page = {
        "@type": kind,
        "@id": _address(desk, file),
        "url": _address(desk, file),
        "inLanguage": desk.formats.language,
        "isPartOf": {"@id": _site_id(desk)},
        "dateModified": desk.matter.figures.on.isoformat(),
        **own,
    }
    if trail:
        page["breadcrumb"] = _trail(desk, trail, file, str(own.get("name", "")))
    whole = file == HOME
    return {"@context": _CONTEXT, "@graph": [page, _site(desk), _whole_machine(desk) if whole else _machine(desk)]}


def _site(desk: Desk) -> Facts:
    """The site, and whose record it is."""
    settings = desk.matter.journal.settings
    return {
        "@type": "WebSite",
        "@id": _site_id(desk),
        "url": _address(desk, HOME),
        "name": settings.title,
        "inLanguage": desk.formats.language,
        "about": {"@id": machine_id(desk)},
    }


def _whole_machine(desk: Desk) -> Facts:
    """The machine. Its number is left to the page, where the edition decides how much of it is shown."""
    machine = desk.matter.journal.settings.machine
    return _said({
        **_machine(desk),
        "manufacturer": {"@type": "Organization", "name": machine.maker} if machine.maker else None,
        "productionDate": machine.year,
        "description": machine.note,
    })  # fmt: skip


def _machine(desk: Desk) -> Facts:
    """Enough to tell which machine is meant; the page that it opens with says the rest."""
    settings = desk.matter.journal.settings
    return {"@type": "Product", "@id": machine_id(desk), "name": settings.machine.name or settings.title}


def describe_data(desk: Desk, name: str, description: str, files: Iterable[str]) -> Facts:
    """The record as a set of data that can be taken away."""
    figures = desk.matter.figures
    span = f"{figures.first_day}/{figures.last_day}" if figures.count else None
    return _said({
        "@type": "Dataset",
        "name": name,
        "description": description,
        "temporalCoverage": span,
        "distribution": [
            {
                "@type": "DataDownload",
                "name": file.removeprefix("data/"),
                "contentUrl": _address(desk, file),
                "encodingFormat": _TYPES[file[file.rindex(".") :]],
            }
            for file in files
        ],
    })  # fmt: skip


def describe_picture(desk: Desk, shot: Shot) -> Facts | None:
    """A photograph by its largest picture; None where there is only a gap."""
    found = desk.matter.pictures.get(shot.photo.file)
    if not isinstance(found, Picture):
        return None
    largest = found.variants[-1]
    return _said({
        "@type": "ImageObject",
        "contentUrl": _address(desk, f"pictures/{largest.jpeg}"),
        "caption": shot.photo.caption,
        "dateCreated": shot.session.day.isoformat(),
        "encodingFormat": "image/jpeg",
    })  # fmt: skip


def describe_pictures(desk: Desk, shots: Iterable[Shot]) -> list[Facts]:
    """All photographs of which there are pictures."""
    return [facts for shot in shots if (facts := describe_picture(desk, shot))]


def thing(link: Link) -> Facts:
    """Something named on the page, with its own page where it has one."""
    return _said({"@type": "Thing", "name": link.text, "url": link.href})


def _trail(desk: Desk, trail: Sequence[Link], file: str, name: str) -> Facts:
    steps = [(link.text, link.href) for link in trail] + [(name, _address(desk, file))]  # the page itself is the last
    return {
        "@type": "BreadcrumbList",
        "itemListElement": [
            _said({"@type": "ListItem", "position": n, "name": text, "item": {"@id": href} if href else None})
            for n, (text, href) in enumerate(steps, start=1)
        ],
    }


def machine_id(desk: Desk) -> str:
    """What names the machine in every page's graph."""
    return _address(desk, HOME) + "#machine"


def _site_id(desk: Desk) -> str:
    return _address(desk, HOME) + "#site"


def _address(desk: Desk, file: str) -> str:
    return desk.absolute(file) or desk.root + file


def _said(facts: Facts) -> dict[str, Any]:
    return {key: value for key, value in facts.items() if value not in (None, "", [], {})}
