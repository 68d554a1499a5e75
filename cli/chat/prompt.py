"""The full prompt: history, completion, suggestions, safe paste, keys and a line of status."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from prompt_toolkit import PromptSession
from prompt_toolkit.application import Application, get_app, run_in_terminal
from prompt_toolkit.auto_suggest import AutoSuggest, AutoSuggestFromHistory, DynamicAutoSuggest
from prompt_toolkit.buffer import Buffer
from prompt_toolkit.completion import CompleteEvent, Completer, Completion
from prompt_toolkit.document import Document
from prompt_toolkit.filters import Condition
from prompt_toolkit.history import History
from prompt_toolkit.input.typeahead import get_typeahead, store_typeahead
from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
from prompt_toolkit.keys import Keys
from prompt_toolkit.output import ColorDepth
from prompt_toolkit.styles import Style

from askew.cli.chat.completing import offers
from askew.cli.chat.reader import PROMPT
from askew.cli.chat.words import Saying
from askew.cli.lines import cells, shorten
from askew.cli.palette import PROMPT_STYLE
from askew.cli.view import View
from askew.engine.safe import safe


@dataclass
class Hooks:
    """What the prompt asks of the chat.

    Attributes:
        sayings: Everything that can be said now.
        status: The status line now.
        help: Prints the help above the prompt, and returns what was typed meanwhile.
        shown: Called once when the prompt stands for the first time.
    """

    sayings: Callable[[], Sequence[Saying]]
    status: Callable[[], str]
    help: Callable[[], str]
    shown: Callable[[], None] = field(default=lambda: None)


class _SayingCompleter(Completer):
    def __init__(self, hooks: Hooks, view: View) -> None:
        self._hooks = hooks
        self._list = max(20, view.width * 3 // 5)
        self._room = view.width - self._list - 6

    def get_completions(self, document: Document, complete_event: CompleteEvent) -> Iterable[Completion]:
        asked = complete_event.completion_requested
        for offer in offers(document.text_before_cursor, self._hooks.sayings(), asked=asked):
            about = f"{offer.kind}: {offer.about}"
            about = about if self._room > 20 or cells(about) <= self._room else offer.kind
            yield Completion(
                offer.text,
                start_position=-offer.replaces,
                display=shorten(offer.shown(self._list), self._list),
                display_meta=shorten(about, max(self._room, 8)),
            )


class PromptReader:
    """Reads with prompt_toolkit."""

    def __init__(self, view: View, history: History, hooks: Hooks, *, suggestions: bool, popup: bool) -> None:
        """Build the prompt; nothing is shown before `read`."""
        self._suggestions = suggestions
        self._hooks = hooks
        self._first = True
        from_history = AutoSuggestFromHistory()
        suggest: AutoSuggest = DynamicAutoSuggest(lambda: from_history if self._suggestions else None)
        self._session: PromptSession[str] = PromptSession(
            PROMPT,
            multiline=True,
            prompt_continuation="  ",
            history=history,
            auto_suggest=suggest,
            completer=_SayingCompleter(hooks, view),
            complete_while_typing=popup,
            complete_in_thread=False,
            reserve_space_for_menu=4,
            key_bindings=_keys(hooks),
            bottom_toolbar=lambda: " " + shorten(hooks.status(), view.width - 1),
            color_depth=None if view.colour else ColorDepth.DEPTH_1_BIT,
            style=Style.from_dict(PROMPT_STYLE),
            mouse_support=False,
            enable_open_in_editor=False,
            enable_suspend=True,
        )
        self._session.app.after_render += self._after_first_render

    def read(self, begun: str = "") -> str:
        """Return the next message, begun with what was typed already; EOFError when the person leaves."""
        # The text goes through `safe` again because a terminal without bracketed paste types what is pasted.
        return safe(self._session.prompt(default=begun), lines=True)

    def typed_ahead(self) -> bool:
        """Tell whether more was read from the terminal already than the last message."""
        keys = get_typeahead(self._session.input)
        store_typeahead(self._session.input, keys)
        return bool(keys)

    def _after_first_render(self, _app: object) -> None:
        if self._first:
            self._first = False
            self._hooks.shown()

    def set_suggestions(self, on: bool) -> None:
        """Turn the greyed suggestions on or off."""
        self._suggestions = on

    def refresh(self) -> None:
        """Show the status line anew; may be called from any thread."""
        self._session.app.invalidate()

    def call(self, show: Callable[[], str]) -> None:
        """Run something that prints, from any thread, with the prompt moved out of the way.

        What it raises ends the prompt with that error; what it returns counts as typed so far.
        """
        app = self._session.app
        if app.loop is not None and app.is_running:
            app.loop.call_soon_threadsafe(lambda: app.create_background_task(_above(app, show)))


async def _above(app: Application[str], show: Callable[[], str]) -> None:
    """Print above the prompt; what was typed meanwhile stands in the line."""
    try:
        typed = await run_in_terminal(show)
    except Exception as error:
        app.exit(exception=error)
        return
    if typed:
        app.current_buffer.insert_text(typed)


def _keys(hooks: Hooks) -> KeyBindings:
    keys = KeyBindings()
    chosen = Condition(_chosen)
    empty = Condition(lambda: not get_app().current_buffer.text)

    @keys.add("enter", filter=chosen)
    def _take(event: KeyPressEvent) -> None:
        # The chosen offer is in the line already; close the list and let the person go on.
        event.current_buffer.complete_state = None

    @keys.add("enter", filter=~chosen)
    def _send(event: KeyPressEvent) -> None:
        event.current_buffer.validate_and_handle()

    @keys.add("escape", "enter")
    def _new_line(event: KeyPressEvent) -> None:
        event.current_buffer.insert_text("\n")

    @keys.add("c-c", eager=True)
    def _clear(event: KeyPressEvent) -> None:
        event.current_buffer.reset()

    @keys.add("c-d", eager=True)
    def _leave(event: KeyPressEvent) -> None:
        # A half-typed line is not lost: it can be recalled next time.
        if event.current_buffer.text.strip():
            event.current_buffer.append_to_history()
        event.app.exit(exception=EOFError)

    @keys.add("f1")
    @keys.add("?", filter=empty)
    def _help(event: KeyPressEvent) -> None:
        event.app.create_background_task(_above(event.app, hooks.help))

    @keys.add(Keys.BracketedPaste, eager=True)
    def _paste(event: KeyPressEvent) -> None:
        text = event.data.replace("\r\n", "\n").replace("\r", "\n")
        event.current_buffer.insert_text(safe(text, lines=True).rstrip("\n"))

    return keys


def _chosen() -> bool:
    buffer: Buffer = get_app().current_buffer
    return buffer.complete_state is not None and buffer.complete_state.current_completion is not None
