"""A target of `journal.toml` to the place it names: where, by which protocol, and never with a secret in it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final
from urllib.parse import SplitResult, unquote, urlsplit

from msgspec import Struct

from journalgen.reading.unreadable import Unreadable

FOLDER: Final = "folder"
SFTP: Final = "sftp"
S3: Final = "s3"
FTPS: Final = "ftps"
KEYS: Final = ("url", "endpoint")
SECRET: Final = "target-secret"  # noqa: S105  # the name of a rule
"""The rule against secrets in `journal.toml`."""

_SCHEMES: Final = {"file": FOLDER, "sftp": SFTP, "s3": S3, "ftps": FTPS}
_SECRETS: Final = re.compile(r"pass(word|phrase|wd)?|secret.*|token|.*(_key|_secret|_password|_token)|key|credentials?")
_ENDPOINT: Final = re.compile(r"https?://[^\s/?#@<>\"']+(/[^\s?#@<>\"']*)?")


class Target(Struct, frozen=True):
    """A place that the site is sent to."""

    name: str
    protocol: str  # folder, sftp, s3 or ftps
    path: str  # a folder as written; on a server from its root, or from where one arrives if it begins with no slash
    host: str = ""  # the bucket of a store
    port: int | None = None
    user: str | None = None
    endpoint: str | None = None  # the address of the store, where it is not the one that S3 is named after

    @property
    def shown(self) -> str:
        """The target as it is told to people."""
        if self.protocol == FOLDER:
            return self.path
        user = f"{self.user}@" if self.user else ""
        port = f":{self.port}" if self.port else ""
        path = self.path if self.path.startswith("/") or self.protocol == S3 else f"~/{self.path}".rstrip("/")
        return f"{self.protocol}://{user}{self.host}{port}/{path.lstrip('/')}".rstrip("/")


def parse_target(name: str, row: Mapping[str, str]) -> Target:
    """The target of one table `[targets.NAME]`; keys that it does not know are passed over.

    Raises Unreadable, in words that never hold what might be a secret.
    """
    for key in row:
        if key not in KEYS and _SECRETS.fullmatch(key.casefold().replace("-", "_")):
            raise _secret(f"`{key}` looks like a secret.")
    url = row.get("url", "").strip()
    if not url:
        raise Unreadable("target-url", "It does not say where the site is sent to.", 'Write url = "sftp://...".')
    target = _parse_url(name, url)
    endpoint = row.get("endpoint")
    if endpoint is None:
        return target
    if "@" in endpoint:
        raise _secret("Its endpoint holds a user or a password.")
    if target.protocol != S3 or not _ENDPOINT.fullmatch(endpoint):
        raise Unreadable(
            "target-url",
            "`endpoint` is the web address of the store that an s3:// target lies in.",
            'Write url = "s3://bucket/folder" and endpoint = "https://...".',
        )
    return Target(name, S3, target.path, target.host, endpoint=endpoint.rstrip("/"))


def _secret(message: str) -> Unreadable:
    return Unreadable(
        SECRET,
        f"{message} This file is no place for it.",
        "Take it out, change it where it is valid, and use an SSH key, a credentials file, or JOURNALGEN_PASSWORD in "
        "the environment.",
    )


def _parse_url(name: str, url: str) -> Target:
    if "://" not in url:
        return Target(name, FOLDER, url)
    try:
        parts = urlsplit(url)
        port = parts.port
    except ValueError:
        raise _no_url("Its url cannot be read.") from None
    if parts.password is not None:
        raise _secret("Its url holds a password.")
    protocol = _SCHEMES.get(parts.scheme)
    if protocol is None:
        raise _no_url(f"{parts.scheme}:// is no way to send a site." + _why_not(parts.scheme))
    if parts.query or parts.fragment:
        raise _no_url("Its url holds a ? or a #.")
    if protocol == FOLDER:
        return Target(name, FOLDER, _folder_of(parts))
    if not parts.hostname:
        raise _no_url("Its url names no host.")
    if protocol == S3:
        if parts.username or port:
            raise _no_url("The url of a store holds no user and no port.")
        return Target(name, S3, unquote(parts.path).strip("/"), parts.netloc)
    user = unquote(parts.username) if parts.username else None
    return Target(name, protocol, _path_of(parts, protocol), parts.hostname, port, user)


def _path_of(parts: SplitResult, protocol: str) -> str:
    """A folder on a server; `/~/` begins where one arrives."""
    path = unquote(parts.path).rstrip("/")
    if ".." in path.split("/"):
        raise _no_url("Its url leads upwards with `..`.")
    if path == "/~" or path.startswith("/~/"):
        if protocol != SFTP:
            raise _no_url("Its url begins with ~, which sftp:// alone knows.")
        return path[3:]
    return path


def _why_not(scheme: str) -> str:
    return " It sends passwords for all to read; ftps:// does not." if scheme == "ftp" else ""


def _no_url(message: str) -> Unreadable:
    return Unreadable(
        "target-url",
        message,
        "Write a folder, sftp://user@host/folder, s3://bucket/folder or ftps://user@host/folder.",
    )


def _folder_of(parts: SplitResult) -> str:
    if parts.netloc not in ("", "localhost"):
        raise _no_url("A file:// url names no other computer.")
    path = unquote(parts.path)
    return path[1:] if re.match(r"/[A-Za-z]:", path) else path
