"""What is asked of this package and what it answers: no decoder is needed to speak of a picture."""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from journalgen.values import Rectangle

ABSENT: Final = "absent"
BROKEN: Final = "broken"
TOO_LARGE: Final = "too-large"
UNREADABLE: Final = "unreadable"
HIDE_OUTSIDE: Final = "hide-outside"
NOT_MADE: Final = "not-made"


class Request(Struct, frozen=True):
    """One photograph wanted."""

    file: str  # the path of the original; plain, since there may be forty thousand
    hide: tuple[Rectangle, ...] = ()  # united over all uses of the file


class Variant(Struct, frozen=True):
    """One picture in one width, in both formats; the names are those of files in the cache folder."""

    width: int  # pixels
    height: int  # pixels
    avif: str
    jpeg: str


class Picture(Struct, frozen=True):
    """What a page must know of a photograph before its bytes arrive."""

    width: int  # pixels of the upright original
    height: int
    tint: str  # #rrggbb, the mean colour
    variants: tuple[Variant, ...]  # rising widths


class Fault(Struct, frozen=True):
    """Why there is no picture of a photograph."""

    kind: str  # absent, broken, too-large, unreadable, hide-outside or not-made
    message: str  # one sentence, without the file's name


class Refused(Exception):
    """An original of which no picture can be made; carries the fault."""

    def __init__(self, kind: str, message: str) -> None:
        super().__init__(message)
        self.fault = Fault(kind, message)


class PicturesInterrupted(Exception):
    """The work cannot go on, and no single photograph is to blame; what was finished is kept.

    The message is one sentence for the keeper: the cache cannot be written, or helper processes
    cannot be started.
    """


class Interrupted(KeyboardInterrupt):
    """The keeper interrupted the work from the keyboard; the message is one sentence that says what is kept."""

    def __init__(self, kept: int) -> None:
        finished = "1 picture that was finished is" if kept == 1 else f"{kept} pictures that were finished are"
        super().__init__(f"Interrupted; {finished} kept.")
        self.kept = kept
