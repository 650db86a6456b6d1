"""What a new revision says to the shop, in lines and as the page that shows both plans side by side."""

from __future__ import annotations

from yieldopt.records.sections import Spares
from yieldopt.replanning.again import LEAST, Replanned, Shown
from yieldopt.replanning.compare import Change, marks_kept
from yieldopt.replanning.figures import as_known, figures, side_by_side
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan, Unplaced


def summary(old_job: Job, old: Plan, result: Replanned) -> list[str]:
    """Lines for the shop: what it must know, which sheets change and how, figures before and after, parts without a place."""
    new = result.plan
    lines = _told(result)
    if new.revision == old.revision:
        return [*lines, f"nothing changes; revision {new.revision}"]
    lines += [_sheet(c, old.revision) for c in result.changes]
    if not result.changes:
        lines.append("no sheet changes, only what is ticked off")
    lines += side_by_side(figures(old_job, as_known(old_job, old), result.job, new), old.revision, new.revision)
    stay, planned = marks_kept(old, result.changes)
    lines.append(f"{stay} of {planned} chalk lines stay")
    return [*lines, *_ways(result.ways, result.skipped), *(_lacking(new, u) for u in new.unplaced)]


def _sheet(c: Change, revision: int) -> str:
    """What changes on one sheet, and which names on it are no more, or new."""
    rub = ", ".join(str(k.order) for k in c.rub_out)
    return (
        f"sheet {c.board}: {c.how}"
        + (f"; rub out the lines of cuts {rub} of revision {revision}" if rub else "")
        + (f"; draw those of cuts {', '.join(str(k.order) for k in c.draw)}" if c.draw else "")
        + "".join(f"; {name}" for name in _names(c))
    )


def _names(c: Change) -> list[str]:
    """Names and numbers on one board that a mark on the wood has to follow."""
    said = [f"the line of cut {a} stays and is cut {b} now" for a, b in c.renumbered]
    if c.given_up and c.how != "dropped":
        said.append(f"no more: {', '.join(c.given_up)}")
    if c.fresh and c.how != "new":
        said.append(f"new: {', '.join(c.fresh)}")
    return said


def _ways(ways: tuple[Shown, ...], skipped: tuple[str, ...]) -> list[str]:
    """The ways that were worked out, each in a line, and those that were not; and how to get the least change where another
    was taken."""
    if not ways:
        return []
    lines = ["ways on:"]
    for w in ways:
        lacks = f", {w.missing} without a place" if w.missing else ""
        taken = "; this one is taken" if w.taken else ""
        lines.append(f"  {w.what} planned again: {w.stay} of {w.of} chalk lines stay, net cost {w.net_cost:.2f}{lacks}{taken}")
    lines += [f"  {what} planned again: the time did not reach it; more time (--seconds) does" for what in skipped]
    if not any(w.taken for w in ways if w.what == LEAST):
        lines.append("  (with --mark-price 1000 chalk lines stay wherever no part loses its place by it)")
    return lines


def _lacking(plan: Plan, u: Unplaced) -> str:
    """A part without a place; a spare is no part that the job can't do without."""
    said = plan.section(Spares)
    spares = said.value.get(u.part, 0) if said else 0
    spare = " (spare: the job is whole without)" if u.qty <= spares else ""
    return f"not placed: {u.qty} x {u.part}{spare}: {u.why}"


def _told(result: Replanned) -> list[str]:
    """What the shop must know whatever else it reads."""
    lines = [
        f"FINISHED, BUT: {n}: {why}; it stays in the plan; name it under --spoiled if it is lost" for n, why in result.hit_done
    ]
    lines += [f"SET ASIDE: {n} is finished, but {why}" for n, why in result.set_aside]
    lines += [f"SPENT: {sentence}" for sentence in result.spent]
    lines += [f"RENAMED: what was {a} is {b} from now on" for a, b in result.renamed]
    lines += [f"{n} lies in good wood of a spoiled piece" for n in result.served]
    lines += [f"to make again: {n}: {why}" for n, why in result.lost]
    lines += [
        f"TURNED: {n} on {c.board} shows face {now} now, no longer {was}: mark its show face again"
        for c in result.changes
        for n, was, now in c.turned
    ]
    fault = "FAULT: the independent check refused another option, which is a fault of the program; please report it"
    return lines + [f"{fault}: {found}" for found in result.refused]


def changes_page(old_job: Job, old: Plan, result: Replanned, new: Plan) -> str:
    """The page that shows both plans side by side."""
    from yieldopt.drawing.packet.beside import Sheet, beside_page
    from yieldopt.drawing.packet.today import printed_date

    old = as_known(old_job, old)
    rows = [(f.what, f.before, f.after) for f in figures(old_job, old, result.job, new)]
    sheets = [Sheet(c.board, c.how, c.rub_out, c.draw, tuple(_names(c))) for c in result.changes]
    told = [*_told(result), *(_lacking(new, u) for u in new.unplaced)]
    return beside_page((old_job, old), (result.job, new), rows, sheets, told, printed_date())
