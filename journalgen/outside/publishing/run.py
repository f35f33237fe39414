"""Publishing from beginning to end: look at the target, say what is to be done, do it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

from msgspec import Struct

from journalgen.keeping import CACHE
from journalgen.outside.publishing import holding, manifest
from journalgen.outside.publishing.faults import CannotPublish
from journalgen.outside.publishing.manifest import Damaged, Manifest
from journalgen.outside.publishing.plan import Local, Plan, folders_to_look_into, plan
from journalgen.outside.publishing.sending import Patience, Progress, Sending, Sent, insist
from journalgen.outside.publishing.store import Store, unfinished
from journalgen.reading.names import nearest
from journalgen.reading.targets import Target, parse_target
from journalgen.records import Settings
from journalgen.slugs import slug

HOME: Final = "publishing"
"""What is remembered of targets lies there in the journal's cache."""

_NAMED: Final = 5  # files in one message


class NoSuchTarget(Exception):
    """The journal does not name the target that was asked for; the text says which it names."""


class Look(Struct, frozen=True):
    """What was seen at a target, and what is to be done there."""

    there: Manifest
    plan: Plan
    manifest: bytes | None  # as it was read; None if there was none


def choose_target(settings: Settings, name: str | None) -> Target:
    """The target of a name, or the only one. Raises NoSuchTarget."""
    targets = {name: parse_target(name, dict(row)) for name, row in settings.targets}
    if not targets:
        raise NoSuchTarget(
            'journal.toml names no target. Add to it [targets.web], and below: url = "sftp://user@host/folder"'
        )
    if name is None and len(targets) == 1:
        return next(iter(targets.values()))
    listed = f"The targets of journal.toml are: {', '.join(targets)}."
    if name is None:
        raise NoSuchTarget(f"Say where to send the site. {listed}")
    if name not in targets:
        near = nearest(name, targets)
        raise NoSuchTarget(f"There is no target {name}. " + (f"Did you mean {near}? " if near else "") + listed)
    return targets[name]


def look(store: Store, site: Mapping[str, Local], patience: Patience, *, replace: bool) -> Look:
    """Looks at a target, and writes nothing there.

    With `replace` all is sent anew, whatever the target holds. Raises CannotPublish, also where the target
    holds what is not the program's and might be lost.
    """
    return insist(store, lambda: _look(store, site, replace), patience)


def _look(store: Store, site: Mapping[str, Local], replace: bool) -> Look:
    store.prepare()
    data = store.read(manifest.NAME)
    there = _understand(store, data, replace)
    if replace:
        there = Manifest({}, there.linked, there.unlinked)
    present = {name for folder in folders_to_look_into(site, there) for name in store.names_in(folder)}
    found = plan(site, there, present)
    if found.taken and not replace:
        raise CannotPublish(
            f"At the target {store.target.name} there {_are(len(found.taken))} that this program did not put there, "
            f"under names that the site needs: {_listed(found.taken)}. Move them away, or replace them with --replace."
        )
    return Look(there, found, data)


def _understand(store: Store, data: bytes | None, replace: bool) -> Manifest:
    if data is not None:
        try:
            return manifest.parse(data)
        except Damaged:
            if replace:
                return Manifest()
            raise CannotPublish(
                f"{manifest.NAME} at the target {store.target.name} is damaged, so it is not known which files there "
                "are the program's. Use --replace to send all of them anew; files of an older site may then stay there."
            ) from None
    others = sorted(name for name in store.entries() if not _is_passing(name))
    if others and not replace:
        raise CannotPublish(
            f"The target {store.target.name} is not empty, and this program has not published there: "
            f"{_listed(others)}. "
            "Choose another folder, or use --replace; then files of the site's names are replaced, and others stay."
        )
    return Manifest()


def _is_passing(name: str) -> bool:
    """Whether a file comes and goes while a site is being sent."""
    return name.startswith((holding.NAME, unfinished(holding.NAME), unfinished(manifest.NAME)))


def _are(number: int) -> str:
    return "is a file" if number == 1 else f"are {number} files"


def _listed(names: tuple[str, ...] | list[str]) -> str:
    more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
    return ", ".join(names[:_NAMED]) + more


def carry_out(
    store: Store, site: Path, found: Look, journal: Path, progress: Progress, patience: Patience, sent: Sent
) -> None:
    """Does what was found to be done. `sent` is told how far it came, also where it breaks off.

    Raises CannotPublish; and an interrupt from the keyboard is passed on once all is noted.
    """
    if not found.plan.steps:
        return
    sent.of = found.plan
    hold = holding.Hold(store, journal / CACHE / HOME / slug(store.target.name))
    try:
        insist(store, hold.take, patience)
        if insist(store, lambda: store.read(manifest.NAME), patience) != found.manifest:
            raise CannotPublish("Another publish to this target ended a moment ago. Publish again.")
        Sending(store, site, found.there, hold, patience, sent).carry_out(found.plan, progress)
    finally:
        hold.give_back()
        store.drop()
