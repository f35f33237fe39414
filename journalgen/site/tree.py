"""Writes a site whole or not at all: a new tree beside the old one, then one swap.

A manifest in the tree names what the program wrote. Files that somebody else put there are carried
over into the new tree, never deleted; a folder that holds files and no manifest is not touched.

Making a tree anew for every change would be slow where there are many pictures. So the tree that
was swapped out is kept as a spare, one step behind: its files are second names of the same data and
take no room. The next run brings it up to date, changes in it what has changed, and swaps again. What
is known of both is kept in a file of its own, which is taken away before the spare is touched; where it
is absent, or does not agree with what is there, a tree is made anew. Neither lies beside the site: what
is beside it may be published with it, and both tell of more than the site does, and of what it once told.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from types import MappingProxyType
from typing import Final

from msgspec import Struct

from journalgen import keeping
from journalgen.alone import Taken, alone
from journalgen.plain_data import digest
from journalgen.site.manifest import MANIFEST, OutputFault, read_manifest, spell_manifest
from journalgen.site.swapping import mend, swap, unfinished, unfinished_prefix
from journalgen.site.tree_files import (
    digest_of,
    find_others,
    folders_of,
    link_file,
    make_spare,
    move_file,
    remove_file,
    stamp_of,
    write_file,
)
from journalgen.whole import write_whole

_STATE: Final = "state"
_SPARE: Final = "spare"


class Files(Struct):
    """The files that were made for a tree."""

    folder: str  # where they are
    written: dict[str, tuple[int, int]]  # with length and time of change
    same: set[str]  # these turned out as they are in the tree


class _Known(Struct):
    """What a run leaves for the next one."""

    manifest: bytes  # a digest of it
    stamps: dict[str, tuple[int, int]]  # length and time of change of every file but the pictures
    folders: dict[str, int]  # time of change of every folder of the tree, "" the tree itself
    theirs: tuple[str, ...]  # files of others
    behind: tuple[str, ...] | None  # in what the spare differs from the tree; None: there is no spare
    spare: dict[str, int]  # time of change of every folder of the spare
    note: bytes  # of whoever makes the files
    taken: int  # up to when pictures were taken that were made once more; nanoseconds


def write_tree(target: Path, files: Iterable[tuple[str, bytes]], pictures: Mapping[str, Path]) -> None:
    """Replaces the folder `target` by one that holds the files and the pictures, in one step.

    `files` are names relative to the target with their contents; `pictures` are names with the
    files to take them from. Raises OutputFault, with the previous tree as it was, if that fails.
    """
    with held(target, None) as tree:
        tree.stage(tree.make(files), (), pictures, lambda name: str(pictures[name]))
        tree.put_in_place(b"")


@contextmanager
def held(target: Path, keep: Path | None) -> Iterator[Tree]:
    """The tree of a site, which no other run can write meanwhile. Raises OutputFault.

    `keep` is the folder, of nobody else's, in which what is needed for the next run is left; nothing is where None.
    """
    with _held_alone(target):
        mend(target)
        _refuse_if_not_ours(target)
        tree = Tree(target, keep)
        try:
            yield tree
        finally:
            tree.clear_up()


def put_file(target: Path, name: str, contents: bytes) -> Path | None:
    """Replaces one file of a tree by itself; None, and nothing, where the tree has no such file. Raises OutputFault."""
    with _held_alone(target):
        if not (target / MANIFEST).is_file() or not (target / name).is_file():
            return None
        write_whole(target / name, contents)
    return target / name


@contextmanager
def _held_alone(target: Path) -> Iterator[None]:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with alone(target.parent / f".{target.name}.lock"):
            yield
    except Taken:
        raise OutputFault(f"Another run is writing {target} now. Wait for it to end.") from None
    except OSError as fault:
        raise OutputFault(
            f"The site could not be written to {target}: {fault.strerror or fault}. "
            "The previous site is as it was; see to the disk, then assemble again."
        ) from fault


def _refuse_if_not_ours(target: Path) -> None:
    if target.is_dir() and any(target.iterdir()) and not (target / MANIFEST).is_file():
        raise OutputFault(
            f"{target} holds files that this program did not write. Choose another folder with --to, or empty this one."
        )


class Tree:
    """A site's folder while it is being renewed: first `make`, then `stage`, then `put_in_place`."""

    def __init__(self, target: Path, keep: Path | None) -> None:
        self._target = target
        self._home = str(target)  # hundreds of files are asked after
        self._keep = keep
        self._ours = frozenset(read_manifest(target)) if (target / MANIFEST).is_file() else frozenset()
        known = keeping.load(keep / _STATE, _Known) if keep else None
        self._known = known if known and known.manifest == digest_of(target / MANIFEST) else None
        self._new: Path | None = None
        self._next: _Known | None = None
        self._whole = False  # whether the new tree was made from nothing
        self.changed: frozenset[str] = frozenset()  # files that the new tree has otherwise, or no more

    @property
    def note(self) -> bytes | None:
        """What was noted when the tree that is there was put in its place; None if it is another by now."""
        return self._known.note if self._known else None

    def has(self, name: str) -> bool:
        """Whether a file that is no picture is there as it was written."""
        if self._known is None:
            return False
        stamp = self._known.stamps.get(name)
        return stamp is not None and stamp == stamp_of(f"{self._home}/{name}")

    def read(self, name: str) -> bytes | None:
        """A file that is no picture, if it is there as it was written."""
        return (self._target / name).read_bytes() if self.has(name) else None

    def make(self, files: Iterable[tuple[str, bytes]]) -> Files:
        """Takes the files that are not to be as they were, and touches nothing that is there.

        One that turns out to be as it was is kept as it is. Another process may do this; what comes of
        it is to be staged.
        """
        folder = Path(tempfile.mkdtemp(prefix=unfinished_prefix(self._target), dir=self._target.parent))
        folder.chmod(0o755)  # else it could be read by its owner alone
        made = Files(str(folder), {}, set())
        for name, contents in files:
            if self.has(name) and (self._target / name).read_bytes() == contents:
                made.same.add(name)
            else:
                made.written[name] = write_file(folder, name, contents)
        return made

    def stage(
        self,
        made: Files,
        standing: Collection[str],
        pictures: Iterable[str],
        source: Callable[[str], str],
        remade: Mapping[str, int] = MappingProxyType({}),
    ) -> None:
        """Makes the new tree whole beside the old one.

        `made` is what `make` gave, here or in another process. `standing` are files to be as they are in
        the tree, where `has` must have found each. Each of the pictures is taken from its `source`; those named
        in `remade` have been other bytes since a time, in nanoseconds.
        """
        written, folder = made.written, Path(made.folder)
        theirs = tuple(name for name in self._find_theirs() if name not in written)
        new, base = self._begin(folder, theirs)
        if new != folder:
            for name in written:
                move_file(folder / name, new, name)
            shutil.rmtree(folder)
        self._new = new
        kept = {*standing, *made.same}
        shown = set(pictures)
        wanted = {*written, *kept, *shown}
        changed = {*written, *(name for name in base - wanted if remove_file(new, name))}
        for name in kept if self._whole else ():
            link_file(self._target / name, new, name)
        taken = self._known.taken if self._known else 0
        again = (name for name, since in remade.items() if since > taken)
        for name in (shown - base) | shown.intersection(again):
            link_file(source(name), new, name)
            changed.add(name)
        theirs = tuple(name for name in theirs if name not in wanted)
        self.changed = frozenset(changed)
        stamps = dict(written)
        known = self._known
        if known:
            stamps |= {name: known.stamps[name] for name in kept}
        if known and not self._whole and wanted == self._ours and theirs == known.theirs:
            mark, folders = known.manifest, set(known.folders)
        else:
            manifest = spell_manifest(wanted)
            write_file(new, MANIFEST, manifest)
            changed.add(MANIFEST)
            mark = digest(manifest)
            folders = {name.rpartition("/")[0] for name in (*wanted, *theirs)} | {""}
        self._next = _Known(
            manifest=mark,
            stamps=stamps,
            folders=folders_of(new, folders),
            theirs=theirs,
            behind=tuple(sorted(changed)),
            spare={},
            note=b"",
            taken=max([taken, *remade.values()]),
        )

    def _begin(self, made: Path, theirs: Collection[str]) -> tuple[Path, frozenset[str]]:
        """The tree to be changed, with the files of ours that it holds: the spare, brought up to date, or a new one."""
        known, spare = self._known, self._keep / _SPARE if self._keep else None
        if self._keep:
            (self._keep / _STATE).unlink(missing_ok=True)  # from here on nothing is known, until all is done
        if known is None or known.behind is None or spare is None or known.spare != folders_of(spare, known.spare):
            if spare:
                shutil.rmtree(spare, ignore_errors=True)
            self._whole = True
            new, base = made, frozenset[str]()
        else:
            new = spare
            gone = {name for name in known.behind if not (self._target / name).is_file()}  # or somebody took it away
            base = self._ours - gone
            for name in known.behind:
                if name in gone:
                    remove_file(new, name)
                else:
                    link_file(self._target / name, new, name)
            for name in known.theirs:
                remove_file(new, name)
        for name in theirs:
            link_file(self._target / name, new, name)
        return new, base

    def _find_theirs(self) -> tuple[str, ...]:
        """Files in the tree that its manifest does not name; looked for only where a folder has changed."""
        known = self._known
        if known and known.folders == folders_of(self._target, known.folders):
            return known.theirs
        return tuple(find_others(self._target, {MANIFEST, *self._ours})) if self._ours else ()

    def put_in_place(self, note: bytes) -> None:
        """Swaps the new tree in, and leaves the old one as the spare. `note` is given to the next run."""
        if self._new is None or self._next is None:
            raise RuntimeError("There is no tree to put in place; `stage` makes it.")
        new, known, self._new = self._new, self._next, None
        old = swap(new, self._target)
        if old and self._whole:
            shutil.rmtree(old, ignore_errors=True)
        if self._keep is None:
            return
        spare = self._keep / _SPARE
        if self._whole:
            made = make_spare(spare, self._target, [*read_manifest(self._target), MANIFEST, *known.theirs])
            known.behind = () if made else None
        elif old and old != spare:
            old.rename(spare)
        folders = known.folders if self._whole or self._known is None else self._known.folders
        known.spare = folders_of(spare, folders)
        known.note = note
        keeping.save(self._keep / _STATE, known)

    @property
    def paths(self) -> list[str]:
        """The folders of the tree that was put in place, and all its files but the pictures."""
        known = self._next
        names = (*known.folders, *known.stamps, MANIFEST) if known else ()
        return [f"{self._home}/{name}" if name else self._home for name in names]

    def clear_up(self) -> None:
        """Takes away what was made and not put in place."""
        for rest in (self._new, *unfinished(self._target)):
            if rest is not None:
                shutil.rmtree(rest, ignore_errors=True)
