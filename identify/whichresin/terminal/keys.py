"""Single-key input on a capable terminal, with prompt_toolkit. Draws nothing but the prompt and a status line."""

from __future__ import annotations

from prompt_toolkit import PromptSession
from prompt_toolkit.input import Input
from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
from prompt_toolkit.keys import Keys
from prompt_toolkit.output import Output

from .plain import Leave


class KeyReader:
    """Answers with one key each; text and numbers are typed and end with Enter."""

    def __init__(self, source: Input | None = None, out: Output | None = None) -> None:
        self._source = source
        self._out = out

    def key(self, prompt: str, keys: str, status: str) -> str:
        """The next key pressed, in lower case; keys that are no answer are returned too, so that they can be named."""
        bindings = KeyBindings()

        @bindings.add(Keys.Any)
        def _any(event: KeyPressEvent) -> None:
            char = event.data[:1].lower()
            if char.isprintable() and char:
                event.current_buffer.insert_text(char)
                event.app.exit(result=char)

        @bindings.add("enter")
        def _enter(event: KeyPressEvent) -> None:
            event.app.exit(result="")

        return self._ask(prompt, bindings, status)

    def text(self, prompt: str) -> str:
        """A typed line, stripped; line editing as the terminal offers it."""
        return self._ask(prompt, None, "").strip()

    def _ask(self, prompt: str, bindings: KeyBindings | None, status: str) -> str:
        session: PromptSession[str] = PromptSession(input=self._source, output=self._out)
        try:
            return session.prompt(
                prompt,
                key_bindings=bindings,
                bottom_toolbar=status or None,
            )
        except (KeyboardInterrupt, EOFError):
            raise Leave from None
