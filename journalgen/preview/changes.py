"""Hears from the disk what has changed in a journal and its themes, and gathers what comes together."""

from __future__ import annotations

import os
import time
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from threading import Condition
from typing import Final

from watchdog.events import (
    EVENT_TYPE_CLOSED_NO_WRITE,
    EVENT_TYPE_MODIFIED,
    EVENT_TYPE_OPENED,
    FileSystemEvent,
    FileSystemEventHandler,
)
from watchdog.observers import Observer
from watchdog.observers.api import BaseObserver, ObservedWatch
from watchdog.observers.polling import PollingObserver

from journalgen.reading.settings import FILE as SETTINGS

FOLDERS: Final = ("entries", "register", "photos", "themes")
"""The folders of a journal that a site is made from."""

PAINTED: Final = ".pictures"
"""Stands for derived pictures among the names of what changed."""

_QUIET: Final = 0.015  # seconds without a change after which one that came alone is taken
_MANY: Final = 5  # changes that come together
_QUIET_AFTER_MANY: Final = 0.3
_LONGEST: Final = 3.0  # seconds that a burst is waited for
_SAY_NOTHING: Final = (EVENT_TYPE_OPENED, EVENT_TYPE_CLOSED_NO_WRITE)


class Changes(FileSystemEventHandler):
    """What changed since it was last asked; a context that follows the folder while it is open."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder.resolve()
        self._changed: set[str] = set()
        self._heard = 0
        self._ended = False
        self._news = Condition()
        self._themes: set[Path] = set()
        self._observer: BaseObserver
        self._watches: dict[str, ObservedWatch] = {}

    def __enter__(self) -> Changes:
        try:
            self._begin(Observer())
        except OSError:  # the system follows no more folders, or none there: they are looked through every second
            self._observer.stop()
            self._begin(PollingObserver())
        return self

    def __exit__(self, *_: object) -> None:
        self._observer.stop()
        self._observer.join()

    def begin_again(self) -> None:
        """Follows what lies at the journal's place now: it may have been moved away, or another put there."""
        with suppress(KeyError, OSError):
            self._observer.unschedule_all()
        self._watches, themes = {}, self._themes
        self._themes = set()
        with suppress(OSError):
            self._observer.schedule(self, str(self._folder))
            for name in FOLDERS:
                self._follow(name)
            self.follow_themes(map(str, themes))

    def _begin(self, observer: BaseObserver) -> None:
        self._observer, self._watches = observer, {}
        observer.start()
        observer.schedule(self, str(self._folder))
        for name in FOLDERS:
            self._follow(name)

    def _follow(self, name: str) -> None:
        """Follows one of the journal's folders with all that is in it, and not what the program keeps beside them."""
        before = self._watches.pop(name, None)
        if before is not None:
            with suppress(KeyError, OSError):  # gone with its folder
                self._observer.unschedule(before)
        folder = self._folder / name
        if folder.is_dir():
            self._watches[name] = self._observer.schedule(self, str(folder), recursive=True)

    def follow_themes(self, folders: Iterable[str]) -> None:
        """Follows the folders of a theme too, where they are not in the journal."""
        for folder in {Path(folder).resolve() for folder in folders} - self._themes:
            self._themes.add(folder)
            if not folder.is_relative_to(self._folder):
                self._observer.schedule(self, str(folder), recursive=True)

    def on_any_event(self, event: FileSystemEvent) -> None:
        """Takes note of one change."""
        if event.event_type in _SAY_NOTHING or (event.is_directory and event.event_type == EVENT_TYPE_MODIFIED):
            return
        names = {name for path in (event.src_path, event.dest_path) if path and (name := self._name(os.fsdecode(path)))}
        for name in names & set(FOLDERS):  # it came, went, or is another now
            self._follow(name)
        if names:
            with self._news:
                self._changed |= names
                self._heard += 1
                self._news.notify_all()

    def _name(self, path: str) -> str | None:
        """A file by its name in the journal, one of a theme by its path; None for what no site is made from."""
        place = Path(path)
        if any(place.is_relative_to(theme) for theme in self._themes):
            return path
        if not place.is_relative_to(self._folder):
            return None
        parts = place.relative_to(self._folder).parts
        if not parts or any(part.startswith(".") or part.endswith("~") for part in parts):
            return None
        return "/".join(parts) if parts == (SETTINGS,) or parts[0] in FOLDERS else None

    def wait(self, longest: float) -> frozenset[str]:
        """The names of what changed, as soon as there is anything and all that comes with it has come.

        Empty after `longest` seconds without a change, or when nobody waits any more.
        """
        with self._news:
            self._news.wait_for(lambda: self._changed or self._ended, longest)
            begun = time.monotonic()
            while self._changed and not self._ended and time.monotonic() - begun < _LONGEST:
                heard = self._heard
                self._news.wait(_QUIET if len(self._changed) < _MANY else _QUIET_AFTER_MANY)
                if self._heard == heard:
                    break
            changed, self._changed = frozenset(self._changed), set()
        return changed

    def poke(self) -> None:
        """Has whoever waits look again, though no file of the journal changed: there are new pictures."""
        with self._news:
            self._changed.add(PAINTED)
            self._heard += 1
            self._news.notify_all()

    def end(self) -> None:
        """Lets whoever waits go."""
        with self._news:
            self._ended = True
            self._news.notify_all()
