"""The list to take along to the dealer's: one page, the first of the packet where `source` was asked."""

from __future__ import annotations

from yieldopt.drawing.page.flow import Column, Flow
from yieldopt.drawing.page.primitives import Page
from yieldopt.drawing.setting import Setting
from yieldopt.drawing.words import purchasewords as words
from yieldopt.drawing.words.buyingwords import Measures
from yieldopt.records.purchase import PurchaseFound
from yieldopt.records.study import StudyRecord

# Lettering of the small print: one page has to hold it all.
SMALL = 8.5


def take_along_pages(s: Setting) -> list[Page]:
    """The page; none where nothing is to be bought, or the study was made before lists were."""
    found = s.buying
    p = purchase_of(found)
    if found is None or p is None:
        return []
    bills = p.accounts or ()
    m = Measures(found.units)
    flow = Flow(s.paper, s.running("To take along", "take along"))
    flow.paragraph(f"For {found.job}: {words.promise(p, m)}.", bold=True)
    columns = [Column("boards", least=58), Column("wood", True), *(Column(head) for head in words.LIST_HEAD[2:])]
    flow.table(columns, words.list_rows(p, m))
    for line in words.pick_words(p):
        flow.paragraph(line, SMALL)
    flow.heading("To pay", keep=30)
    if len(bills) > 1 or any(a.delivery or a.tax for a in bills):
        flow.table([Column(words.ACCOUNT_HEAD[0], True), *map(Column, words.ACCOUNT_HEAD[1:])], words.account_rows(p))
    flow.paragraph(f"About {p.to_pay:.2f} in all. What is left over stays on the rack.")
    for line in (*words.budget_words(p, m), *words.trip_words(p, m), *words.form_words(p, m), *words.either_words(found.either)):
        flow.paragraph(line, SMALL)
    flow.heading("If it falls short", keep=30)
    for line in words.short_words(p, m):
        flow.paragraph(line, SMALL)
    flow.heading("On the spot", keep=30)
    for line in ON_THE_SPOT:
        flow.paragraph(line, SMALL, tick=True)
    return flow.finish()


ON_THE_SPOT = (
    "Measure thickness at its thinnest, width at its narrowest; sight along each board for crook, bow and twist.",
    "Look at both faces and both ends. Log what you see, and ask again with --offered: measured boards beat any forecast.",
    "Ask which tally the price is for, and whether boards may be picked.",
)


def purchase_of(found: StudyRecord | None) -> PurchaseFound | None:
    """The purchase that the list is made of: what is missing, else the whole job."""
    both = (found.purchase, found.purchase_whole_job) if found else ()
    return next((p for p in both if p is not None and p.lines and p.accounts is not None), None)
