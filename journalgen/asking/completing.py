"""Asking with completion: names are offered while they are typed, and what was wrong can be mended in place."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence

from prompt_toolkit import PromptSession
from prompt_toolkit.application import get_app
from prompt_toolkit.completion import CompleteEvent, Completer, Completion
from prompt_toolkit.document import Document
from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
from prompt_toolkit.key_binding.bindings.completion import generate_completions
from prompt_toolkit.output import create_output

from journalgen.asking.asker import Offer
from journalgen.slugs import key
from journalgen.terminal import one_line, say

_ROWS = 6  # kept free below the question for the names that are offered


class CompletingAsker:
    """Questions on standard error, so that results can go elsewhere."""

    to_keep = "Enter keeps it, or change it."

    def __init__(self) -> None:
        self._session: PromptSession[str] = PromptSession(
            output=create_output(stdout=sys.stderr),
            complete_while_typing=True,
            reserve_space_for_menu=_ROWS,
            key_bindings=_keys(),
        )

    def line(self, question: str, offers: Sequence[Offer] = (), start: str = "") -> str:
        return self._session.prompt(
            question, completer=Names(offers) if offers else None, default=start, pre_run=_select if start else None
        )

    def tell(self, text: str = "") -> None:
        say(text)


def _select() -> None:
    """Has what stands there selected: a letter replaces it, and an arrow goes to mend it."""
    buffer = get_app().current_buffer
    buffer.cursor_position = 0
    buffer.start_selection()
    buffer.cursor_position = len(buffer.text)
    if buffer.selection_state:
        buffer.selection_state.enter_shift_mode()


def _keys() -> KeyBindings:
    """Tab keeps the only name there is, however often it is pressed; of several it shows the next."""
    keys = KeyBindings()

    @keys.add("tab")
    def _complete(event: KeyPressEvent) -> None:
        buffer, state = event.current_buffer, event.current_buffer.complete_state
        if state and len(state.completions) == 1 and state.complete_index is not None:
            buffer.complete_state = None
        else:
            generate_completions(event)

    return keys


class Names(Completer):
    """Completes the piece behind the last comma, wherever its letters stand in a name; names that begin so first."""

    def __init__(self, offers: Sequence[Offer]) -> None:
        self._offers = [(key(offer.name), offer) for offer in offers]

    def get_completions(self, document: Document, complete_event: CompleteEvent) -> Iterable[Completion]:
        typed = document.text_before_cursor.rpartition(",")[2].lstrip()
        wanted = key(typed)
        if not wanted and not complete_event.completion_requested:
            return
        found = [(not name.startswith(wanted), offer) for name, offer in self._offers if wanted in name]
        if [offer.name for _, offer in found] == [typed]:
            return  # it is whole, and no longer name holds it
        for _, offer in sorted(found, key=lambda row: row[0]):
            about = one_line(offer.about)
            yield Completion(offer.name, -len(typed), display=one_line(offer.name), display_meta=about)
