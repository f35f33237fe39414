"""`parts.html`: the tags of all parts, assembly by assembly."""

from __future__ import annotations

from journalgen.ledgers.assemblies import Assembly
from journalgen.records import NO_ASSEMBLY
from journalgen.site.desk import Desk
from journalgen.site.marks.tag import write_tags
from journalgen.site.marks.tray import lay_tray
from journalgen.site.pages.shape import RECORD, Content, Entry, Page, single
from journalgen.site.words import mark


def fill(desk: Desk) -> Content:
    """Every part; those that belong to no assembly come last."""
    parts = desk.matter.journal.parts
    named = [assembly for assembly in desk.index.assemblies if assembly.name != NO_ASSEMBLY]
    return Content(
        title=desk._("Parts"),
        description=desk._("Every part of the machine: where it lies, what state it is in and what was decided."),
        fields={
            "count": len(parts),
            "assembly_count": len(named),
            "storage": "storage" not in desk.matter.hidden,
            "tray": lay_tray(desk, desk._("All parts"), parts),
            "assemblies": [_group(desk, assembly) for assembly in desk.index.assemblies],
        },
    )


def _group(desk: Desk, assembly: Assembly) -> dict[str, object]:
    minutes = desk.index.minutes_by_part
    return {
        "id": desk.index.assembly_ids[assembly.name],
        "name": desk._("In no assembly") if assembly.name == NO_ASSEMBLY else assembly.name,
        "page": desk.part(assembly.name).href if assembly.name != NO_ASSEMBLY else None,
        "above": desk.assembly(assembly.above) if assembly.above else None,
        "tags": write_tags(desk, assembly.parts),
        "minutes": sum(minutes.get(part, 0) for part in assembly.parts) if desk.shows_hours else None,
    }


PAGE = Page("parts.html", "parts.html", single("parts.html", fill), Entry(RECORD, mark("Parts")), kind="CollectionPage")
