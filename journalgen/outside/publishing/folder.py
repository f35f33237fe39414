"""A folder, or a share that is mounted as one."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from fsspec.implementations.local import LocalFileSystem

from journalgen.outside.publishing.faults import CannotPublish
from journalgen.outside.publishing.store import Store
from journalgen.reading.targets import Target


class FolderStore(Store):
    """Its path is taken from the journal's folder, where it does not begin at the root of the disk."""

    def __init__(self, target: Target, journal: Path) -> None:
        super().__init__(target)
        home = journal.resolve()
        self._root = Path(os.path.abspath(home / Path(target.path).expanduser()))
        place = self._root.resolve()
        if place.is_relative_to(home) or home.is_relative_to(place):
            raise CannotPublish(
                f"The target {target.name} is {place}, and that is part of the journal, or the journal of it. "
                "Name a folder beside the journal, or elsewhere."
            )

    def _connect(self) -> Any:
        return LocalFileSystem(skip_instance_cache=True, use_listings_cache=False)

    def _path(self, name: str) -> str:
        return (self._root / name).as_posix() if name else self._root.as_posix()

    def _rename(self, old: str, new: str) -> None:
        os.replace(old, new)  # in one step on every system

    def prepare(self) -> None:
        if not self._root.parent.is_dir():
            raise CannotPublish(
                f"There is no folder {self._root.parent} for the target {self.target.name}. Is it mounted?"
            )
        super().prepare()
