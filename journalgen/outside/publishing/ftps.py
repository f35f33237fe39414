"""A folder on a server that speaks FTP over TLS (RFC 4217), whose certificate this computer trusts.

The password comes from the environment or from `~/.netrc`. Without TLS nothing is sent: it would carry the password
for all to read.
"""

from __future__ import annotations

import ftplib
import netrc
import ssl
from contextlib import suppress
from datetime import UTC, datetime
from socket import gaierror, socket
from typing import Any, BinaryIO, Final

from fsspec.implementations.ftp import FTPFileSystem

from journalgen.outside.publishing.faults import CannotPublish, Dropped
from journalgen.outside.publishing.store import PIECE, Heard, Store
from journalgen.reading.targets import Target

_PATIENCE: Final = 30.0  # seconds without an answer
_TIME: Final = "%Y%m%d%H%M%S"  # RFC 3659, 2.3
_LINE: Final = ("421", "425", "426")
_FULL: Final = ("452", "552")
_NOT_THERE: Final = "550"


class _Line(ftplib.FTP_TLS):
    """Has each file's line go on with the session of the first, which many servers ask for."""

    def ntransfercmd(self, cmd: str, rest: int | str | None = None) -> tuple[socket, int | None]:
        line, size = ftplib.FTP.ntransfercmd(self, cmd, rest)  # noqa: S321  # TLS is laid over it below
        session = self.sock.session if isinstance(self.sock, ssl.SSLSocket) else None
        return self.context.wrap_socket(line, server_hostname=self.host, session=session), size


class _Verified(FTPFileSystem):  # type: ignore[misc]  # fsspec tells no types
    """fsspec's file system, which by itself believes any certificate; this one has it verified."""

    def _connect(self) -> None:
        self.ftp = _Line(context=ssl.create_default_context(), timeout=self.timeout, encoding=self.encoding)
        self.ftp.connect(self.host, self.port)
        self.ftp.login(*self.cred)
        self.ftp.prot_p()


class FtpsStore(Store):
    """Its paths begin at the root that the server shows."""

    def _connect(self) -> Any:
        user, password = _find_login(self.target, self._password)
        if password:
            self._password = password  # to be struck out of whatever is said
        return _Verified(
            self.target.host,
            port=self.target.port or ftplib.FTP_PORT,
            username=user,
            password=password,
            timeout=_PATIENCE,
            tls=True,
            skip_instance_cache=True,
        )

    def _close(self, files: Any) -> None:
        files.ftp.close()

    def _path(self, name: str) -> str:
        return f"/{self.target.path}/{name}".rstrip("/").replace("//", "/") or "/"

    @property
    def files(self) -> Any:
        files = super().files
        files.invalidate_cache()  # what others do there meanwhile is to be seen
        return files

    def read(self, name: str) -> bytes | None:
        with self._told(name):
            if name not in self.names_in(name.rpartition("/")[0]):
                return None
            pieces: list[bytes] = []
            self.files.ftp.retrbinary(f"RETR {self._path(name)}", pieces.append)
            return b"".join(pieces)

    def changed_at(self, name: str) -> float | None:
        with self._told(name):
            try:
                told = self.files.info(self._path(name)).get("modify", "")
            except FileNotFoundError:
                return None
            when = datetime.strptime(told.partition(".")[0], _TIME).replace(tzinfo=UTC)
            return when.timestamp()

    def _pour(self, source: BinaryIO, path: str, size: int, heard: Heard) -> None:
        self.files.ftp.storbinary(f"STOR {path}", source, PIECE, lambda piece: heard(len(piece)))

    def _rename(self, old: str, new: str) -> None:
        try:
            self.files.mv(old, new)
        except ftplib.error_perm:
            with suppress(ftplib.error_perm):  # a server that does not rename over a file; for a moment there is none
                self.files.rm_file(new)
            self.files.mv(old, new)

    def _explain(self, fault: Exception, name: str) -> Exception:
        if isinstance(fault, ssl.SSLCertVerificationError):
            return CannotPublish(
                f"The certificate of {self.target.host} is not to be trusted: {fault.verify_message}. Nothing was "
                "sent. Look at the host's name in the url, or have this computer trust who signed it (SSL_CERT_FILE)."
            )
        if isinstance(fault, gaierror):
            return CannotPublish(f"There is no computer named {self.target.host}, or no network. Look at the url.")
        if isinstance(fault, ftplib.Error):
            return self._explain_reply(str(fault), name)
        if isinstance(fault, (ssl.SSLError, EOFError)):
            return Dropped(self.masked(str(fault)) or "it was cut")
        return super()._explain(fault, name)

    def _explain_reply(self, reply: str, name: str) -> Exception:
        """What the server's answer means, which begins with a number: RFC 959, 4.2."""
        said = self.masked(" ".join(reply.split())).rstrip(".")
        if reply.startswith(_LINE):
            return Dropped(said)
        if reply.startswith("530"):
            return CannotPublish(
                f"{self.target.host} did not let {self.target.user or 'you'} in ({said}). The password is taken from "
                "JOURNALGEN_PASSWORD or ~/.netrc."
            )
        if reply.startswith(_FULL):
            return CannotPublish(
                f"The target is full: {name or 'this'} could not be written ({said}). Make room there."
            )
        if reply.startswith(_NOT_THERE):
            return CannotPublish(f"The target does not let you write {name or 'there'} ({said}).")
        return CannotPublish(f"The server refused {name or 'this'}: {said}.")


def _find_login(target: Target, password: str | None) -> tuple[str | None, str | None]:
    """User and password: those of the target and the environment, else of `~/.netrc`."""
    if password:
        return target.user, password
    try:
        found = netrc.netrc().authenticators(target.host)
    except (OSError, netrc.NetrcParseError):
        return target.user, None
    if not found or (target.user and found[0] != target.user):
        return target.user, None
    return found[0], found[2]
