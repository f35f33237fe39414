"""The tag files of a bag that is made: its declaration, bag-info.txt, holdings, manifests, in the order of writing."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping

from journalgen.outside.bag.earlier import COUNT, EDITION, GROUP, IDENTIFIER, Earlier
from journalgen.outside.bag.manifests import spell_manifest
from journalgen.outside.bag.model import AGENT, DECLARATION, HOLDINGS, INFO, Held
from journalgen.outside.bag.order import Done, Order
from journalgen.outside.bag.paths import encode_path
from journalgen.outside.bag.tag_files import spell_declaration, spell_holdings, spell_info
from journalgen.outside.bag.writing import Digests
from journalgen.records import Journal
from journalgen.site.matter import OWNER
from journalgen.terminal import spell_size


def describe_bag(
    order: Order, done: Done, journal: Journal, made: Mapping[str, Digests], held: tuple[Held, ...]
) -> Iterator[tuple[str, bytes]]:
    """Each tag file with its contents. `journal` is what the bag's edition shows."""
    files = {
        DECLARATION: spell_declaration(),
        INFO: spell_info(_info(order, done, journal)),
        HOLDINGS: spell_holdings(held, str(order.now.date())),
        "manifest-sha256.txt": spell_manifest({name: digests.sha256 for name, digests in made.items()}),
        "manifest-sha512.txt": spell_manifest({name: digests.sha512 for name, digests in made.items()}),
    }
    yield from files.items()
    yield "tagmanifest-sha256.txt", spell_manifest({n: hashlib.sha256(data).hexdigest() for n, data in files.items()})
    yield "tagmanifest-sha512.txt", spell_manifest({n: hashlib.sha512(data).hexdigest() for n, data in files.items()})


def _info(order: Order, done: Done, journal: Journal) -> Iterator[tuple[str, str]]:
    """The elements that the journal can fill, those of section 2.2.2 first, then its own."""
    settings, machine = journal.settings, journal.settings.machine
    what = f"{machine.name or settings.title}{f' ({machine.year})' if machine.year else ''}"
    contents = (
        "entries, registers, photographs, pages, tables and dossier"
        if order.edition == OWNER
        else "pages, tables and dossier"
    )
    yield "External-Description", f"The record of the restoration of one machine, {what}: {contents}."
    yield "Bagging-Date", str(order.now.date())
    yield IDENTIFIER, order.name
    yield "Bag-Size", spell_size(done.octets)
    yield "Payload-Oxum", f"{done.octets}.{done.files}"
    earlier = order.since if isinstance(order.since, Earlier) else None
    yield GROUP, earlier.group if earlier else order.name
    yield COUNT, f"{earlier.number + 1 if earlier else 1} of ?"
    yield "Bag-Software-Agent", AGENT
    yield "Journal-Title", settings.title
    yield EDITION, order.edition
    yield "Journal-As-At", str(order.on)
    days = [session.day for session in journal.sessions if session.day <= order.on]
    if days:
        yield "Journal-Sessions", f"{len(days)}, from {min(days)} to {max(days)}"
    if order.builds_on:
        yield "Builds-On", order.builds_on
        yield "Kept-In-Earlier-Bags", f"{done.kept_before} files; {HOLDINGS} names them"
    for lost in done.lost:
        yield "Not-In-This-Bag", f"{encode_path(lost.name)}: {lost.why}"
