"""Small sites and what is needed to send them, for tests of publishing without a journal."""

from __future__ import annotations

import re
import shutil
from collections.abc import Mapping
from pathlib import Path

from click.testing import CliRunner

from journalgen.command import main
from journalgen.house import example_folder
from journalgen.outside.publishing.digests import read_site
from journalgen.outside.publishing.manifest import NAME
from journalgen.outside.publishing.opening import open_store
from journalgen.outside.publishing.plan import Plan
from journalgen.outside.publishing.run import carry_out, look
from journalgen.outside.publishing.sending import Patience, Progress, Sent
from journalgen.outside.publishing.store import Store
from journalgen.reading.targets import parse_target
from tests.site.matters import ON

SITE = {
    "index.html": b'<a href="sessions/a.html">a</a> <a href="pairs.html">p</a>',
    "pairs.html": b'<a href="index.html">i</a>',
    "sessions/a.html": b'<img src="../pictures/0123456789abcdef-480.jpg">',
    "pictures/0123456789abcdef-480.jpg": b"\xff\xd8" + bytes(range(256)) * 2000,
    "enamel.css": b"a{}",
    "feed.atom": b"<feed/>",
}


def write_site(folder: Path, files: Mapping[str, bytes]) -> Path:
    """A site's folder of exactly these files."""
    for old in sorted(folder.rglob("*"), reverse=True):
        old.unlink() if old.is_file() else old.rmdir()
    for name, contents in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(contents)
    return folder


def copy_example(home: Path, url: str, **more: str) -> Path:
    """The example journal, with what is remembered of it, and the one target `far`."""
    journal = home / "example"
    shutil.copytree(example_folder(), journal, ignore=shutil.ignore_patterns("web"))
    rows = "".join(f'{key} = "{value}"\n' for key, value in {"url": url, **more}.items())
    with (journal / "journal.toml").open("a", encoding="utf-8") as settings:
        settings.write(f"\n[targets.far]\n{rows}")
    return journal


def publish_twice(journal: Path) -> dict[str, bytes]:
    """Publishes by the command, twice, and gives the site; the second time nothing may be sent."""
    for said in (r"To .*: [1-9]\d* to send, 0 to change", r" has all of it already\."):
        done = CliRunner().invoke(main, ["publish", "far", str(journal), "--on", ON.isoformat(), "--yes"])
        assert done.exit_code == 0, done.output
        assert re.search(said, done.stderr), done.stderr
    assert "files sent" not in done.stderr
    return read_tree(journal / "web" / "public")


def read_tree(folder: Path) -> dict[str, bytes]:
    """Every file below a folder."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def without_manifest(files: Mapping[str, bytes]) -> dict[str, bytes]:
    return {name: contents for name, contents in files.items() if name != NAME}


class Publisher:
    """Publishes a site that lies in a folder, as the command does, and remembers what was said."""

    def __init__(self, home: Path, url: str, **more: str) -> None:
        self.journal = home / "journal"
        self.site = home / "site"
        for folder in (self.journal, self.site):
            folder.mkdir(parents=True, exist_ok=True)
        self.target = parse_target("web", {"url": url, **more})
        self.said: list[str] = []
        self.waited: list[float] = []
        self.sent = Sent()
        self.store: Store = open_store(self.target, self.journal)

    def look(self, *, replace: bool = False) -> Plan:
        try:
            return look(self._fresh(), self._files(), self.patience, replace=replace).plan
        finally:
            self.store.drop()

    def publish(
        self, files: Mapping[str, bytes] | None = None, *, replace: bool = False,
        progress: Progress = lambda done, total: None,
    ) -> Plan:  # fmt: skip
        if files is not None:
            write_site(self.site, files)
        self.sent = Sent()
        store = self._fresh()
        try:
            found = look(store, self._files(), self.patience, replace=replace)
            carry_out(store, self.site, found, self.journal, progress, self.patience, self.sent)
        finally:
            store.drop()
        return found.plan

    def _fresh(self) -> Store:
        self.store = open_store(self.target, self.journal)
        return self.store

    def _files(self):  # type: ignore[no-untyped-def]
        return read_site(self.site, self.journal / ".journalgen")

    @property
    def patience(self) -> Patience:
        return Patience(self.waited.append, lambda: 0.0, self.said.append)
