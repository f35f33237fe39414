"""The laws of the plan, tried by sending random sites in random order of mishaps to a target that is watched."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Collection, Mapping
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.outside.publishing import manifest as manifests
from journalgen.outside.publishing.digests import read_site
from journalgen.outside.publishing.faults import CannotPublish
from journalgen.outside.publishing.manifest import Damaged, Manifest, parse, spell
from journalgen.outside.publishing.plan import ENTRANCES, Local, folders_to_look_into, plan
from journalgen.outside.publishing.run import carry_out, look
from journalgen.outside.publishing.sending import Patience, Sent
from journalgen.outside.publishing.store import Heard, Store
from journalgen.reading.targets import parse_target
from tests.outside.sites import write_site

NAMES = (
    "index.html", "feed.atom", "404.html", "a.html", "b.html", "parts/c.html", "parts/d.html", "style.css",
    "pictures/1-480.jpg", "pictures/2-480.jpg",
)  # fmt: skip


class Killed(BaseException):
    """The process ends here."""


class Watched(Store):
    """A target in memory; `seen` is called after everything that happens to it, which may be the last."""

    def __init__(self, held: dict[str, bytes], seen: Callable[[], None]) -> None:
        super().__init__(parse_target("web", {"url": "/nowhere"}))
        self.held = held
        self._seen = seen

    def _connect(self) -> Any:
        raise AssertionError("nothing of this target is anywhere to connect to")

    def prepare(self) -> None: ...

    def read(self, name: str) -> bytes | None:
        return self.held.get(name)

    def names_in(self, folder: str) -> set[str]:
        return {name for name in self.held if name.rpartition("/")[0] == folder}

    def entries(self) -> set[str]:
        return {name.partition("/")[0] for name in self.held}

    def put(self, name: str, source: Path, size: int, heard: Heard) -> None:
        self.write(name, source.read_bytes())

    def write(self, name: str, data: bytes) -> None:
        self.held[name] = data
        self._seen()

    def remove(self, name: str) -> None:
        self.held.pop(name, None)
        self._seen()

    def remove_folder(self, folder: str) -> None: ...


@st.composite
def sites(draw: st.DrawFn) -> dict[str, bytes]:
    """A site whose every link leads somewhere: each file holds the names that it links to, and a word of its own."""
    names = ["index.html", *draw(st.lists(st.sampled_from(NAMES[1:]), unique=True))]
    pages = [name for name in names if not name.startswith("pictures/")]
    site = {name: b"picture" for name in names if name not in pages}
    for name in pages:
        links = draw(st.lists(st.sampled_from(names), unique=True, max_size=4))
        site[name] = "\n".join([draw(st.sampled_from("xyz")), *links]).encode()
    return site


def links_of(data: bytes) -> list[str]:
    return data.decode().split("\n")[1:]


def known_entrances(held: Mapping[str, bytes]) -> set[str]:
    """What people come in by: the first page, and what they may have kept an address of."""
    kept = parse(held[manifests.NAME]).linked if manifests.NAME in held else frozenset()
    return {"index.html", *(name for name in ENTRANCES if name in kept)}


def lost_links(held: Mapping[str, bytes], entrances: Collection[str]) -> list[str]:
    """Links that lead nowhere, of what can be reached from an entrance."""
    todo = [name for name in entrances if name in held]
    reached = set(todo)
    lost = []
    while todo:
        name = todo.pop()
        for link in links_of(held[name]):
            if link not in held:
                lost.append(f"{name} -> {link}")
            elif link not in reached:
                reached.add(link)
                todo.append(link)
    return lost


@given(
    st.lists(st.tuples(sites(), st.integers(0, 30)), min_size=1, max_size=4),
    st.dictionaries(st.sampled_from(["mine.txt", "parts/mine.txt"]), st.just(b"mine")),
)
def test_wherever_it_breaks_off_every_link_leads_somewhere_and_in_the_end_all_is_there(
    tmp_path_factory: pytest.TempPathFactory, runs: list[tuple[dict[str, bytes], int]], others: dict[str, bytes]
) -> None:
    home = tmp_path_factory.mktemp("home")
    held: dict[str, bytes] = dict(others)
    left, entrances = 0, known_entrances(held)

    def seen() -> None:
        nonlocal left
        assert not lost_links(held, entrances)
        assert others.items() <= held.items()
        left -= 1
        if left < 0:
            raise Killed

    def publish(site: dict[str, bytes], until: int) -> None:
        nonlocal left, entrances
        left, entrances = until, known_entrances(held) & site.keys()  # who comes in by another finds nothing soon
        folder = write_site(home, site)
        store, patience = Watched(held, seen), Patience(lambda seconds: None)
        files = read_site(folder, home.with_suffix(".none"))
        found = look(store, files, patience, replace=manifests.NAME not in held)
        carry_out(store, folder, found, home.with_suffix(".journal"), lambda done, total: None, patience, Sent())

    for site, until in runs:
        try:
            publish(site, until)
        except Killed:
            continue
    last = runs[-1][0]
    publish(last, 1000)
    there = {name: data for name, data in held.items() if not name.startswith("journalgen-publish")}
    assert there == {**last, **others}
    assert parse(held[manifests.NAME]) == Manifest({name: digest(data) for name, data in last.items()})
    publish(last, 0)  # with nothing to do, nothing is written


def digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def local(text: str) -> Local:
    return Local(digest(text.encode()), len(text))


def test_what_is_new_goes_first_the_entrances_of_what_changed_after_it_and_removals_last() -> None:
    there = Manifest(dict.fromkeys(("index.html", "a.html", "feed.atom", "gone.html", "pictures/gone-480.jpg"), "0"))
    site = {name: local(name) for name in ("index.html", "a.html", "feed.atom", "new.html", "pictures/new-480.jpg")}
    assert [(step.do, step.name) for step in plan(site, there).steps] == [
        ("send", "pictures/new-480.jpg"),
        ("send", "new.html"),
        ("change", "a.html"),
        ("change", "feed.atom"),
        ("change", "index.html"),
        ("remove", "gone.html"),
        ("remove", "pictures/gone-480.jpg"),
    ]


def test_a_file_of_somebody_else_under_a_name_that_is_needed_is_told_of() -> None:
    site = {"index.html": local("i"), "a/b.html": local("b")}
    there = Manifest({"index.html": "0"})
    assert folders_to_look_into(site, there) == ("a",)
    assert plan(site, there, {"a/b.html", "a/mine.txt", "index.html"}).taken == ("a/b.html",)


@given(st.dictionaries(st.sampled_from(NAMES), st.text("0123456789abcdef", min_size=64, max_size=64)),
       st.frozensets(st.sampled_from(NAMES)), st.frozensets(st.sampled_from(NAMES)))  # fmt: skip
def test_a_manifest_is_read_as_it_was_written(
    files: dict[str, str], one: frozenset[str], other: frozenset[str]
) -> None:
    manifest = Manifest(files, one, other)
    assert parse(spell(manifest)) == manifest
    with pytest.raises(Damaged):
        parse(spell(manifest)[:-3])


@pytest.mark.parametrize(
    "data",
    [
        b"", b"{}", b"\xff", b"[]", b'{"format": "journalgen-published/2", "files": {}}',
        b'{"format": "journalgen-published/1", "files": {"../x": "0"}}',
        b'{"format": "journalgen-published/1", "files": {"/etc/x": "0"}}',
        b'{"format": "journalgen-published/1", "files": {}, "changing": ["a/../../b"]}',
        b'{"format": "journalgen-published/1", "files": {}, "unlinked": ["a\\\\b"]}',
    ],
)  # fmt: skip
def test_what_is_no_manifest_of_ours_or_leads_out_of_the_target_is_refused(data: bytes) -> None:
    with pytest.raises(Damaged):
        parse(data)


def test_one_that_another_run_changed_meanwhile_is_not_published_over(tmp_path: Path) -> None:
    held: dict[str, bytes] = {}
    store, patience = Watched(held, lambda: None), Patience(lambda seconds: None)
    folder = write_site(tmp_path / "site", {"index.html": b"x"})
    found = look(store, read_site(folder, tmp_path), patience, replace=False)
    held[manifests.NAME] = spell(Manifest())
    with pytest.raises(CannotPublish, match="ended a moment ago"):
        carry_out(store, folder, found, tmp_path, lambda done, total: None, patience, Sent())
    assert set(held) == {manifests.NAME}
