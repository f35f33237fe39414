"""The preview as a whole: ports on this computer, the keeper in a thread of its own, and the door until it is ended."""

from __future__ import annotations

import asyncio
import errno
import logging
import signal
import socket
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from datetime import date
from threading import Thread
from typing import Final

import uvicorn
from msgspec.structs import replace

from journalgen.keeping import CACHE
from journalgen.ledgers.money import ReferenceRates
from journalgen.preview.changes import Changes
from journalgen.preview.door import Door
from journalgen.preview.keeper import Keeper, Told
from journalgen.preview.news import News
from journalgen.site.assemble import Order

ADDRESS: Final = "127.0.0.1"
PORT: Final = 8347
"""The usual port; the next free one is taken where it is not free."""

_TRIED: Final = 20
_HEADER: Final = 32 * 1024  # bytes that the head of a request may have
_PATIENCE: Final = 1  # seconds that a browser is given to go


class PortTaken(Exception):
    """The port that was asked for cannot be had."""


def preview(
    order: Order,
    reference: ReferenceRates,
    today: Callable[[], date],
    port: int | None,
    begun: Callable[[Mapping[str, str]], None],
    told: Told,
) -> None:
    """Shows the editions of an order until it is interrupted; the sites lie in the journal's cache.

    `port` is that of the first edition; the next has the one above. `begun` is told the address of each
    edition, `told`, in another thread, what came of every change. Raises PortTaken.
    """
    folder = order.folder / CACHE / "preview"
    order = replace(order, to=folder)
    news = News()
    with ExitStack() as stack:
        sockets = [stack.enter_context(listener) for listener in _listen(port, len(order.editions))]
        ports = [listener.getsockname()[1] for listener in sockets]
        shown = dict(zip(ports, (folder / edition for edition in order.editions), strict=True))
        changes = stack.enter_context(Changes(order.folder))
        keeper = Keeper(order, reference, today, news, changes, told)
        begun({edition: f"http://{ADDRESS}:{port}/" for edition, port in zip(order.editions, ports, strict=True)})
        keeping = Thread(target=keeper.run, name="keeper")
        server = _Server(Door(shown, news), news)
        keeping.start()
        try:
            asyncio.run(server.serve(sockets))
        finally:
            keeper.end()
            keeping.join()


class _Server(uvicorn.Server):
    """The library's, which lets go of browsers that wait for news, and takes an interrupt for the ordinary end."""

    def __init__(self, door: Door, news: News) -> None:
        super().__init__(
            uvicorn.Config(
                door,
                access_log=False,
                log_level=logging.CRITICAL,
                lifespan="off",
                server_header=False,
                ws="none",
                http="h11",
                proxy_headers=False,
                h11_max_incomplete_event_size=_HEADER,
                timeout_graceful_shutdown=_PATIENCE,
            )
        )
        self._news = news

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        self._news.attach(asyncio.get_running_loop())
        await super().startup(sockets)

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        self._news.end()
        await super().shutdown(sockets)

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        before = {kind: signal.signal(kind, self.handle_exit) for kind in (signal.SIGINT, signal.SIGTERM)}
        try:
            yield
        finally:
            for kind, handler in before.items():
                signal.signal(kind, handler)


def _listen(port: int | None, many: int) -> Sequence[socket.socket]:
    """Sockets at a port and those above it; at the next free ones where no port was asked for."""
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
        listener.listen(512)
    except OSError:
        listener.close()
        raise
    return listener
