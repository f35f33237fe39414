"""Ports on this computer, and connections that are let go if nothing is asked over them."""

from __future__ import annotations

import asyncio
import errno
import socket
import sys
from collections.abc import Sequence
from typing import Any, Final

from uvicorn.protocols.http.h11_impl import H11Protocol

ADDRESS: Final = "127.0.0.1"
PORT: Final = 8347
"""The usual port; the next free one is taken where it is not free."""

_TRIED: Final = 20
_WAITING: Final = 512  # connections that the system holds until they are taken
_SILENT: Final = 10.0  # seconds that a request may take to be said
_FILES: Final = 4096  # connections and files that may be open at once, where the system allows as many


class PortTaken(Exception):
    """The port that was asked for cannot be had."""


def listen(port: int | None, many: int) -> Sequence[socket.socket]:
    """Sockets at a port and those above it; at the next free ones where no port was asked for. Raises PortTaken."""
    tried = [port] if port is not None else [*range(PORT, PORT + _TRIED * many, many), 0]
    for first in tried:
        opened: list[socket.socket] = []
        try:
            for n in range(many):
                opened.append(_open(first + n if first else 0))
            return opened
        except OSError as fault:
            for listener in opened:
                listener.close()
            if fault.errno not in (errno.EADDRINUSE, errno.EACCES):
                raise
    raise PortTaken(f"Port {port} is taken. Name another, or leave --port out for the next that is free.")


def _open(port: int) -> socket.socket:
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):  # Windows lets two programs listen at one port otherwise
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((ADDRESS, port))
        listener.listen(_WAITING)
    except OSError:
        listener.close()
        raise
    return listener


def allow_many_files() -> None:
    """Raises how many connections may be open, where the system's usual number is low and can be raised."""
    if sys.platform == "win32":
        return
    import resource

    now, most = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = _FILES if most == resource.RLIM_INFINITY else min(_FILES, most)
    if now != resource.RLIM_INFINITY and now < wanted:
        resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, most))


class Connection(H11Protocol):
    """The library's, closed if a request is not said in time: else silent ones would crowd out the others."""

    def __init__(self, *args: Any, **named: Any) -> None:
        super().__init__(*args, **named)
        self._patience: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]  # as the library's
        super().connection_made(transport)
        self._wait()

    def data_received(self, data: bytes) -> None:
        super().data_received(data)
        self._wait()

    def connection_lost(self, exc: Exception | None) -> None:
        self._stop_waiting()
        super().connection_lost(exc)

    def _wait(self) -> None:
        """Begins to wait for a request, unless one is waited for already or being answered."""
        if self.cycle is not None and not self.cycle.response_complete:
            self._stop_waiting()
        elif self._patience is None:
            self._patience = self.loop.call_later(_SILENT, self._give_up)

    def _stop_waiting(self) -> None:
        if self._patience is not None:
            self._patience.cancel()
            self._patience = None

    def _give_up(self) -> None:
        self._patience = None
        if (self.cycle is None or self.cycle.response_complete) and not self.transport.is_closing():
            self.transport.close()
