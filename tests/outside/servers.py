"""Real servers on the loopback address, started by the tests, and a line to them that can be cut."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from getpass import getuser
from pathlib import Path

import pytest

SSHD = shutil.which("sshd") or next(
    (path for path in ("/usr/sbin/sshd", "/usr/bin/sshd") if os.path.exists(path)), None
)
needs_sshd = pytest.mark.skipif(SSHD is None, reason="OpenSSH's server is not installed")


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def wait_for_port(port: int, seconds: float = 20) -> None:
    """Until something answers there."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        with suppress(OSError), socket.create_connection(("127.0.0.1", port), 1):
            return
        time.sleep(0.05)
    raise AssertionError(f"nothing answers at port {port}")


class SshServer:
    """OpenSSH's server with a configuration, a host key and one allowed key of its own, for whoever runs the tests."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.home = folder / "home"  # of the one who logs in; with .ssh as people have it
        self.port = free_port()
        self.user = getuser()
        (self.home / ".ssh").mkdir(parents=True, mode=0o700)
        self.make_key(folder / "host")
        self.make_key(self.home / ".ssh" / "id_ed25519")
        self.know()

    def make_key(self, file: Path, passphrase: str = "") -> None:
        file.unlink(missing_ok=True)
        subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", passphrase, "-f", str(file)], check=True)

    def know(self, host_key: Path | None = None, port: int | None = None) -> None:
        """Has the one who logs in know a key as that of the server."""
        key = (host_key or self.folder / "host").with_suffix(".pub").read_text().split()
        with (self.home / ".ssh" / "known_hosts").open("a") as known:
            known.write(f"[127.0.0.1]:{port or self.port} {key[0]} {key[1]}\n")

    def forget(self) -> None:
        (self.home / ".ssh" / "known_hosts").write_text("")

    def url(self, folder: Path, port: int | None = None) -> str:
        return f"sftp://{self.user}@127.0.0.1:{port or self.port}{folder}"

    @contextmanager
    def running(self, *more: str) -> Iterator[None]:
        lines = [
            f"Port {self.port}", "ListenAddress 127.0.0.1", f"HostKey {self.folder}/host", "PidFile none",
            f"AuthorizedKeysFile {self.home}/.ssh/id_ed25519.pub", "StrictModes no", "UsePAM no", "LogLevel ERROR",
            "PasswordAuthentication no", "PermitRootLogin yes", "Subsystem sftp internal-sftp", *more,
        ]  # fmt: skip
        (self.folder / "config").write_text("\n".join(lines) + "\n")
        if os.geteuid() == 0:
            Path("/run/sshd").mkdir(exist_ok=True)  # which the server of a system makes for itself at every start
        with (self.folder / "log").open("wb") as log:
            process = subprocess.Popen([str(SSHD), "-D", "-e", "-f", str(self.folder / "config")], stderr=log)
        try:
            wait_for_port(self.port)
            yield
        finally:
            process.terminate()
            process.wait(timeout=20)


class Cutter:
    """A line to a port that is cut after so many bytes have been sent: one figure for each connection, then never."""

    def __init__(self, to: int, after: Sequence[int]) -> None:
        self._to = to
        self._after = list(after)
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.port = int(self._listening.getsockname()[1])
        self.connections = 0
        self.cuts = 0
        threading.Thread(target=self._serve, daemon=True).start()

    def __enter__(self) -> Cutter:
        return self

    def __exit__(self, *rest: object) -> None:
        self._listening.close()

    def _serve(self) -> None:
        with suppress(OSError):
            while True:
                here, _ = self._listening.accept()
                self.connections += 1
                threading.Thread(target=self._carry, args=(here,), daemon=True).start()

    def _carry(self, here: socket.socket) -> None:
        there = socket.create_connection(("127.0.0.1", self._to))
        back = threading.Thread(target=self._pour, args=(there, here), daemon=True)
        back.start()
        limit = self._after[0] if self._after else None
        with suppress(OSError):
            while piece := here.recv(1 << 14):
                if limit is not None and len(piece) > limit:
                    self._after.pop(0)
                    self.cuts += 1
                    break
                limit = limit - len(piece) if limit is not None else None
                there.sendall(piece)
        for end in (here, there):
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
        back.join(5)
        here.close()
        there.close()

    def _pour(self, source: socket.socket, target: socket.socket) -> None:
        with suppress(OSError):
            while piece := source.recv(1 << 14):
                target.sendall(piece)
        with suppress(OSError):
            target.shutdown(socket.SHUT_RDWR)
