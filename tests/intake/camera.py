"""A camera for the tests: photographs that say when they were taken, and cards that hold them."""

from __future__ import annotations

import hashlib
import json
import os
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result
from PIL import Image
from pillow_heif import register_heif_opener

from journalgen.command import main
from tests.journals import SETTINGS, write_journal
from tests.pictures.samples import noise

register_heif_opener()

FORMATS = {
    ".jpg": "JPEG", ".jpeg": "JPEG", ".png": "PNG", ".tif": "TIFF", ".webp": "WEBP", ".avif": "AVIF", ".heic": "HEIF",
}  # fmt: skip
EXIF, GPS = 0x8769, 0x8825


def exif_of(
    original: str | None = None,
    *,
    offset: str | None = None,
    fraction: str | None = None,
    digitized: str | None = None,
    changed: str | None = None,
    gps: tuple[str, tuple[float, float, float]] | None = None,
) -> Image.Exif:
    """The tags of one photograph, as a camera writes them."""
    exif = Image.Exif()
    exif[0x010E] = "made for a test"
    exif.update({0x0132: changed} if changed else {})
    told = {0x9003: original, 0x9011: offset, 0x9291: fraction, 0x9004: digitized}
    exif.get_ifd(EXIF).update({tag: value for tag, value in told.items() if value is not None})
    if gps:
        exif.get_ifd(GPS).update({29: gps[0], 7: gps[1]})
    return exif


def photograph(file: Path, original: str | None = None, *, seed: int = 1, size: int = 48, **told: Any) -> Path:
    """A photograph of the format that its ending says; another `seed` is another photograph."""
    file.parent.mkdir(parents=True, exist_ok=True)
    out = BytesIO()
    exif = exif_of(original, **told).tobytes()
    noise(size, size, seed).save(out, FORMATS[file.suffix.lower()], exif=exif)
    file.write_bytes(out.getvalue())
    return file


def file_time(file: Path, when: datetime) -> Path:
    """Sets a file's time of change."""
    os.utime(file, (when.timestamp(), when.timestamp()))
    return file


def journal_at(folder: Path, entries: dict[str, str] | None = None, zone: str = "Europe/London") -> Path:
    """A journal in this time zone, with entries by their names without the folder."""
    files = {f"entries/{name}": text for name, text in (entries or {}).items()}
    return write_journal(folder, files, SETTINGS.replace("Europe/London", zone))


def intake(journal: Path, *args: object) -> Result:
    """The command, with the journal named."""
    return CliRunner().invoke(main, ["intake", "--journal", str(journal), *map(str, args)], catch_exceptions=False)


def inspect(journal: Path) -> list[dict[str, Any]]:
    """The problems of the journal."""
    result = CliRunner().invoke(main, ["inspect", str(journal), "--json"], catch_exceptions=False)
    problems: list[dict[str, Any]] = json.loads(result.stdout)["problems"]
    return problems


def digests(folder: Path) -> dict[str, str]:
    """Every file below a folder, hidden ones too, with its SHA-256."""
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def photos_of(journal: Path) -> dict[str, str]:
    """What lies in photos/, hidden files too."""
    return digests(journal / "photos")


def entry_text(journal: Path, name: str) -> str:
    return (journal / "entries" / name).read_text(encoding="utf-8")
