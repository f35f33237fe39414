"""Journals of any size for the bench: what a patient restorer might have written, without end."""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Final

from PIL import Image

from journalgen.house import example_folder

ON: Final = "2040-01-01"
FIRST: Final = date(2020, 1, 4)

SETTINGS: Final = """\
title = "A journal for the bench"
home_currency = "GBP"
locale = "en_GB"
time_zone = "Europe/London"
"""
MATERIALS: Final = """\
zinc primer: {kind: coating, solids: 52 %, film: 40 um, loss: 30 %, recoat: 4 h .. 7 d, hazards: [H226, H315, H410]}
green enamel: {kind: coating, solids: 48 %, film: 35 um, loss: 30 %, recoat: 16 h .. 14 d, hazards: [H226]}
phosphoric cleaner: {kind: acid, hazards: [H314]}
320 grit paper: {kind: abrasive}
cutting oil: {kind: oil}
"""
_STEPS: Final = ("degrease", "strip", "wire brush", "etch", "prime", "undercoat", "top coat", "trial fit", "fit")
_USED: Final = ("zinc primer 80 mL", "green enamel 60 mL", "phosphoric cleaner 50 mL", "320 grit paper 2 sheets")
_BOUGHT: Final = (
    "{material: zinc primer, amount: 1 L, price: 31.90 GBP}",
    "{material: 320 grit paper, amount: 25 sheets, price: 9.40 GBP}",
    "{material: phosphoric cleaner, amount: 1 L, price: 14 GBP, postage: 4 GBP}",
    "{kind: tool, what: a wire wheel, price: 18.50 EUR, postage: 6 EUR}",
)
_WORDS: Final[list[str]] = str.split(
    "the bolt came free after two days of oil and patience but its thread was past saving so another was cut from "
    "bar between centres while the first coat dried under the lamp and nobody spoke of the scale near the hub "
    "where water had stood for thirty years until nothing was left of the flange that could be called sound metal"
)


@dataclass(frozen=True, slots=True)
class Size:
    """How much there is of a journal."""

    sessions: int
    parts: int = 300
    photographs: int = 0
    characters: int = 1500  # of a body


def write_journal(folder: Path, size: Size, photograph: bytes | None = None) -> None:
    """Writes a journal of a size. Its photographs hold the one that is given, each with other bytes."""
    chance = random.Random(size.sessions)
    parts = [f"part {n:03}" for n in range(size.parts)]
    (folder / "register").mkdir(parents=True)
    (folder / "journal.toml").write_text(SETTINGS, encoding="utf-8")
    rows = (
        f"{name}: {{assembly: assembly {n % 20:02}, area: 0.{n % 7 + 1} m2, route: painted steel}}\n"
        for n, name in enumerate(parts)
    )
    (folder / "register" / "parts.yaml").write_text("".join(rows), encoding="utf-8")
    (folder / "register" / "materials.yaml").write_text(MATERIALS, encoding="utf-8")
    shares = [size.photographs * (n + 1) // size.sessions - size.photographs * n // size.sessions
              for n in range(size.sessions)]  # fmt: skip
    (folder / "photos").mkdir()
    for n, photos in enumerate(shares):
        day = FIRST + timedelta(days=n * 3650 // max(size.sessions, 1000))
        path = folder / "entries" / str(day.year) / f"{day}-evening-{n:04}.md"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(_entry(chance, n, day, parts, photos, size.characters), encoding="utf-8")
        for k in range(photos if photograph else 0):
            (folder / "photos" / f"{n:04}-{k:02}.jpg").write_bytes(_another(photograph or b"", f"{n}-{k}"))


def _entry(chance: random.Random, n: int, day: date, parts: list[str], photos: int, characters: int) -> str:
    worked = chance.sample(parts, 2)
    lines = [
        "---",
        f"date: {day}",
        f"title: Evening {n:04}",
        f"hours: {chance.randrange(60, 240, 5)} min",
        f"parts: [{', '.join(worked)}]",
        "work:",
        *(f"  - {{part: {part}, step: {chance.choice(_STEPS)}, hours: 25 min, note: as far as it went}}"
          for part in worked),
        f"materials: {chance.choice(_USED)}",
    ]  # fmt: skip
    if n % 4 == 0:
        lines += ["bought:", f"  - {chance.choice(_BOUGHT)}"]
    if n % 10 == 0:
        value = f"{34.9 + chance.random() / 10:.3f} mm"
        lines += ["measures:", f"  - {{part: {worked[0]}, what: diameter, value: {value}, limits: 34.95 .. 35 mm}}"]
    if photos:
        lines.append("photos:")
        shows = ("before", "during", "after")
        lines += [
            f"  - {{file: {n:04}-{k:02}.jpg, part: {worked[k % 2]}, shows: {shows[k % 3]}, caption: from side {k}}}"
            for k in range(photos)
        ]
    return "\n".join([*lines, "---", _body(chance, worked, characters), ""])


def _body(chance: random.Random, worked: list[str], characters: int) -> str:
    """Paragraphs with the marks that people use: links, stress, a list."""
    pieces: list[str] = []
    length = 0
    while length < characters:
        words = chance.choices(_WORDS, k=60)
        words[7] = f"**{words[7]}**"
        words[20] = f"[{worked[0]}](part:{worked[0].replace(' ', '-')})"
        pieces.append(" ".join(words).capitalize() + ".")
        if len(pieces) % 3 == 0:
            pieces.append("\n".join(f"- {' '.join(chance.choices(_WORDS, k=6))}" for _ in range(3)))
        length = sum(map(len, pieces))
    return "\n\n".join(pieces)


def _another(jpeg: bytes, remark: str) -> bytes:
    """The same picture with a remark in it, so that it counts as another."""
    text = remark.encode()
    return jpeg[:2] + b"\xff\xfe" + (len(text) + 2).to_bytes(2, "big") + text + jpeg[2:]


def small_photograph() -> bytes:
    """A photograph of 320 pixels, for journals whose number of photographs is the matter."""
    return _jpeg(_example_photograph(0).resize((320, 240)))


def write_photographs(folder: Path, count: int) -> None:
    """Photographs of twelve megapixels, no two alike: those of the example, enlarged, turned and cut."""
    folder.mkdir(parents=True, exist_ok=True)
    for n in range(count):
        photo = _example_photograph(n)
        cut = n % 50
        photo = photo.crop((cut, cut, photo.width - cut, photo.height - cut)).resize((4000, 3000))
        (folder / f"{n:03}.jpg").write_bytes(_jpeg(photo))


def _example_photograph(n: int) -> Image.Image:
    files = sorted((example_folder() / "photos").rglob("*.jpg"))
    with Image.open(files[n % len(files)]) as photo:
        return photo.convert("RGB")


def _jpeg(photo: Image.Image) -> bytes:
    from io import BytesIO

    out = BytesIO()
    photo.save(out, "JPEG", quality=90)
    return out.getvalue()
