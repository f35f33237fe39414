"""Themes: where one is found, what its `theme.toml` says, and the files it brings into a site.

`themes/README.md` tells makers of themes the same in full.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path, PurePosixPath
from typing import Any, Final

from msgspec import Struct

from journalgen.house import themes_folder
from journalgen.plain_data import digest
from journalgen.reading.names import nearest
from journalgen.reading.toml import fault_in_toml, line_of_key

DEFAULT: Final = "enamel"
FILE: Final = "theme.toml"
PICTURES: Final = ("avif", "jpeg")
"""The formats of derived pictures. JPEG is always among a theme's: it is what every browser reads."""

_KEYS: Final = ("parent", "files", "pictures", "drawings")
_TAKEN: Final = ("feed.atom", "sitemap.xml", "manifest.json", "data", "pictures")
"""What the site's root holds beside pages and files of the theme."""

_TAKEN_FROM: Final = ("search-index", "search-list")
"""How the names begin of what the search fetches."""


class UnknownTheme(Exception):
    """There is no such theme; the text names those there are."""


class ThemeFault(Exception):
    """A theme that cannot be used: where, why, and what to do."""

    def __init__(self, file: str, line: int, message: str, remedy: str) -> None:
        super().__init__(f"{file}:{line}: {message} {remedy}")
        self.file = file
        self.line = line
        self.message = message
        self.remedy = remedy


class Theme(Struct, frozen=True):
    """A theme with what it has from its parents."""

    name: str  # its folder's
    folders: tuple[Path, ...]  # its own, then its parent's, and so on; a template is taken from the first that has it
    files: Mapping[str, Path]  # what is copied into the site as it is: name in the site, and source
    pictures: tuple[str, ...]  # formats that the pages use
    drawings: bool  # whether pages show drawings; the tables that say the same stand in any case

    @property
    def folder(self) -> Path:
        """The theme's own folder."""
        return self.folders[0]

    @property
    def mark(self) -> bytes:
        """Stands for all that the theme's folders hold."""
        files = (path for folder in self.folders for path in sorted(folder.rglob("*")) if path.is_file())
        pieces = (piece for path in files for piece in (str(path).encode("utf-8", "surrogateescape"), read_file(path)))
        return digest(*pieces)

    def copied(self) -> Iterator[tuple[str, bytes]]:
        """The files that go into the site as they are."""
        for name, source in self.files.items():
            yield name, read_file(source)


class _Declared(Struct, frozen=True):
    """One `theme.toml`, read; None for a key that it does not have."""

    folder: Path
    text: str
    parent: str | None = None
    files: tuple[str, ...] | None = None
    pictures: tuple[str, ...] | None = None
    drawings: bool | None = None

    def fault(self, key: str, message: str, remedy: str) -> ThemeFault:
        """What is wrong with a key, at its line."""
        return ThemeFault(str(self.folder / FILE), line_of_key(self.text, key), message, remedy)


def read_file(file: Path) -> bytes:
    """A file of a theme. Raises ThemeFault if it cannot be read."""
    try:
        return file.read_bytes()
    except OSError as fault:
        message = f"The file cannot be read: {fault.strerror or fault}."
        raise ThemeFault(str(file), 1, message, "See to its permissions.") from fault


def find_theme(name: str, journal: Path, beside: Path | None = None) -> Theme:
    """A theme by name, in the journal's `themes/` or among the program's own, or by the path of its folder.

    `beside` is the folder that a path starts from, the current one where None. Raises UnknownTheme,
    or ThemeFault if the theme or a parent of it cannot be used.
    """
    folder = next(_candidates(name, journal, beside or Path()), None)
    if folder is None:
        _refuse_folder_without_file(name, journal, beside or Path())
        raise UnknownTheme(f"There is no theme {name}. {_choice(journal)}")
    return _joined(_chain(folder, journal))


def known_themes(journal: Path) -> tuple[str, ...]:
    """The names of the journal's own themes and of the program's."""
    homes = [home for home in (journal / "themes", themes_folder()) if home.is_dir()]
    return tuple(sorted({file.parent.name for home in homes for file in home.glob(f"*/{FILE}")}))


def _choice(journal: Path) -> str:
    return f"Known: {', '.join(known_themes(journal))}; or give the path of a folder with a {FILE}."


def _places(name: str, journal: Path, beside: Path) -> Iterator[Path]:
    if not set(name) & {"/", "\\"}:
        yield journal / "themes" / name
        yield themes_folder() / name
    yield beside / name


def _candidates(name: str, journal: Path, beside: Path) -> Iterator[Path]:
    return (place.resolve() for place in _places(name, journal, beside) if (place / FILE).is_file())


def _refuse_folder_without_file(name: str, journal: Path, beside: Path) -> None:
    """A folder with templates was meant as a theme: what it lacks is said rather than that there is none."""
    for place in _places(name, journal, beside):
        if place.is_dir() and any(place.glob("*.html")):
            raise ThemeFault(
                str(place / FILE), 1, "The theme lacks this file.", f'Write it; one line will do: parent = "{DEFAULT}"'
            )


def _chain(folder: Path, journal: Path) -> list[_Declared]:
    """The theme and its parents. A parent of the same name is another one: the next that is found."""
    chain = [_read(folder)]
    while (name := chain[-1].parent) is not None:
        found = list(_candidates(name, journal, chain[-1].folder))
        fresh = [place for place in found if place not in {theme.folder for theme in chain}]
        if not found:
            raise chain[-1].fault("parent", f"There is no theme {name} to be the parent.", _choice(journal))
        if not fresh:
            way = " -> ".join([*(theme.folder.name for theme in chain), name])
            raise chain[-1].fault(
                "parent", f"The parents go round in a ring: {way}.", "Take the parent out of one of them."
            )
        chain.append(_read(fresh[0]))
    return chain


def _joined(chain: list[_Declared]) -> Theme:
    """What the theme does not say itself is as in the nearest parent that says it."""
    folders = tuple(theme.folder for theme in chain)
    listing = next((theme for theme in chain if theme.files is not None), chain[0])
    return Theme(
        name=folders[0].name,
        folders=folders,
        files={_site_name(name, listing): _source(name, folders, listing) for name in listing.files or ()},
        pictures=next((theme.pictures for theme in chain if theme.pictures is not None), PICTURES),
        drawings=next((theme.drawings for theme in chain if theme.drawings is not None), True),
    )


def _source(name: str, folders: tuple[Path, ...], listing: _Declared) -> Path:
    """The file of that name, from the theme itself or the nearest parent that has it."""
    for folder in folders:
        path = folder / name
        if path.is_file():
            if not path.resolve().is_relative_to(folder):
                raise listing.fault(
                    "files", f"{name} leads out of the theme's folder.", "Put the file itself into the theme."
                )
            return path
    looked = " or ".join(str(folder) for folder in folders)
    raise listing.fault("files", f"There is no file {name} in {looked}.", "Put it there, or take it out of the list.")


def _site_name(name: str, listing: _Declared) -> str:
    """The file's name in the site, refused where it is none or is taken."""
    path = PurePosixPath(name)
    if not path.parts or path.is_absolute() or ".." in path.parts or "\\" in name or ":" in name:
        raise listing.fault(
            "files", f'"{name}" does not name a file inside the theme.',
            'Write names from the theme\'s folder, such as "own.css" or "letters/own.woff2".',
        )  # fmt: skip
    if path.suffix.casefold() == ".html":
        raise listing.fault(
            "files", f"{name} would stand where a page may be: pages are made by templates, not copied.",
            "Take it out of the list; the template of that name is used by itself.",
        )  # fmt: skip
    root = path.parts[0].casefold()
    if root in _TAKEN or root.startswith(_TAKEN_FROM):
        raise listing.fault("files", f"{name} would overwrite what the site itself has there.", "Give it another name.")
    return path.as_posix()


def _read(folder: Path) -> _Declared:
    file = folder / FILE
    try:
        text = read_file(file).decode("utf-8-sig")
        data = tomllib.loads(text)
    except UnicodeDecodeError as fault:
        line = fault.object[: fault.start].count(b"\n") + 1
        raise ThemeFault(str(file), line, "The file is not UTF-8 text.", "Save it as UTF-8.") from None
    except tomllib.TOMLDecodeError as fault:
        line, _, reason = fault_in_toml(text, fault)
        message = f"This is not TOML: {reason}."
        raise ThemeFault(str(file), line, message, "Look at the quotes and brackets of this line.") from None
    declared = _Declared(folder, text)
    for key in data:
        if key not in _KEYS:
            near = nearest(key, _KEYS)
            hint = f"Did you mean {near}?" if near else f"The keys are {', '.join(_KEYS)}."
            raise declared.fault(key, f"{key} is not a key of a theme.", hint)
    return _Declared(
        folder, text, _parent(data, declared), _names(data, declared), _formats(data, declared), _flag(data, declared)
    )


def _parent(data: Mapping[str, Any], declared: _Declared) -> str | None:
    parent = data.get("parent")
    if parent is not None and (not isinstance(parent, str) or not parent.strip()):
        raise declared.fault("parent", "parent should be the name of a theme.", f'Write parent = "{DEFAULT}".')
    return parent


def _names(data: Mapping[str, Any], declared: _Declared) -> tuple[str, ...] | None:
    names = data.get("files")
    if names is None:
        return None
    if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
        raise declared.fault("files", "files should be a list of file names.", 'Write files = ["own.css"].')
    return tuple(dict.fromkeys(names))


def _formats(data: Mapping[str, Any], declared: _Declared) -> tuple[str, ...] | None:
    formats = data.get("pictures")
    if formats is None:
        return None
    if not isinstance(formats, list) or not all(found in PICTURES for found in formats) or "jpeg" not in formats:
        raise declared.fault(
            "pictures", "pictures should be a list of formats with jpeg among them.",
            'Write pictures = ["avif", "jpeg"] or pictures = ["jpeg"].',
        )  # fmt: skip
    return tuple(found for found in PICTURES if found in formats)


def _flag(data: Mapping[str, Any], declared: _Declared) -> bool | None:
    flag = data.get("drawings")
    if flag is not None and not isinstance(flag, bool):
        raise declared.fault("drawings", "drawings should be true or false.", "Write drawings = false, without quotes.")
    return flag
