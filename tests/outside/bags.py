"""Bags for the tests: the command, a small journal, foreign bags, and what a folder holds."""

from __future__ import annotations

import hashlib
import zipfile
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from journalgen.command import main
from journalgen.outside.bag.checking import check_bag
from tests.intake.camera import photograph
from tests.journals import write_journal

ENTRY = """
    ---
    title: First coat
    parts: front wheel
    hours: 2
    bought: [{part: front wheel, price: 12.50, from: a secret seller}]
    photos: [{file: wheel.jpg, part: front wheel, shows: before}]
    ---
    Scale came off.
    """
PRIVATE = "---\ntitle: Nobody's business\nprivate: yes\nhours: 1\n---\nThe price was whispered.\n"
FILES = {
    "entries/2024/2024-03-09-first-coat.md": ENTRY,
    "entries/2024/2024-03-16-quiet.md": PRIVATE,
    "register/parts.yaml": "front wheel:\n  stored: under the bench\n",
}


def small_journal(folder: Path) -> Path:
    """A journal with two entries, a register and a photograph."""
    write_journal(folder, FILES)
    photograph(folder / "photos" / "wheel.jpg", "2024:03:09 19:15:02", gps=("2024:03:09", (19.0, 15.0, 2.0)))
    return folder


def preserve(*args: object) -> Result:
    """The command."""
    return CliRunner().invoke(main, ["preserve", *map(str, args)], catch_exceptions=False)


def check(bag: Path, *args: object) -> Result:
    """The command that checks a bag."""
    return preserve("--check", bag, *args)


def findings(bag: Path) -> dict[str, str]:
    """What is found wrong with a bag: the kind, by path; of several of a path the last."""
    return {finding.path: finding.kind for finding in check_bag(bag).findings}


def contents(folder: Path) -> dict[str, bytes]:
    """Every file below a folder."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def write_bag(
    folder: Path,
    payload: Mapping[str, bytes],
    *,
    version: str = "1.0",
    algorithms: Iterable[str] = ("sha256",),
    tags: Mapping[str, bytes] | None = None,
    listed: Mapping[str, bytes] | None = None,
    encoding: str = "UTF-8",
) -> Path:
    """A bag by hand. `listed` names what the manifests list, in their own spelling, where that is not the payload."""
    files = {
        "bagit.txt": f"BagIt-Version: {version}\nTag-File-Character-Encoding: {encoding}\n".encode(),
        **{f"data/{name}": data for name, data in payload.items()},
        **(tags or {}),
    }
    for algorithm in algorithms:
        rows = listed if listed is not None else {f"data/{name}": data for name, data in payload.items()}
        text = "".join(f"{hashlib.new(algorithm, data).hexdigest()}  {name}\n" for name, data in rows.items())
        files[f"manifest-{algorithm}.txt"] = text.encode(encoding)
    (folder / "data").mkdir(parents=True)
    for name, data in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
    return folder


def zipped(folder: Path, target: Path, base: str = "bag/", **options: Any) -> Path:
    """A zip as any program would make it."""
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, **options) as archive:
        for name, data in contents(folder).items():
            archive.writestr(f"{base}{name}", data)
    return target
