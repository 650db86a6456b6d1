"""One module a command; `cli` lists them. Here is what lets a command's options wait until the command is called.

Knows everything, and decides nothing. Begin reading in `check.py`.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from typing import Any


class Later(argparse.ArgumentParser):
    """A command's parser that learns its options when it is first used: of some thirty commands, one is called."""

    waiting: Callable[[argparse.ArgumentParser], None] | None = None

    def fill(self) -> None:
        """Learn the options now, if that has not been done."""
        if self.waiting is not None:
            add, self.waiting = self.waiting, None
            add(self)

    def parse_known_args(self, args: Sequence[str] | None = None, namespace: Any = None) -> tuple[Any, list[str]]:  # type: ignore[override]
        """As the base class; the options are there by then."""
        self.fill()
        return super().parse_known_args(args, namespace)


def add_later(
    commands: "argparse._SubParsersAction[Later]",  # noqa: UP037 - not subscriptable at run time
    name: str,
    help_text: str,
    add_arguments: Callable[[argparse.ArgumentParser], None],
    **defaults: object,
) -> None:
    """Add the command `name`; `add_arguments` is called when the command is."""
    sub = commands.add_parser(name, help=help_text, description=help_text)
    sub.waiting = add_arguments
    sub.set_defaults(**defaults)
