"""A store that speaks S3. Who one is, is told by the environment (AWS_...) or `~/.aws`, as for other programs."""

from __future__ import annotations

from pathlib import Path
from typing import Any, BinaryIO, Final

from botocore.exceptions import (
    BotoCoreError,
    ClientError,
    ConnectionClosedError,
    EndpointConnectionError,
    HTTPClientError,
    NoCredentialsError,
    PartialCredentialsError,
    ProfileNotFound,
)
from fsspec.callbacks import Callback
from s3fs import S3FileSystem

from journalgen.outside.publishing.faults import CannotPublish, Dropped
from journalgen.outside.publishing.headers import headers_of
from journalgen.outside.publishing.store import Heard, Store

_PATIENCE: Final = 30  # seconds without an answer
_LINE: Final = (ConnectionClosedError, EndpointConnectionError, HTTPClientError)


class _Tells(Callback):  # type: ignore[misc]  # fsspec tells no types
    def __init__(self, heard: Heard) -> None:
        super().__init__()
        self._heard = heard

    def relative_update(self, inc: int = 1) -> None:
        self._heard(inc)


class S3Store(Store):
    """An object of a store is there whole or not at all, so nothing is renamed; there are no folders."""

    def _connect(self) -> Any:
        files = S3FileSystem(
            endpoint_url=self.target.endpoint,
            config_kwargs={"connect_timeout": _PATIENCE, "read_timeout": _PATIENCE, "retries": {"max_attempts": 1}},
            skip_instance_cache=True,
            use_listings_cache=False,
        )
        files.retries = 1  # what is tried again is told, and interrupted, in one place for all protocols
        return files

    def _path(self, name: str) -> str:
        return "/".join(filter(None, (self.target.host, self.target.path, name)))

    def prepare(self) -> None:
        with self._told(""):
            try:
                self.files.call_s3("head_bucket", Bucket=self.target.host)
            except FileNotFoundError:
                raise CannotPublish(
                    f"There is no bucket {self.target.host}. Make it first, or mend the url of the target."
                ) from None

    def put(self, name: str, source: Path, size: int, heard: Heard) -> None:
        with self._told(name):
            self.files.put_file(str(source), self._path(name), callback=_Tells(heard), **headers_of(name))

    def _replace(self, name: str, stream: BinaryIO, size: int, heard: Heard) -> None:
        self.files.pipe_file(self._path(name), stream.read(), **headers_of(name))

    def remove(self, name: str) -> None:
        with self._told(name):
            self.files.call_s3("delete_object", Bucket=self.target.host, Key=self._path(name).partition("/")[2])

    def remove_folder(self, folder: str) -> None:
        return

    def _explain(self, fault: Exception, name: str) -> Exception:
        causes = [fault, fault.__cause__, fault.__context__]
        if any(isinstance(cause, (NoCredentialsError, PartialCredentialsError, ProfileNotFound)) for cause in causes):
            return CannotPublish(
                "It is not known who you are to the store. Put AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY into the "
                "environment, or a profile into ~/.aws/credentials (AWS_PROFILE chooses one)."
            )
        if isinstance(fault, PermissionError):
            return CannotPublish(
                f"The store does not let you at {name or self.target.host}: {self.masked(_said(fault))}. Look at the "
                "key, at its rights to list, read, write and delete there, and at the clock of this computer."
            )
        if any(isinstance(cause, _LINE) for cause in causes):
            return Dropped(self.masked(_said(fault)))
        if isinstance(fault, (ClientError, BotoCoreError)):
            return CannotPublish(f"The store refused {name or 'this'}: {self.masked(_said(fault))}.")
        return super()._explain(fault, name)


def _said(fault: Exception) -> str:
    return " ".join(str(fault).split()).rstrip(".")
