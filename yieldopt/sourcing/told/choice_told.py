"""The choice among a dealer's logged boards, in words."""

from __future__ import annotations

from yieldopt.drawing.words.buyingwords import Measures, second_choice_words
from yieldopt.sourcing.studied import Study
from yieldopt.sourcing.told.columns_told import table


def choice(s: Study) -> list[str]:
    """What to take of the logged boards, what it costs, what to take instead; nothing where none were logged."""
    c, m = s.picked.chosen, Measures(s.job.units)
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
        f"  {o.board.name}  {o.board.species} {o.board.quarters}, {m.in_volume(float(o.board_feet), 1)}, {float(o.cost):.2f}"
        for o in c.boards
    ]
    for k, feet in c.bundles.items():
        line = s.job.prices[k]
        lines.append(
            f"  and {m.in_volume(feet, 1)} more of {line.species} {line.quarters} {line.grade}, {line.dealer}: sold by the bundle"
        )
    rows = []
    for i in c.instead:
        take, leave, more = second_choice_words(i.take, i.without, i.more)
        rows.append((i.gone, take, leave or "-", more))
    if rows:
        lines += ["Second choices:", *table(("if this is gone", "take", "and leave", "costs more"), rows)]
    if c.plan is not None:
        lines.append(f"A plan on the rack and these boards, net cost {c.plan.totals.net_cost:.2f}, is in plan.json and job/.")
    return lines
