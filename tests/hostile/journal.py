"""A journal with a hostile text in every field that takes a text, and one whose every field is at fault."""

from __future__ import annotations

import json
import os
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from tests.attacks import ATTACKS
from tests.hostile.strings import STRINGS
from tests.pictures.samples import corners

ON: Final = "2024-12-31"
_RAW: Final = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")
FILE_NAMES: Final = [
    "<img src=x onerror=hit(1)>.jpg", '" onfocus="hit(1)" autofocus="".jpg', "'onload='hit(1)'.jpg",
    "javascript:hit(1).jpg", "=1+1.jpg", "x\x1b]0;hit\x07.jpg", "x\x9b2J.jpg", "x\u202egpj.jpg", "x\nline.jpg",
    "{{ 7 * 7 }}.jpg", "%3Cscript%3E.jpg", "a&b#c?d.jpg",
]  # fmt: skip
"""Names that a file may have on a system that forbids only two letters."""


def quoted(text: str) -> str:
    """A text between double quotes, as YAML, TOML and JSON read it."""
    return _RAW.sub(lambda found: f"\\u{ord(found[0]):04x}", json.dumps(text, ensure_ascii=False))


def fields_of(text: str, n: int) -> dict[str, str]:
    """The files of the nth hostile text: an entry, and its rows in four registers.

    The text stands first in each field, where a spreadsheet looks; a word behind it tells the fields apart.
    """

    def q(word: str) -> str:
        return quoted(f"{text} {word}{n}")

    # What no register has gets pages of its own; one text in three is enough of those.
    listed = f", {q('listed')}" if n % 3 == 0 else ""
    unregistered = f"\n  - {{part: {q('part')}, step: {q('unknown step')}, hours: 0:30}}" if n % 3 == 1 else ""
    hub = q("hub") if n % 3 == 1 else "axle"
    absent = re.sub(r"[/:]|\.\.", "_", f"absent {n} {text}")
    counted = f"{q('counted')}, amount: 2 sheets" if n % 3 == 2 else f"{q('material')}, amount: 2 mL"
    day = f"2024-{1 + n // 28:02}-{1 + n % 28:02}"
    photo = f"{n:03} {FILE_NAMES[n % len(FILE_NAMES)]}" if sys.platform != "win32" else f"{n:03}.jpg"
    entry = f"""---
date: {day}
start: 19:15
title: {q("title")}
hours: 3:00
parts: [{q("part")}{listed}]
work:
  - part: [{q("part")}]
    step: {q("step")}
    coat: 1
    hours: 1:00
    material: {q("material")}
    amount: {quoted("5 mL")}
    air: 18 degC
    humidity: 95 %
    surface: 9 degC
    wait: 48 h
    with: [{hub}]
    result: {q("result")}
    note: {q("note")}{unregistered}
materials:
  - {{use: {counted}, part: {q("part")}}}
bought:
  - {{part: [{q("part")}], kind: used spare, what: {q("what")}, price: 18.50 EUR, from: {q("supplier")},
     note: {q("bought")}}}
  - {{material: {q("material")}, amount: 1 L, price: 5, from: {q("stranger")}}}
  - {{part: {q("part")}, kind: refund, what: {q("back")}, price: 3, note: {q("refund")}}}
sold:
  - {{part: {q("part")}, what: {q("sold")}, price: 12 GBP, to: {q("buyer")}, note: {q("sale")}}}
measures:
  - {{part: {q("part")}, what: {q("diameter")}, value: -3 mm, limits: -5 .. 5 mm, note: {q("measured")}}}
decisions:
  - {{part: [{q("part")}], do: make, why: {q("why")}}}
found:
  - {{part: {q("part")}, condition: {q("condition")}, severity: bad}}
photos:
  - {{file: {quoted(photo)}, part: {q("part")}, shows: before, caption: {q("caption")}}}
  - {{file: {quoted(absent)}, part: {q("part")}, caption: {q("absent")}}}
---
{_body(text, n)}
"""
    part = f"""{q("part")}:
  assembly: {q("assembly")}
  also called: [{q("alias")}]
  number: {q("number")}
  area: 0.42 m2
  route: {q("route")}
  stored: {q("stored")}
  needs: [{hub}]
  safety: brakes
  note: {q("note")}
"""
    material = f"""{q("material")}:
  also called: [{q("tin")}]
  kind: {q("kind")}
  solids: 52 %
  film: 40 um
  recoat: 4 h .. 7 d
  keeps: 1 d
  limits: {{humidity: at most 85 %, above dew point: 3 degC}}
  hazards: [H226]
  safety sheet: {q("sheet")}
  note: {q("note")}
"""
    supplier = f"""{q("supplier")}:
  place: {q("place")}
  site: {quoted(text)}
  kind: {q("kind")}
  note: {q("note")}
"""
    return {
        f"entries/{n:03} {_as_name(text)}.md": entry,
        "register/parts.yaml": part,
        "register/materials.yaml": material,
        "register/suppliers.yaml": supplier,
        "steps": f"  {q('step')}: {{label: {q('label')}, family: {q('family')}, wait: 24 h, source: {q('source')}}}\n",
        "routes": f"  {q('route')}: [{q('step')}, degrease]\n",
        photo: "",
    }


def _body(text: str, n: int) -> str:
    """The text as Markdown, and in each place that Markdown has for one."""
    attack = ATTACKS[n % len(ATTACKS)].replace("alert", "hit").replace("e.example", "outside.example")
    file = text.lstrip("/\\")  # which would lead out of photos/
    return "\n\n".join([
        attack.replace("\0", ""), text, f"[link]({text})", f"[link](<{text}>)", f"![picture]({text})", f"`{text}`",
        f"[part](<part:{text} part{n}>)", f"[session](<session:{text}>)", f"# {text}", f"| {text} |\n|---|\n| {text} |",
        f"```{text}\n{text}\n```", f"```photos\n{file}\n```",
        f"```measure\n{text}: {text}\n```", f'[t](# "{text}")',
    ])  # fmt: skip


def _as_name(text: str) -> str:
    """As much of the text as the name of a file may hold here."""
    forbidden = r'[/\0<>:"\\|?*\x00-\x1f]' if sys.platform == "win32" else r"[/\0]"
    return re.sub(forbidden, "_", text)[:60]


def settings_of(texts: list[str]) -> str:
    """Settings with every text in the note, and a share of them in each field that stands on every page."""
    lines = [
        f"title = {quoted(' '.join(texts[::5]))}",
        'home_currency = "GBP"',
        'time_zone = "Europe/London"',
        "[machine]",
    ]
    for n, key in enumerate(("name", "year", "maker", "identity_number"), 1):
        lines.append(f"{key} = {quoted(' '.join(texts[n::5]))}")
    lines.append(f"note = {quoted(' '.join(texts))}")
    return "\n".join([*lines, "[editions.public]", "hide = []", "[targets.there]", 'url = "../there"', ""])


def write_hostile(folder: Path, texts: list[str] = STRINGS) -> Path:
    """The journal with every hostile text in every field."""
    gathered: dict[str, list[str]] = {}
    photos = []
    for n, text in enumerate(texts):
        for name, contents in fields_of(text, n).items():
            gathered.setdefault(name, []).append(contents)
            photos += [name] if not contents else []
    steps, routes = gathered.pop("steps"), gathered.pop("routes")
    gathered["register/steps.yaml"] = ["steps:\n", *steps, "routes:\n", *routes]
    gathered["journal.toml"] = [settings_of(texts)]
    for name, pieces in gathered.items():
        if name not in photos:
            _write(folder / name, "".join(pieces))
    (folder / "photos").mkdir()
    corners().save(folder / "one.jpg")
    for name in photos:
        os.link(folder / "one.jpg", folder / "photos" / name)
    (folder / "one.jpg").unlink()
    return folder


def write_faulty(folder: Path) -> Path:
    """A journal in which the hostile texts stand where figures, words and keys are meant, each a problem."""
    for n, text in enumerate(STRINGS):
        _write(folder / "entries" / f"{n:03} {_as_name(text)}.md", _faulty_entry(text))
    rows = "".join(
        f"{quoted(f'{text} {n}')}: {{area: {quoted(text)}, {quoted(text)}: x}}\n" for n, text in enumerate(STRINGS)
    )
    _write(folder / "register" / "parts.yaml", rows)
    tables = "".join(f"{quoted(text)} = {quoted(text)}\n" for text in STRINGS)
    rates = "".join(f"{quoted(text + ' rate')} = {quoted(text)}\n" for text in STRINGS)
    hide = ", ".join(map(quoted, STRINGS))
    targets = "".join(f"[targets.{quoted(text)}]\nurl = {quoted(text)}\n" for text in STRINGS)
    _write(folder / "journal.toml", f"{tables}[rates]\n{rates}[editions.public]\nhide = [{hide}]\n{targets}")
    return folder


def _faulty_entry(text: str) -> str:
    q = quoted(text)
    keys = ("date", "start", "hours", "private", "work", "photos", "materials")
    lines = [f"{key}: {q}" for key in keys] + [f"{q}: {q}", "measures:"]
    lines += [
        f"  - {{what: x, value: {q}, limits: {q}}}",
        f"  - {q}",
        "bought:",
        f"  - {{part: x, price: {q}, kind: {q}}}",
    ]
    return "\n".join(["---", *lines, "---", text, ""])


def _write(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text.encode("utf-8", "surrogatepass"))


def texts_below(value: object) -> Iterator[str]:
    """Every text of data, keys too."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from (key, *texts_below(inner))
    elif isinstance(value, list):
        for inner in value:
            yield from texts_below(inner)
