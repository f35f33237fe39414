"""A journal with a mark of its own in each thing that strangers must not learn, and what is made of it for them."""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any, Final

import pikepdf
import pypdfium2
import pytest
from click.testing import CliRunner
from PIL import Image

from journalgen.command import main
from tests.journals import write_journal
from tests.pictures.samples import noise, swapped_profile
from tests.sharing import made_once

ON: Final = "2024-12-31"
QUIET_DAY: Final = "2023-07-19"  # of the private session, and of nothing else
SECRET_TIME: Final = 1_321_009_871  # 2011-11-11 11:11:11 UTC, when every file of the journal was changed
HIDDEN: Final = (200, 120, 520, 360)  # left, top, right, bottom
SEED: Final = 77  # of what is to be seen there

_LETTERS: Final = "bcdfghjklmnpqrstvwxz"
_marks: dict[str, str] = {}


def mark(what: str) -> str:
    """Twelve letters that stand nowhere else; the same for the same thing."""
    _marks[what] = "".join(_LETTERS[octet % 20] for octet in hashlib.sha256(what.encode()).digest()[:12])
    return _marks[what]


def _m(what: str) -> str:
    return mark(f"private {what}")


def _h(what: str) -> str:
    return mark(f"hidden {what}")


def _s(what: str) -> str:
    return mark(f"shown {what}")


SETTINGS: Final = f"""
title = "Trolley {_s("title")}"
home_currency = "GBP"
time_zone = "Europe/London"
address = "https://trolley.example/log"
[machine]
name = "Trolley {_s("machine")}"
identity_number = "{_h("identity number")}-31"
[rates]
ITL = "0.00041977"
[editions.public]
hide = ["prices", "suppliers", "storage", "numbers", "hours"]
[targets.there]
url = "../there"
[targets.other]
url = "sftp://{mark("unseen user")}@host.example/{mark("unseen folder")}"
"""

_PRIVATE_LINES: Final = f"""
work:
  - {{part: wheel, step: {_s("step")}, hours: 7:37, note: {_s("note")}}}
  - {{part: {_m("work part")}, step: {_m("work step")}, with: [{_m("with")}], result: {_m("result")},
     note: {_m("work note")},
     material: {_m("work material")}, amount: 5 {_m("unit")}, private: yes}}
materials:
  - {{use: {_m("use")}, amount: 5 mL, part: {_m("use part")}, private: yes}}
bought:
  - {{part: wheel, what: {_s("what")}, price: 7137.93, from: {_h("supplier named in an entry")}, arrived: 2024-02-11}}
  - {{part: wheel, price: 81237 ITL, postage: 5311.17, duty: 4127.71, tax: 3931.13, paid: 6119.57,
     from: {_h("supplier")}}}
  - {{part: {_m("bought part")}, what: {_m("what")}, price: 8291.71, from: {_m("seller")},
     note: {_m("bought note")}, private: yes}}
  - {{material: {_m("bought material")}, amount: 1 L, price: 9173.31, private: yes}}
sold:
  - {{part: wheel, what: {_s("sold")}, price: 6733.19, to: {_h("buyer")}}}
  - {{part: {_m("sold part")}, what: {_m("sold")}, price: 5387.41, to: {_m("buyer")},
     note: {_m("sold note")}, private: yes}}
measures:
  - {{part: {_m("measured part")}, what: {_m("measured")}, value: 34.98173 mm,
     note: {_m("measure note")}, private: yes}}
decisions:
  - {{part: {_m("decided part")}, do: make, why: {_m("why")}, private: yes}}
found:
  - {{part: {_m("found part")}, condition: {_m("condition")}, private: yes}}
photos:
  - {{file: {_h("file name")}.jpg, part: wheel, shows: before, caption: {_s("caption")},
     hide: [[{HIDDEN[0]}, {HIDDEN[1]}, {HIDDEN[2] - HIDDEN[0]}, {HIDDEN[3] - HIDDEN[1]}]]}}
  - {{file: {_h("folder")}/wheel.png, part: wheel, shows: after}}
  - {{file: {_m("photo file")}.jpg, part: {_m("photo part")}, caption: {_m("caption")}, private: yes}}
pair:
  - {{part: {_m("pair part")}, before: {_m("photo file")}.jpg, private: yes}}
"""

FILES: Final = {
    "register/parts.yaml": f"""
        wheel:
          number: {_h("part number")}
          stored: {_h("shelf")}
          needs: [{_s("needed")}]
        """,
    "register/suppliers.yaml": f"""
        {_h("supplier")}: {{also called: [{_h("supplier alias")}], place: {_h("place")}, site: "https://{_h("site")}.example/",
          kind: {_h("supplier kind")}, note: {_h("supplier note")}}}
        {_m("supplier")}: {{place: {_m("place")}, site: "https://{_m("site")}.example/",
          note: {_m("supplier note")}, private: yes}}
        """,
    f"entries/{_h('folder of entries')}/2024-03-09-{_h('entry file')}.md": f"""---
date: 2024-03-09
start: 19:47
title: Coat {_s("session")}
hours: 9:41
parts: [wheel]{_PRIVATE_LINES}---
Body {_s("body")}, [that day](session:{QUIET_DAY}), [a piece](part:{_m("linked part")}).

![{_m("alternative text")}](photos/{_m("photo file")}.jpg)

```photos
{_m("photo file")}.jpg
```

```measure
{_m("measured part")}: {_m("measured")}
```
""",
    f"entries/{QUIET_DAY}-{_m('entry file')}.md": f"""---
date: {QUIET_DAY}
start: 18:53
title: {_m("title")}
private: yes
hours: 8:53
parts: [{_m("listed part")}]
materials: {_m("plain use")} 5 mL
photos:
  - {{file: {_m("photo of that day")}.jpg, caption: {_m("caption of that day")}}}
---
{_m("body")}
""",
    f"{_m('stray file')}.txt": _m("stray text"),
}

SHOWN: Final = {what: text for what, text in _marks.items() if what.startswith("shown")}
IN_METADATA: Final = {
    what: mark(f"metadata {what}")
    for what in (
        "description",
        "artist",
        "comment of the user",
        "position",
        "xmp",
        "iptc",
        "comment",
        "profile",
        "tail",
    )
}
SECRETS: Final = {what: text for what, text in _marks.items() if not what.startswith("shown")}
UNSEEN: Final = {
    what: text for what, text in SECRETS.items() if what.startswith(("metadata", "unseen")) or "stray" in what
}
"""What not even the owner's pages show: data of cameras, where the site is sent, files that no entry names."""

FIGURES: Final = (
    "7137.93", "5311.17", "4127.71", "3931.13", "6119.57", "8291.71", "9173.31", "6733.19", "5387.41", "81237",
    "0.00041977", "34.98173", "7 h 37 min", "457", "9:41", "9 h 41 min", "581", "8:53", "8 h 53 min", "533", "19:47",
    "18:53", QUIET_DAY, "19 July 2023", "19 Jul 2023",
)  # fmt: skip
"""Prices, hours and days that are private or hidden."""


def photograph() -> bytes:
    """A JPEG with a mark wherever one can be put, and a pattern where something is to be hidden."""
    image = Image.new("RGB", (1000, 700), (30, 160, 60))
    image.paste(pattern(), HIDDEN)
    exif = Image.Exif()
    exif[0x010E], exif[0x013B] = IN_METADATA["description"], IN_METADATA["artist"]
    exif.get_ifd(0x8769)[0x9286] = b"ASCII\0\0\0" + IN_METADATA["comment of the user"].encode()
    exif.get_ifd(0x8825).update({1: "N", 2: (53.0, 21.0, 7.0), 3: "W", 4: (1.0, 2.0, 3.0), 29: IN_METADATA["position"]})
    out = BytesIO()
    image.save(
        out, "JPEG", quality=95, exif=exif.tobytes() + thumbnail(), comment=IN_METADATA["comment"],
        xmp=f"<x:xmpmeta xmlns:x='adobe:ns:meta/'>{IN_METADATA['xmp']}</x:xmpmeta>".encode(),
        icc_profile=swapped_profile(IN_METADATA["profile"]),
    )  # fmt: skip
    text = IN_METADATA["iptc"].encode()
    block = b"\x1c\x02\x78" + len(text).to_bytes(2, "big") + text
    body = b"Photoshop 3.0\0" + b"8BIM\x04\x04\0\0" + len(block).to_bytes(4, "big") + block + b"\0" * (len(block) % 2)
    segment = b"\xff\xed" + (len(body) + 2).to_bytes(2, "big") + body
    data = out.getvalue()
    return data[:2] + segment + data[2:] + IN_METADATA["tail"].encode()


def pattern() -> Image.Image:
    """What is hidden in the photograph."""
    return noise(HIDDEN[2] - HIDDEN[0], HIDDEN[3] - HIDDEN[1], SEED, cell=20)


def thumbnail() -> bytes:
    """The small picture that a camera puts into a photograph, hidden part and all."""
    out = BytesIO()
    noise(160, 120, SEED + 1).save(out, "JPEG", quality=60)
    return out.getvalue()


def write_marked(folder: Path) -> Path:
    """The journal, every file of it changed at a time that stands nowhere else."""
    journal = write_journal(folder, FILES, SETTINGS)
    photos = journal / "photos"
    (photos / _h("folder")).mkdir(parents=True)
    (photos / f"{_h('file name')}.jpg").write_bytes(photograph())
    Image.new("RGB", (400, 300), (90, 90, 90)).save(photos / _h("folder") / "wheel.png")
    for seed, name in enumerate((_m("photo file"), _m("photo of that day"))):
        noise(320, 240, 500 + seed, cell=8).save(photos / f"{name}.jpg")
    for path in journal.rglob("*"):
        os.utime(path, (SECRET_TIME, SECRET_TIME))
    return journal


def marked(folders: pytest.TempPathFactory) -> Path:
    """A folder with `journal`, assembled, `owner-bag`, and all that is in PUBLIC. Nothing may change it."""

    def make(folder: Path) -> None:
        journal = write_marked(folder / "journal")
        for words in (
            ["assemble", journal], ["publish", "there", journal, "--yes"],
            ["preserve", journal, "--edition", "public", "--to", folder / "public-bag"],
            ["preserve", journal, "--to", folder / "owner-bag"],
            ["dossier", journal, "--edition", "public", "--to", folder / "dossier.pdf"],
            ["dossier", journal, "--to", folder / "owners.pdf"],
        ):  # fmt: skip
            done = CliRunner().invoke(main, [*map(str, words), "--on", ON], catch_exceptions=False)
            assert done.exit_code == 0, done.output

    return made_once(folders, "marked", make)


PUBLIC: Final = ("journal/web/public", "there", "public-bag", "dossier.pdf")
"""Everything that strangers may be given, folders or files: whatever else is made for them is made in `marked` and
added here."""


def everything(folder: Path, place: str) -> dict[str, bytes]:
    """Every file of a place by its name, and the names themselves; of a PDF also what its compressed bytes hold."""
    start = folder / place
    files = [start] if start.is_file() else sorted(path for path in start.rglob("*") if path.is_file())
    found = {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}
    for name in [name for name in found if name.endswith(".pdf")]:
        found |= {f"{name}: {what}": held for what, held in unpacked(found[name]).items()}
    return found | {"names": "\n".join(path.relative_to(start).as_posix() for path in start.rglob("*")).encode()}


def unpacked(pdf: bytes) -> dict[str, bytes]:
    """A PDF's objects, pictures and words: as they are read, and without what lines and syllables part."""
    held: dict[str, bytes] = {}
    with pikepdf.open(BytesIO(pdf)) as opened:
        for n, one in enumerate(opened.objects):
            if isinstance(one, pikepdf.Stream):
                is_picture = one.get("/Filter") == "/DCTDecode"
                held[f"{n}.jpg" if is_picture else f"{n}"] = one.read_raw_bytes() if is_picture else one.read_bytes()
            if isinstance(one, (pikepdf.Dictionary, pikepdf.Array, pikepdf.Stream)):
                held[f"{n} told"] = "\n".join(_texts_in(one, 3)).encode("utf-8", "replace")
    document = pypdfium2.PdfDocument(pdf)
    text = "\n".join(page.get_textpage().get_text_bounded() for page in document)
    document.close()
    together = re.sub(r"[-\u00ad\ufffe\u0002]?\s+", "", text)
    return held | {"words": text.encode("utf-8", "replace"), "letters": together.encode("utf-8", "replace")}


def _texts_in(one: Any, deep: int) -> Iterator[str]:
    """The strings that an object holds, as far as it is no other object's."""
    rows = one.items() if isinstance(one, (pikepdf.Dictionary, pikepdf.Stream)) else enumerate(one)
    for _, value in rows:
        if isinstance(value, pikepdf.String):
            yield str(value)
        elif deep and isinstance(value, (pikepdf.Dictionary, pikepdf.Array)):
            yield from _texts_in(value, deep - 1)
