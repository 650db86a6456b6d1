"""How much to buy, as printed."""

from __future__ import annotations

from yieldopt.drawing.words import purchasewords as words
from yieldopt.drawing.words.buyingwords import Measures
from yieldopt.records.purchase import PurchaseFound
from yieldopt.records.study import StudyRecord
from yieldopt.sourcing.purchase.bought import Bought
from yieldopt.sourcing.studied import Study
from yieldopt.sourcing.told.columns_told import table


def purchases(s: Study, found: StudyRecord) -> list[str]:
    """What to add to the rack, and what the whole job would take; `found` is the study's record."""
    lines = []
    bought = s.purchases
    if bought is not None and bought.added is not None:
        what = "To buy so that it is enough" if s.question.on_rack.missing else "To have spares for hidden flaws"
        lines += _purchase(s, bought.added, found.purchase, what)
    if bought is not None and bought.whole is not None:
        lines += _purchase(s, bought.whole, found.purchase_whole_job, "For the whole job, as if all of it were bought")
    return lines


def _purchase(s: Study, b: Bought, p: PurchaseFound | None, what: str) -> list[str]:
    m = Measures(s.job.units)
    asked = f"{100 * s.asked.chance:g} % of trials"
    if p is None:
        return [f"{what}: no purchase was found that is enough in {asked} "
                f"({b.needs.hopeless} of {b.needs.draws} trials could not be met at all)."]  # fmt: skip
    if not p.lines:
        return [f"{what}, in {asked}: nothing."]
    lines = [f"{what}, in {asked}: {words.promise(p, m)}", *words.fresh_words(p)]
    rows = [(*r[1:7], str(x.boards)) for r, x in zip(words.list_rows(p, m), p.lines, strict=True)]
    lines += table((*words.LIST_HEAD[1:7], "boards"), rows)
    known = "surcharges, delivery and tax as far as they are known"
    lines.append(f"About {p.to_pay:.0f} to pay, {known}; what is left over stays on the rack.")
    lines += words.pick_words(p)
    if any(a.delivery or a.tax for a in p.accounts or ()):
        lines += table(words.ACCOUNT_HEAD, words.account_rows(p))
    lines += table(words.FIGURE_HEAD, words.figure_rows(p, m))
    lines.append(words.FIGURE_NOTE)
    lines += _quick(b, p, m)
    lines += [*words.budget_words(p, m), *words.trip_words(p, m), *words.form_words(p, m)]
    if sum(b.thumb.values()):
        lines.append(
            f"By rule of thumb (+40 % FAS, +70 % common, of face area): {m.in_volume(sum(b.thumb.values()))}; enough in "
            f"{100 * b.thumb_chance:.0f} % of trials by quick layouts."
        )
    return lines


def _quick(b: Bought, p: PurchaseFound, m: Measures) -> list[str]:
    """The quick layouts' own answer beside the planner's, or what the planner says of it."""
    q, c = p.quick_layouts, b.confirmed
    if q is None:
        return []
    sure = f"{100 * q.chance:.1f} % +- {100 * q.standard_error:.1f}, {q.draws} trials"
    quick = f"{m.in_volume(q.board_feet)} by quick layouts ({sure})"
    if b.planned:
        ended = "" if c is None or c.whole else "; the search for less was cut short, more --seconds may find less"
        return [f"({quick}{ended})"]
    if c is None or c.quick is None:
        return []
    x = c.quick
    known = f"the planner made every part from it in {100 * x.made:.0f} % +- {100 * x.error:.0f} of trials"
    open_ = f", in {100 * x.not_known:.0f} % its time was too short to say" if x.not_known >= 0.005 else ""
    return [f"In its time {known}{open_} ({x.draws} trials planned): too little to shrink it, give it more --seconds."]
