"""Looks through every file of a site that is about to be published, and gathers what it would tell."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from pathlib import Path
from typing import Final

from msgspec import Struct, field

from journalgen import keeping
from journalgen.outside.publishing.plan import Local
from journalgen.outside.revealing.hidden import Search, Secrets, gather_secrets, spell
from journalgen.outside.revealing.links import find_broken
from journalgen.outside.revealing.model import Finding, Hit
from journalgen.outside.revealing.patterns import find_patterns
from journalgen.outside.revealing.pictures import ENDINGS, look_into
from journalgen.outside.revealing.places import Sources
from journalgen.outside.revealing.sizes import is_oversize
from journalgen.outside.revealing.texts import holds_words, is_page, read_links, read_words
from journalgen.plain_data import digest
from journalgen.records import Journal

KEPT: Final = "revealed"
"""The file in the journal's cache."""


class _Inside(Struct, frozen=True):
    """What one file holds."""

    hits: tuple[Hit, ...] = ()
    links: frozenset[str] = frozenset()


class _Known(Struct):
    """What an earlier inspection found, by what the files hold."""

    secrets: bytes = b""
    files: dict[str, _Inside] = field(default_factory=dict)


def inspect_site(
    folder: Path,
    site: Mapping[str, Local],
    made: Collection[str],
    journal: Journal,
    home: Path,
    progress: Callable[[int, int], None] = lambda done, total: None,
) -> tuple[Finding, ...]:
    """What a site would tell, what stops it first.

    `made` are the files that the program made itself; `home` is the journal's folder. Raises OSError.
    """
    secrets = gather_secrets(journal)
    cache = home / keeping.CACHE / KEPT
    known = _look_through(folder, site, secrets, keeping.load(cache, _Known) or _Known(), progress)
    keeping.save(cache, known)
    hits: dict[Hit, list[str]] = {}
    for name, local in site.items():
        for hit in (*_hits_of(name, local, known.files, site, made), *_hits_of_name(name, secrets)):
            hits.setdefault(hit, []).append(name)
    private = [session.place.file for session in journal.sessions if session.private]
    return tuple(sorted(_findings(hits, Sources(home, private)), key=lambda f: (not f.stops, f.kind, f.what)))


def _look_through(
    folder: Path,
    site: Mapping[str, Local],
    secrets: Secrets,
    before: _Known,
    progress: Callable[[int, int], None],
) -> _Known:
    """Every file, each only once for what it holds."""
    mark = digest(*(line.encode() for line in spell(secrets)))
    old = before.files if before.secrets == mark else {}
    known, search = _Known(mark), Search(secrets)
    for n, (name, local) in enumerate(site.items()):
        progress(n, len(site))
        key = f"{local.digest} {name.rpartition('.')[2].lower()}"
        if key not in known.files:
            known.files[key] = old[key] if key in old else _look_inside(name, folder / name, search)
    return known


def _look_inside(name: str, file: Path, search: Search) -> _Inside:
    if name.lower().endswith(ENDINGS):
        return _Inside(tuple(look_into(file.read_bytes())))
    if not holds_words(name):
        return _Inside()
    data = file.read_bytes()
    words = read_words(name, data)
    amounts = not name.lower().endswith(".js")  # a search index is full of letters and figures that mean nothing
    hits = sorted({*find_patterns(words), *search.find(words, amounts=amounts)})
    return _Inside(tuple(hits), read_links(data) if is_page(name) else frozenset())


def _hits_of(
    name: str, local: Local, known: Mapping[str, _Inside], site: Mapping[str, Local], made: Collection[str]
) -> Iterator[Hit]:
    inside = known[f"{local.digest} {name.rpartition('.')[2].lower()}"]
    for hit in inside.hits:
        yield Hit(hit.kind, f"{name}: {hit.what}", hit.stops) if hit.kind in _OF_A_FILE else hit
    for link in find_broken(name, inside.links, site):
        yield Hit("broken-link", link)
    if is_oversize(name, local.size):
        yield Hit("oversize", f"{name}: {local.size / 1e6:.1f} MB")
    if name not in made:
        yield Hit("added", name)


_OF_A_FILE: Final = ("picture-position", "picture-identity", "camera-data", "not-looked-into")


def _hits_of_name(name: str, secrets: Secrets) -> Iterator[Hit]:
    """Names of files are read, too."""
    for secret in secrets.words:
        if secret.kind == "private-session" and secret.text in name:
            yield Hit(secret.kind, secret.text, True)


def _findings(hits: Mapping[Hit, Iterable[str]], sources: Sources) -> Iterator[Finding]:
    for hit, files in hits.items():
        places = () if hit.kind in _NOT_WRITTEN else sources.find(hit.what)
        yield Finding(hit.kind, hit.what, hit.stops, tuple(dict.fromkeys(files)), places)


_NOT_WRITTEN: Final = (*_OF_A_FILE, "broken-link", "oversize", "added")
