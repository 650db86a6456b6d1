"""The history of a job: each plan with who made it, when, and what had happened; and the plans before the newest.

A plan carries its history in `plan.json` under `revisions`, oldest first, so that plan and history are one file and can't
part. Each earlier plan lies whole in `earlier/revision-N.json` beside it.
"""

from __future__ import annotations

import getpass
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from yieldopt.errors import UsageError
from yieldopt.plan import Plan, loads

KEY = "revisions"
EARLIER = "earlier"
_NAME = re.compile(r"revision-\d+\.json")


@dataclass(frozen=True)
class Entry:
    """One plan of a job's history."""

    revision: int
    # Time in UTC as ISO 8601, to the second; empty where it was not written down.
    when: str
    who: str
    # What had happened, in words.
    told: tuple[str, ...]
    net_cost: float | None
    unplaced: int


def somebody() -> str:
    """The name this machine knows the user by."""
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return "unknown"


def now() -> str:
    """The time in UTC, to the second."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def entries(plan: Plan) -> tuple[Entry, ...]:
    """The history that a plan carries, with an entry for the plan itself where nobody wrote one."""
    raw: Any = (plan.extra or {}).get(KEY, ())
    found = [e for r in (raw if isinstance(raw, list) else ()) if (e := _entry(r)) is not None]
    if not found or found[-1].revision != plan.revision:
        found.append(Entry(plan.revision, "", "", (), plan.totals.net_cost, sum(u.qty for u in plan.unplaced)))
    return tuple(found)


def _entry(raw: Any) -> Entry | None:
    if not isinstance(raw, Mapping) or not isinstance(raw.get("revision"), int):
        return None
    told = raw.get("told") or ()
    cost = raw.get("net_cost")
    return Entry(
        raw["revision"],
        str(raw.get("when", "")),
        str(raw.get("who", "")),
        tuple(str(t) for t in told) if isinstance(told, list) else (),
        float(cost) if isinstance(cost, int | float) else None,
        int(raw.get("unplaced") or 0),
    )


def recorded(plan: Plan, before: Sequence[Entry], told: Sequence[str], who: str, when: str) -> Plan:
    """The plan with its history: that of the plan before it, and itself."""
    mine = Entry(plan.revision, when, who, tuple(told), plan.totals.net_cost, sum(u.qty for u in plan.unplaced))
    listed = [
        {
            "revision": e.revision,
            "when": e.when,
            "who": e.who,
            "told": list(e.told),
            "net_cost": None if e.net_cost is None else round(e.net_cost, 6),
            "unplaced": e.unplaced,
        }
        for e in (*before, mine)
    ]
    return replace(plan, extra={**(plan.extra or {}), KEY: listed})


def earlier_files(path: Path, text: str, plan: Plan) -> dict[str, str | bytes]:
    """Relative path -> content of every plan before the one that follows `plan`, whose file is `path` with `text`."""
    folder = path.parent / EARLIER
    files: dict[str, str | bytes] = {}
    if folder.is_dir():
        files = {f"{EARLIER}/{p.name}": p.read_bytes() for p in sorted(folder.iterdir()) if _NAME.fullmatch(p.name)}
    return {**files, f"{EARLIER}/revision-{plan.revision}.json": text}


def before(path: Path, plan: Plan) -> Plan | None:
    """The plan that the one in the file `path` follows; None where it is the first, or that one doesn't lie beside it or is
    no plan any more."""
    try:
        return loads((path.parent / EARLIER / f"revision-{plan.revision - 1}.json").read_text(encoding="utf-8-sig"))
    except (OSError, UnicodeDecodeError, UsageError):
        return None


def on_sheet(text: str) -> tuple[str, int] | None:
    """Job and revision that the code of a sheet or a label says; None where it is another code."""
    lines = dict(line.split(": ", 1) for line in text.splitlines() if ": " in line)
    number = lines.get("revision", "")
    if "job" not in lines or not number.isascii() or not number.isdigit() or len(number) > 9:
        return None
    return lines["job"], int(number)


def standing_of(plan: Plan, revision: int) -> str:
    """What to say of a sheet of this revision, in words; empty where it is the newest."""
    if revision == plan.revision:
        return ""
    if revision > plan.revision:
        return f"This sheet is of revision {revision}, newer than the plan here, which is revision {plan.revision}."
    later = [e for e in entries(plan) if e.revision > revision]
    when = f" of {later[0].when[:10]}" if later and later[0].when else ""
    return (
        f"SUPERSEDED: this sheet is of revision {revision}; the plan is revision {plan.revision}. "
        f"It was replaced by revision {revision + 1}{when}."
    )
