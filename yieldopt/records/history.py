"""The history of a job: each plan with who made it, when, and what had happened; and the plans before the newest.

A plan carries its history in `plan.json` under `revisions`, oldest first, so that plan and history are one file and can't
part. Each earlier plan lies whole in `earlier/revision-N.json` beside it.
"""

from __future__ import annotations

import getpass
import re
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from yieldopt.ground.errors import UsageError
from yieldopt.records.planfile import loads
from yieldopt.records.sections import Entry, Revisions
from yieldopt.wood.plan import Plan

EARLIER = "earlier"
_NAME = re.compile(r"revision-\d+\.json")


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
    said = plan.section(Revisions)
    found = said.value if said else ()
    return found if found and found[-1].revision == plan.revision else (*found, _entry(plan))


def _entry(plan: Plan, when: str = "", who: str = "", told: Sequence[str] = ()) -> Entry:
    cost = round(plan.totals.net_cost, 6)
    return Entry(plan.revision, when, who, tuple(told), cost, sum(u.qty for u in plan.unplaced))


def recorded(plan: Plan, before: Sequence[Entry], told: Sequence[str], who: str, when: str) -> Plan:
    """The plan with its history: that of the plan before it, and itself."""
    return plan.saying(Revisions((*before, _entry(plan, when, who, told))))


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
