"""The old plan beside the new one: which sheets changed, and which chalk lines to rub out."""

from __future__ import annotations

from dataclasses import dataclass, replace

from yieldopt.plan import BoardPlan, Cut, Plan


@dataclass(frozen=True)
class Change:
    """What changes on one board's sheet; marks of what is done do not count."""

    board: str
    # "new": it was not in the plan; "dropped": it is not any more; "changed".
    how: str
    # Planned rough cuts of the old plan that are not in the new one, and the other way round.
    rub_out: tuple[Cut, ...]
    draw: tuple[Cut, ...]


def _line(cut: Cut) -> tuple[object, ...]:
    return cut.kind, cut.at, cut.start, cut.end


def _plain(entry: BoardPlan) -> tuple[object, ...]:
    """What the sheet shows, without states."""
    return (
        {(_line(c), c.stage, c.blank, c.layer) for c in entry.cuts},
        {replace(p, state="planned") for p in entry.pieces},
        {(o.x, o.y, o.length, o.width) for o in entry.offcuts if o.kept},
    )


def changes(old: Plan, new: Plan) -> tuple[Change, ...]:
    """Every board whose sheet is not what it was, in the order of the plans."""
    before, after = {b.board: b for b in old.boards}, {b.board: b for b in new.boards}
    found = []
    for name in dict.fromkeys([*before, *after]):
        a, b = before.get(name), after.get(name)
        if a is not None and b is not None and _plain(a) == _plain(b):
            continue
        was = {_line(c): c for c in (a.cuts if a else ()) if c.stage == "rough" and c.state == "planned"}
        now = {_line(c): c for c in (b.cuts if b else ()) if c.stage == "rough"}
        rub_out = tuple(c for line, c in was.items() if line not in now)
        draw = tuple(c for line, c in now.items() if line not in was and c.state == "planned")
        found.append(Change(name, "new" if a is None else "dropped" if b is None else "changed", rub_out, draw))
    return tuple(found)
