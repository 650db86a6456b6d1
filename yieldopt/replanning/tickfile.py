"""`state.json`, the ticks beside a plan: read with every key looked at, changed by one program at a time, written whole.

`format`, `plan` (SHA-256 of the `plan.json` it belongs to), `cuts` (board -> order -> "done"), `pieces` (piece -> "done",
"spoiled" or "planned"), `found` (defects found later: `id`, `by`, and columns of `defects.csv`) and `keys` (changes taken in,
each with a fingerprint of what it said, so that a repeat does nothing). What isn't listed is as the plan says.
"""

from __future__ import annotations

import hashlib
import json
import uuid
from collections.abc import Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from yieldopt.ground.errors import UsageError
from yieldopt.ground.files import write_atomically
from yieldopt.ground.locking import locked

FILE = "state.json"
LOCK = ".state.lock"
FORMAT = "yieldopt-state/1"
MOST_KEYS = 20_000


@dataclass(frozen=True)
class Ticks:
    """What was ticked off since the plan of digest `plan` was made."""

    plan: str
    # Board -> order of a cut -> "done".
    cuts: Mapping[str, Mapping[int, str]] = field(default_factory=dict)
    # Piece -> "done", "spoiled" or "planned".
    pieces: Mapping[str, str] = field(default_factory=dict)
    # Each with `id`, `board`, `by` and the columns of defects.csv, as typed.
    found: tuple[Mapping[str, str], ...] = ()
    # Key of a change -> fingerprint of what it said; empty where an older version did not keep one.
    keys: Mapping[str, str] = field(default_factory=dict)

    @property
    def empty(self) -> bool:
        """Nothing ticked; keys alone don't count."""
        return not (any(self.cuts.values()) or self.pieces or self.found)

    def remembering(self, key: str, fingerprint: str) -> Ticks:
        """With one more change taken in; the oldest is forgotten where there are too many."""
        keys = {**self.keys, key: fingerprint}
        return replace(self, keys=dict(list(keys.items())[-MOST_KEYS:]))


def digest_of(text: str) -> str:
    """By which ticks name the plan that they belong to."""
    return hashlib.sha256(text.encode()).hexdigest()


def alone(folder: Path) -> AbstractContextManager[None]:
    """While the block runs nobody else changes ticks or plan in `folder`; raises as `locking.locked`."""
    return locked(folder / LOCK)


def read(path: Path) -> Ticks | None:
    """The ticks in a file, of whatever plan; None where there is no such file.

    Raises `UsageError` that says what is wrong with the file; keys that are not there count as empty.
    """
    try:
        body = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return None
    except OSError as error:
        raise UsageError(f"{path}: the ticks can't be read: {error.strerror}") from error
    except (ValueError, RecursionError) as error:
        raise _damaged(path, str(error)[:100]) from error
    if not isinstance(body, dict) or body.get("format") != FORMAT:
        raise UsageError(f'{path}: found no ticks, expected "format": "{FORMAT}"; it was left as it is')
    if not isinstance(body.get("plan"), str):
        raise _damaged(path, "it does not say which plan it belongs to")
    keys = body.get("keys") or {}
    return Ticks(
        body["plan"],
        {b: _orders(path, orders) for b, orders in _dictionary(path, body, "cuts").items()},
        _words(path, _dictionary(path, body, "pieces"), "pieces"),
        tuple(_found(path, row) for row in _list(path, body, "found")),
        # A list in files of older versions.
        dict.fromkeys(map(str, keys), "") if isinstance(keys, list) else _words(path, _dictionary(path, body, "keys"), "keys"),
    )


def _damaged(path: Path, what: str) -> UsageError:
    return UsageError(f"{path}: the ticks are damaged: {what}; the file was left as it is. Moved away, ticking begins again")


def _dictionary(path: Path, body: Mapping[str, Any], key: str) -> dict[str, Any]:
    value = body.get(key) or {}
    if not isinstance(value, dict):
        raise _damaged(path, f"under `{key}` there is no table")
    return value


def _list(path: Path, body: Mapping[str, Any], key: str) -> list[Any]:
    value = body.get(key) or []
    if not isinstance(value, list):
        raise _damaged(path, f"under `{key}` there is no list")
    return value


def _words(path: Path, value: Any, key: str) -> dict[str, str]:
    if not isinstance(value, dict) or not all(isinstance(v, str) for v in value.values()):
        raise _damaged(path, f"under `{key}` there is something else than words")
    return value


def _orders(path: Path, value: Any) -> dict[int, str]:
    words = _words(path, value, "cuts")
    if not all(k.isascii() and k.isdigit() for k in words):
        raise _damaged(path, "under `cuts` there is something else than numbers of cuts")
    return {int(k): v for k, v in words.items()}


def _found(path: Path, value: Any) -> dict[str, str]:
    row = _words(path, value, "found")
    if "board" not in row:
        raise _damaged(path, "under `found` a defect names no board")
    # Files of older versions gave defects no name of their own.
    return {"id": str(uuid.uuid5(uuid.NAMESPACE_OID, json.dumps(row, sort_keys=True))), **row}


def dumps(ticks: Ticks) -> str:
    """The file's text."""
    body = {
        "format": FORMAT,
        "plan": ticks.plan,
        "cuts": {b: {str(o): s for o, s in orders.items()} for b, orders in ticks.cuts.items() if orders},
        "pieces": dict(ticks.pieces),
        "found": [dict(row) for row in ticks.found],
        "keys": dict(ticks.keys),
    }
    # Keys in the order they came: the oldest go first.
    return json.dumps(body, ensure_ascii=False, indent=1) + "\n"


def earlier_name(ticks: Ticks) -> str:
    """What the file is called once its plan was replaced: somebody stood at the saw for it, so it is kept."""
    return f"state.{ticks.plan[:8] or 'unknown'}.json"


def store(folder: Path, ticks: Ticks, before: Ticks | None) -> None:
    """Write the ticks; those of another plan that lay there are put by. For the holder of the lock. Raises `OSError`."""
    if before is not None and before.plan != ticks.plan:
        write_atomically(folder / earlier_name(before), dumps(before))
    write_atomically(folder / FILE, dumps(ticks))
