"""The boards that a job must leave alone, in the text of its `job.toml`: everything else there stays as it was typed."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Sequence

from yieldopt.ground.errors import UsageError

_HEAD = re.compile(r"^[ \t]*\[[ \t]*boards[ \t]*\][^\n]*\n?", re.M)
_NEXT = re.compile(r"^[ \t]*\[", re.M)
_KEY = re.compile(r"^[ \t]*leave[ \t]*=[ \t]*\[[^\]]*\]", re.M)


def left(text: str) -> tuple[str, ...]:
    """Their names; none where the text is no TOML or says nothing of them."""
    try:
        names = tomllib.loads(text).get("boards", {}).get("leave", [])
    except (ValueError, AttributeError):
        return ()
    return tuple(n for n in names if isinstance(n, str)) if isinstance(names, list) else ()


def leaving(text: str, names: Sequence[str]) -> str:
    """The text with these names. Raises `UsageError` where it is written in a way that is better changed by hand."""
    if tuple(names) == left(text):
        return text
    line = f"leave = [{', '.join(json.dumps(n, ensure_ascii=False) for n in names)}]"
    head = _HEAD.search(text)
    if head is None:
        new = text.rstrip("\n") + f"\n\n[boards]\n{line}\n"
    else:
        after = _NEXT.search(text, head.end())
        end = after.start() if after else len(text)
        body = text[head.end() : end]
        body = _KEY.sub(lambda _: line, body, count=1) if _KEY.search(body) else f"{line}\n{body}"
        new = text[: head.end()].rstrip("\n") + "\n" + body + text[end:]
    if _rest(new) != _rest(text) or left(new) != tuple(names):
        raise UsageError("job.toml: write the boards to leave into it by hand, under [boards]")
    return new


def _rest(text: str) -> object:
    try:
        body = tomllib.loads(text)
    except ValueError as error:
        raise UsageError(f"job.toml can't be read: {error}") from None
    boards = {k: v for k, v in body.get("boards", {}).items() if k != "leave"}
    return {**body, "boards": boards}
