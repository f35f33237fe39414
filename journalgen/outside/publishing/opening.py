"""A target to the store that reaches it; what a store needs beyond the program is asked for when it is needed."""

from __future__ import annotations

import logging
from importlib.util import find_spec
from pathlib import Path
from typing import Final

from journalgen.outside.publishing.faults import CannotPublish
from journalgen.outside.publishing.store import Store
from journalgen.reading.targets import FOLDER, FTPS, S3, SFTP, Target

_LIBRARIES: Final = {SFTP: ("paramiko", "SFTP"), S3: ("s3fs", "an S3-compatible store")}


def open_store(target: Target, journal: Path) -> Store:
    """The store of a target; nothing is connected to yet. Raises CannotPublish."""
    _require(target.protocol)
    for chatty in ("paramiko", "asyncio", "botocore", "aiobotocore", "s3fs", "fsspec"):
        logging.getLogger(chatty).setLevel(
            logging.CRITICAL + 1
        )  # they would write into the progress, and who knows what
    if target.protocol == FOLDER:
        from journalgen.outside.publishing.folder import FolderStore

        return FolderStore(target, journal)
    if target.protocol == SFTP:
        from journalgen.outside.publishing.sftp import SftpStore

        return SftpStore(target)
    if target.protocol == S3:
        from journalgen.outside.publishing.s3 import S3Store

        return S3Store(target)
    if target.protocol == FTPS:
        from journalgen.outside.publishing.ftps import FtpsStore

        return FtpsStore(target)
    raise AssertionError(target.protocol)


def _require(protocol: str) -> None:
    library, what = _LIBRARIES.get(protocol, ("fsspec", ""))
    if find_spec(library) is None:
        raise CannotPublish(
            f"To send to {what}, the library {library} is needed, which is not installed. "
            f'Install it with: pip install "journalgen[{protocol}]"'
        )
