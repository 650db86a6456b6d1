"""The choice among a dealer's logged boards, in words."""

from __future__ import annotations

from yieldopt.sourcing.studied import Study
from yieldopt.sourcing.table import table


def choice(s: Study) -> list[str]:
    """What to take of the logged boards, what it costs, what to take instead; nothing where none were logged."""
    c = s.chosen
    if c is None:
        return []
    if c.unplaced:
        lost = ", ".join(f"{qty} x {part}" for part, qty in c.unplaced)
        return [
            f"The rack and all {len(s.asked.offered)} logged boards don't make (as far as the planner got in its time): {lost}"
        ]
    if not c.boards:
        return ["None of the logged boards is needed: the rack has enough."]
    proof = "" if c.bound is None else f"; no set can cost less than {c.bound:.2f} in layouts of the planner's kinds"
    lines = [f"Of {len(s.asked.offered)} logged boards take these, {c.cost:.2f} to pay{proof}:"]
    lines += [
        f"  {o.board.name}  {o.board.species} {o.board.quarters}, {float(o.board_feet):.1f} bf, {float(o.cost):.2f}"
        for o in c.boards
    ]
    for k, feet in c.bundles.items():
        line = s.job.prices[k]
        lines.append(
            f"  and {feet:.1f} bf more of {line.species} {line.quarters} {line.grade}, {line.dealer}: sold by the bundle"
        )
    rows = []
    for i in c.instead:
        if i.more is None:
            rows.append((i.gone, "nothing else covers the job (in the planner's time)", "", ""))
        else:
            rows.append((i.gone, ", ".join(i.take) or "the other chosen ones do", ", ".join(i.without) or "-", f"{i.more:+.2f}"))
    if rows:
        lines += ["Second choices:", *table(("if this is gone", "take", "and leave", "costs more"), rows)]
    if c.plan is not None:
        lines.append(f"A plan on the rack and these boards, net cost {c.plan.totals.net_cost:.2f}, is in plan.json and job/.")
    return lines
