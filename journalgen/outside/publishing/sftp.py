"""A folder on a server that speaks SFTP, over a host key that this computer knows already.

User, port, key files and the like are taken from `~/.ssh/config` as ssh itself would; logging in is done by an SSH
agent, a key file, or a password from the environment.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from socket import gaierror
from typing import Any, BinaryIO, Final

import paramiko
from fsspec.implementations.sftp import SFTPFileSystem
from paramiko.ssh_exception import NoValidConnectionsError

from journalgen.outside.publishing.faults import CannotPublish, Dropped
from journalgen.outside.publishing.store import Heard, Store, explain_system
from journalgen.reading.targets import Target

_PATIENCE: Final = 30.0  # seconds without an answer
_CONFIG: Final = "~/.ssh/config"
_KNOWN: Final = ("~/.ssh/known_hosts", "~/.ssh/known_hosts2", "/etc/ssh/ssh_known_hosts")


class _UnknownHost(Exception):
    """The host has a key of which this computer does not know whether it is the right one."""

    def __init__(self, key: paramiko.PKey) -> None:
        super().__init__("unknown host")
        self.key = key


class _Refuse(paramiko.MissingHostKeyPolicy):
    def missing_host_key(self, client: paramiko.SSHClient, hostname: str, key: paramiko.PKey) -> None:
        raise _UnknownHost(key)


class _KnownHostsOnly(SFTPFileSystem):  # type: ignore[misc]  # fsspec tells no types
    """fsspec's file system, which by itself believes any host; this one believes the keys that are known."""

    cachable = False

    def __init__(self, host: str, known: Sequence[Path], **rest: Any) -> None:
        self.known = known
        super().__init__(host, **rest)

    def _connect(self) -> None:
        self.client = paramiko.SSHClient()
        self.client.set_missing_host_key_policy(_Refuse())
        for file in self.known:
            self.client.load_system_host_keys(str(file))
        try:
            self.client.connect(self.host, **self.ssh_kwargs)
            self.ftp = self.client.open_sftp()
        except BaseException:
            self.client.close()
            raise
        channel = self.ftp.get_channel()
        if channel is not None:
            channel.settimeout(_PATIENCE)


class SftpStore(Store):
    """Its paths begin at the server's root, or where one arrives after logging in."""

    def __init__(self, target: Target) -> None:
        super().__init__(target)
        self._config = _read_config(target.host)
        self._host = str(self._config.get("hostname", target.host))
        self._port = target.port or int(self._config.get("port", paramiko.config.SSH_PORT))

    def _connect(self) -> Any:
        wanted = [Path(file).expanduser() for file in self._known_hosts()]
        sock = self._config.get("proxycommand")
        return _KnownHostsOnly(
            self._host,
            known=[file for file in wanted if file.is_file()],
            port=self._port,
            username=self.target.user or self._config.get("user"),
            password=self._password,
            key_filename=[file for file in self._config.get("identityfile", ()) if os.path.isfile(file)] or None,
            sock=paramiko.ProxyCommand(sock) if sock else None,
            timeout=_PATIENCE,
            banner_timeout=_PATIENCE,
            auth_timeout=_PATIENCE,
        )

    def _path(self, name: str) -> str:
        return super()._path(name) or "."

    def _known_hosts(self) -> Sequence[str]:
        named = self._config.get("userknownhostsfile")
        return [*str(named).split(), _KNOWN[-1]] if named else _KNOWN

    def _close(self, files: Any) -> None:
        files.client.close()

    def _pour(self, source: BinaryIO, path: str, size: int, heard: Heard) -> None:
        told = 0

        def call(done: int, total: int) -> None:
            nonlocal told
            heard(done - told)
            told = done

        self.files.ftp.putfo(source, path, size, call)  # many pieces on their way at once, and the size looked at

    def _rename(self, old: str, new: str) -> None:
        try:
            self.files.mv(old, new)
        except OSError as fault:
            if fault.errno is not None or not self._lives():
                raise
            self.files.rm_file(new)  # a server that does not rename over a file; for a moment there is none
            self.files.ftp.rename(old, new)

    def _lives(self) -> bool:
        transport = self._files.client.get_transport() if self._files is not None else None
        return transport is not None and bool(transport.is_active())

    def _explain(self, fault: Exception, name: str) -> Exception:
        return self._explain_host(fault) or self._explain_line(fault, name) or super()._explain(fault, name)

    def _explain_host(self, fault: Exception) -> Exception | None:
        """What is wrong before anybody is logged in."""
        port = f" -p {self._port}" if self._port != paramiko.config.SSH_PORT else ""
        if isinstance(fault, _UnknownHost):
            return CannotPublish(
                f"This computer does not know {self._host} yet. It shows the key {fault.key.get_name()} "
                f"{fault.key.fingerprint}; ask whoever runs it whether that is right. Then log in once with "
                f"ssh{port} {self._host} and accept it."
            )
        if isinstance(fault, paramiko.BadHostKeyException):
            return CannotPublish(
                f"{self._host} shows another key than the one this computer knows: {fault.key.fingerprint}. Somebody "
                "may be listening in. Nothing was sent. Ask whoever runs it; if its key was changed, take the old one "
                f"away with ssh-keygen -R {_known_name(self._host, self._port)}"
            )
        if isinstance(fault, paramiko.AuthenticationException):
            return CannotPublish(
                f"{self._host} did not let {self.target.user or self._config.get('user') or 'you'} in. What is tried: "
                "the SSH agent, the key files of ~/.ssh, and the password in JOURNALGEN_PASSWORD."
            )
        if isinstance(fault, gaierror):
            return CannotPublish(f"There is no computer named {self._host}, or no network. Look at the target's url.")
        return None

    def _explain_line(self, fault: Exception, name: str) -> Exception | None:
        """Whether the line was lost. paramiko tells of that, and of a refusal by the server, by the same class."""
        if isinstance(fault, NoValidConnectionsError):
            return Dropped(f"nothing answers at {self._host}, port {self._port}")
        if isinstance(fault, (paramiko.SSHException, EOFError)) or not self._lives():
            return Dropped("; ".join(filter(None, [" ".join(str(fault).split()).rstrip(".")])) or "it was cut")
        if isinstance(fault, OSError) and fault.errno is None:
            return CannotPublish(
                f"The server refused to write {name or 'there'} ({self.masked(str(fault)).rstrip('.')}) and gives no "
                "reason. Its disk may be full or read-only, or the name not allowed."
            )
        if isinstance(fault, OSError) and fault.errno == errno.ENOENT:
            return explain_system(FileNotFoundError(fault.errno, "No such file"), name)
        return None


def _known_name(host: str, port: int) -> str:
    return host if port == paramiko.config.SSH_PORT else f'"[{host}]:{port}"'


def _read_config(host: str) -> Mapping[str, Any]:
    file = Path(_CONFIG).expanduser()
    if not file.is_file():
        return {}
    try:
        return paramiko.SSHConfig.from_path(str(file)).lookup(host)
    except (paramiko.ConfigParseError, OSError, UnicodeDecodeError) as fault:
        raise CannotPublish(f"{_CONFIG} cannot be read: {' '.join(str(fault).split())}.") from None
