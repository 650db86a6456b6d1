"""The old plan beside the new one: which sheets changed, and which chalk lines to rub out."""

from __future__ import annotations

from dataclasses import dataclass, replace

from yieldopt.wood.plan import BoardPlan, Cut, Plan


@dataclass(frozen=True)
class Change:
    """What changes on one board's sheet; marks of what is done do not count."""

    board: str
    # "new": it was not in the plan; "dropped": it is not any more; "changed".
    how: str
    # Planned rough cuts of the old plan that are not in the new one, and the other way round.
    rub_out: tuple[Cut, ...]
    draw: tuple[Cut, ...]
    # Cuts whose line stays under another number: old, new.
    renumbered: tuple[tuple[int, int], ...] = ()
    # Blanks that are no more, and new ones, by name.
    given_up: tuple[str, ...] = ()
    fresh: tuple[str, ...] = ()
    # Pieces that lie where they lay and show the other face now: name, face before, face now.
    turned: tuple[tuple[str, str, str], ...] = ()


def _line(cut: Cut) -> tuple[object, ...]:
    return cut.kind, cut.at, cut.start, cut.end


def _plain(entry: BoardPlan) -> tuple[object, ...]:
    """What the sheet shows, without states."""
    return (
        {(_line(c), c.stage, c.blank, c.layer, c.order) for c in entry.cuts},
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
        how = "new" if a is None else "dropped" if b is None else "changed"
        renumbered = tuple((c.order, now[line].order) for line, c in was.items() if line in now and now[line].order != c.order)
        blanks = [[k.blank for k in entry.blanks] if entry else [] for entry in (a, b)]
        given_up = tuple(k for k in blanks[0] if k not in blanks[1])
        fresh = tuple(k for k in blanks[1] if k not in blanks[0])
        found.append(Change(name, how, rub_out, draw, renumbered, given_up, fresh, _turned(a, b)))
    return tuple(found)


def _turned(before: BoardPlan | None, after: BoardPlan | None) -> tuple[tuple[str, str, str], ...]:
    """Pieces of a board that stay and show their other face now; those that the saw opens have no other."""
    lay = {p.piece: p for p in (before.pieces if before else ())}
    turned = []
    for p in after.pieces if after else ():
        was = lay.get(p.piece)
        if was and (was.x, was.y, was.layer) == (p.x, p.y, p.layer) and was.show and p.show and was.show != p.show:
            turned.append((p.piece, was.show, p.show))
    return tuple(turned)


def marks_kept(old: Plan, changed: tuple[Change, ...]) -> tuple[int, int]:
    """How many of the old plan's planned rough lines stay, and how many there were."""
    planned = sum(1 for b in old.boards for c in b.cuts if c.stage == "rough" and c.state == "planned")
    return planned - sum(len(c.rub_out) for c in changed), planned
