"""Rule 115: words and kinds of value that the format doesn't know, made harmless before other rules look at them.

A plan may come from anywhere; the readers of its file take any JSON value for a name or a word.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from yieldopt.checking.finding import Finding, finding
from yieldopt.wood.plan import BoardPlan, Plan

_STATES = ("planned", "done")
# Per kind of record: field -> values it may take; `str` and `int` stand for any of that type, None for empty.
_WORDS: dict[str, dict[str, tuple[Any, ...]]] = {
    "cuts": {
        "stage": ("rough", "resaw", "final"),
        "kind": ("crosscut", "rip", "resaw"),
        "blank": (str, None),
        "layer": (int, None),
        "state": _STATES,
    },
    "blanks": {"blank": (str,)},
    "pieces": {
        "piece": (str,),
        "part": (str,),
        "blank": (str,),
        "set": (str, None),
        "stave": (int, None),
        "show": ("A", "B", "sawn", None),
        "hinge": ("near", "far", None),
        "state": _STATES,
    },
    "offcuts": {"offcut": (str,)},
    "spoiled": {"piece": (str,)},
}


def _known(value: Any, allowed: tuple[Any, ...]) -> bool:
    if isinstance(value, bool):
        return False
    return any(isinstance(value, a) if isinstance(a, type) else type(value) is type(a) and value == a for a in allowed)


def _option(allowed: Any) -> str:
    return {None: "null", str: "a text", int: "a whole number"}.get(allowed) or str(allowed)


def _harmless(value: Any, allowed: tuple[Any, ...]) -> Any:
    if None in allowed:
        return None
    return str(value) if str in allowed else allowed[0]


def check_words(plan: Plan) -> tuple[Plan, list[Finding]]:
    """The plan with every unknown word replaced by a harmless one, and what was found."""
    found: list[Finding] = []
    for name in ("net_cost", "bound", "gap", "yield_", "seconds"):
        value = getattr(plan.totals, name)
        if value is not None and not math.isfinite(value):
            found.append(finding(115, None, f"totals, {name.rstrip('_')}", value, "a finite number"))
    boards = tuple(_board(b, found) for b in plan.boards)
    return replace(plan, boards=boards), found


def _board(board: BoardPlan, found: list[Finding]) -> BoardPlan:
    changes: dict[str, Any] = {}
    for kind, words in _WORDS.items():
        records = list(getattr(board, kind))
        for i, record in enumerate(records):
            mended: dict[str, Any] = {}
            for name, value, allowed in _unknown(record, words):
                place = f"{kind} {i + 1}, {name}"
                found.append(finding(115, board.board, place, repr(value)[:60], ", ".join(_option(a) for a in allowed)))
                mended[name] = _harmless(value, allowed)
            if kind == "blanks" and not all(isinstance(p, str) for p in record.pieces):
                found.append(finding(115, board.board, f"{kind} {i + 1}, pieces", repr(record.pieces)[:60], "names of pieces"))
                mended["pieces"] = tuple(str(p) for p in record.pieces)
            if mended:
                records[i] = replace(record, **mended)
        changes[kind] = tuple(records)
    return replace(board, **changes)


def _unknown(record: Any, words: dict[str, tuple[Any, ...]]) -> Iterator[tuple[str, Any, tuple[Any, ...]]]:
    for name, allowed in words.items():
        value = getattr(record, name)
        if not _known(value, allowed):
            yield name, value, allowed
