"""Answers typed one after the other."""

from __future__ import annotations

from collections.abc import Callable


def answers(*given: str) -> Callable[[str], str]:
    left = list(given)

    def ask(question: str) -> str:
        if not left:
            raise EOFError
        return left.pop(0)

    return ask
