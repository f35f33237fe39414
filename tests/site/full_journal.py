"""A journal of two entries with every kind of line in it, and how to read its data."""

from __future__ import annotations

import csv
import io

from journalgen.site.data import render_record, render_tables
from journalgen.site.data_tables import list_tables
from journalgen.site.matter import Matter
from tests.journals import SETTINGS

SHOWN = SETTINGS + (
    '[machine]\nname = "Trolley"\nidentity_number = "PQ-17-0031"\n'
    '[rates]\nITL = "0.00040"\n[editions.public]\nhide = []\n'
)
"""Nothing is hidden but what is private."""

HIDDEN = SETTINGS + (
    '[machine]\nidentity_number = "PQ-17-0031"\n[editions.public]\n'
    'hide = ["prices", "suppliers", "storage", "numbers", "hours"]\n[targets.web]\nkind = "folder"\nurl = "TARGETURL"\n'
)
"""Every kind is hidden."""

FILES = {
    "register/parts.yaml": """\
        axle:
          assembly: running gear
          number: NUMBER-9
          stored: SHELFB
          needs: [hub]
        hub: {}
        """,
    "register/materials.yaml": """\
        zinc primer:
          kind: coating
          solids: 52 %
          recoat: 4 h .. 7 d
          limits: {humidity: at most 85 %}
          keeps: 24 months
        """,
    "register/suppliers.yaml": "Muster Teile: {place: OLDTOWN}\n",
    "entries/2024-03-09-first-coat.md": """\
        ---
        date: 2024-03-09
        start: 19:15
        title: First coat
        hours: 2:31
        parts: [axle, lever]
        work:
          - {part: [axle, hub], step: prime, coat: 1, hours: 1:31, material: zinc primer, amount: 100 mL,
             air: 18 degC, humidity: 55 %, surface: 16.5 degC, result: "=looks well"}
        bought:
          - {material: zinc primer, amount: 1 L, count: 2, price: 31.90 GBP, postage: 6 EUR, from: Muster Teile}
          - {part: hub, kind: used spare, price: 40000 ITL, from: Muster Teile, private: yes}
          - {part: frame, kind: refund, paid: 5 GBP, what: "-5 back"}
        measures:
          - {part: axle, what: diameter, value: 34.981 mm, limits: 1.3770 .. 1.3780 in, uncertainty: 4 um}
        decisions:
          - {part: hub, do: repair, why: PRIVATEWHY, private: yes}
        found:
          - {part: hub, condition: rusted, severity: bad}
        photos:
          - {file: secret.jpg, part: hub, private: yes}
        ---
        The [axle](part:axle) and the [day](session:2024-03-10).

        ![PLATEWORDS](photos/secret.jpg)

        ```photos
        secret.jpg
        ```
        """,
    "entries/2024-03-10-private.md": """\
        ---
        date: 2024-03-10
        title: PRIVATEDAY
        hours: 1
        private: yes
        ---
        """,
}
"""Every kind of line, some of them private. The photographs need not be there for the data."""


def written(matter: Matter) -> dict[str, bytes]:
    """Every data file of an edition."""
    return dict([*render_record(matter), *render_tables(list_tables(matter))])


def rows(data: bytes) -> list[dict[str, str]]:
    """A table as a program reads it."""
    return list(csv.DictReader(io.StringIO(data.decode("utf-8"), newline="")))
