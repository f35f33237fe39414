"""The preview as a whole: ports on this computer, the keeper in a thread of its own, and the door until it is ended."""

from __future__ import annotations

import asyncio
import logging
import signal
import socket
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from datetime import date
from pathlib import Path
from threading import Thread
from typing import Final

import uvicorn
from msgspec.structs import replace

from journalgen.alone import Taken, alone
from journalgen.keeping import CACHE
from journalgen.ledgers.money import ReferenceRates
from journalgen.preview.changes import Changes
from journalgen.preview.door import Door
from journalgen.preview.keeper import Keeper, Told
from journalgen.preview.listening import ADDRESS, Connection, allow_many_files, listen
from journalgen.preview.news import News
from journalgen.site.assemble import Order

_HEADER: Final = 32 * 1024  # bytes that the head of a request may have
_PATIENCE: Final = 1  # seconds that a browser is given to go


class CannotShow(Exception):
    """The preview cannot begin; the text says why and what to do."""


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
    edition, `told`, in another thread, what came of every change. Raises PortTaken and CannotShow.
    """
    folder = order.folder / CACHE / "preview"
    order = replace(order, to=folder)
    news = News()
    allow_many_files()
    with ExitStack() as stack:
        note = stack.enter_context(_alone_with(order.folder / CACHE))
        sockets = [stack.enter_context(listener) for listener in listen(port, len(order.editions))]
        ports = [listener.getsockname()[1] for listener in sockets]
        shown = dict(zip(ports, (folder / edition for edition in order.editions), strict=True))
        changes = stack.enter_context(Changes(order.folder))
        keeper = Keeper(order, reference, today, news, changes, told)
        addresses = [f"http://{ADDRESS}:{port}/" for port in ports]
        note.write_text(addresses[0], encoding="utf-8")
        begun(dict(zip(order.editions, addresses, strict=True)))
        server = _Server(Door(shown, news), news)
        faults: list[BaseException] = []

        def keep() -> None:
            try:
                keeper.run()
            except BaseException as fault:  # nothing would be renewed any more, and nobody would know
                faults.append(fault)
                server.should_exit = True

        keeping = Thread(target=keep, name="keeper")
        keeping.start()
        try:
            asyncio.run(server.serve(sockets))
        finally:
            keeper.end()
            keeping.join()
        for fault in faults:
            raise fault


@contextmanager
def _alone_with(cache: Path) -> Iterator[Path]:
    """Keeps a second preview of the journal away; gives the file in which it finds where the first one is."""
    note = cache / "preview.address"
    try:
        cache.mkdir(exist_ok=True)
        note.touch()
    except OSError as fault:
        raise CannotShow(f"A preview keeps its pages in {cache}, which cannot be written: {fault.strerror}.") from None
    try:
        with alone(cache / "preview.lock"):
            yield note
    except Taken:
        where = note.read_text(encoding="utf-8") or "another address"
        raise CannotShow(f"A preview of this journal is at {where} already.") from None


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
                http=Connection,
                proxy_headers=False,
                h11_max_incomplete_event_size=_HEADER,
                timeout_graceful_shutdown=_PATIENCE,
            )
        )
        self._news = news
        logging.getLogger("asyncio").setLevel(logging.CRITICAL)  # of connections that could not be taken

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
