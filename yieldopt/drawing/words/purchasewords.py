"""A purchase in words, from what `source.json` holds of it: the same in print, on the list to take along and in the packet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from yieldopt.drawing.words.buyingwords import Measures
from yieldopt.records.purchase import FigureParts, Line, PurchaseFound, Serves
from yieldopt.records.study import Either, IfTested

Row = tuple[str, ...]
# Parts of the figure, as they are told.
PARTS = {
    "used": "used on average",
    "luck": "to be sure of the boards' luck",
    "surprises": "for what planing uncovers",
    "planning": "saved by planning all boards together",
    "not_settled": "not settled in the time",
}
# Boxes drawn one by one; of more boards the number is told.
MOST_BOXES = 10
NAMES = 6


def wood(x: Line) -> str:
    """`white oak 4/4 common`."""
    return " ".join(text for text in (x.species, x.quarters, x.grade) if text)


def promise(p: PurchaseFound, m: Measures) -> str:
    """How much, how often it is asked to suffice, and how often it was found to."""
    how = "planned" if p.by == "plans" else "quick layouts"
    open_ = f"; in {100 * p.not_settled:.0f} % the time was too short to say" if p.not_settled >= 0.005 else ""
    return (
        f"{m.in_volume(p.board_feet)}, found to be enough in {100 * p.chance:.0f} % +- {100 * p.standard_error:.0f} "
        f"({how}, {p.draws} trials{open_})"
    )


def fresh_words(p: PurchaseFound) -> list[str]:
    """The purchase on draws that did not choose it."""
    fresh = p.confirmed_by_plans.fresh_draws if p.confirmed_by_plans else None
    if fresh is None or not fresh.draws:
        return []
    rest = [f"{n} {words}" for n, words in ((fresh.lacking, "lacked a part"), (fresh.not_known, "not settled")) if n]
    return [f"On {fresh.draws} fresh trials, which had no part in choosing it, {fresh.made} made every part"
            + (f", {', '.join(rest)}" if rest else "") + "."]  # fmt: skip


def figure_rows(p: PurchaseFound, m: Measures) -> list[Row]:
    """What the figure is made of, the lines one under the other, and all of them."""
    found = [(wood(x), *_parts(x.parts_of_the_figure, m), x.driver or "-") for x in p.lines]
    if len(found) > 1:
        found.append(("all", *_parts(p.parts_of_the_figure, m), ""))
    return found


FIGURE_HEAD = ("parts of the figure", "used", "luck", "surprises", "planning", "not settled", "to buy", "driven by")
FIGURE_NOTE = (
    "used: on average, were no flaw hidden; luck: more, to be sure of the boards; surprises: more, for what planing uncovers; "
    "planning: what plans of all boards together save against quick layouts; not settled: more, since plans ran out of time; "
    "driven by: the part that took the last board most often."
)


def _parts(f: FigureParts | None, m: Measures) -> Row:
    if f is None:
        return ("-",) * (len(PARTS) + 1)
    each = [float(getattr(f, key)) for key in PARTS]
    return tuple(m.volume_number(part, 1) for part in (*each, sum(each)))


def boxes(boards: int) -> str:
    """One box to tick for each board."""
    return "[ ] " * boards if boards <= MOST_BOXES else f"[ ] x {boards}"


LIST_HEAD = ("boards", "wood", "dealer", "about", "money", "no narrower", "no shorter", "for")


def list_rows(p: PurchaseFound, m: Measures) -> list[Row]:
    """The lines to take along."""
    return [
        (
            boxes(x.boards).strip(),
            wood(x),
            x.dealer,
            m.in_volume(x.board_feet),
            f"{x.money:.2f}",
            "-" if x.least_width is None else m.length(x.least_width),
            "-" if x.least_length is None else m.length(x.least_length),
            _served(x.parts),
        )
        for x in p.lines
    ]


def _served(parts: Sequence[Serves]) -> str:
    named = [f"{x.pieces} x {x.part}" for x in parts[:NAMES]]
    more = len(parts) - NAMES
    return ", ".join(named) + (f" and {more} more" if more > 0 else "")


def pick_words(p: PurchaseFound) -> list[str]:
    """What leaving narrow and short boards rests on."""
    if not p.picked:
        return []
    return [
        "The amounts hold if narrower and shorter boards are left with the dealer. Where you must take them as they come, "
        "ask again with --as-they-come."
    ]


def short_words(p: PurchaseFound, m: Measures) -> Iterator[str]:
    """What to fetch if it falls short, and where to go if the dealer has too little."""
    for x in p.lines:
        short, other = x.if_short, x.else_from
        if short is None:
            continue
        text = (
            f"{wood(x)}: if it falls short it is mostly for {short.part}: fetch one more board at least "
            f"{m.length(short.width)} by {m.length(short.length)}, clear there"
        )
        yield text + (f"; if there is none, {wood(other)}, {other.dealer}" if other else "") + "."


def account_rows(p: PurchaseFound) -> list[Row]:
    """The bills, where there is more to them than the wood."""
    return [(a.dealer, f"{a.wood:.2f}", f"{a.delivery:.2f}", f"{a.tax:.2f}", f"{a.total:.2f}") for a in p.accounts or ()]


ACCOUNT_HEAD = ("bill", "wood", "delivery", "tax", "to pay")


def trip_words(p: PurchaseFound, m: Measures) -> list[str]:
    """In two trips."""
    t = p.two_trips
    if not t or not t.second_board_feet:
        return []
    return [
        f"In two trips: first {m.in_volume(t.first.board_feet)} ({t.first.cost:.0f}), enough in "
        f"{100 * t.first.chance:.0f} % of trials. Else, with the parts cut that the boards gave, "
        f"{m.in_volume(t.second_board_feet)} more on average: {m.in_volume(t.mean_board_feet)} over both (quick layouts)."
    ]


def budget_words(p: PurchaseFound, m: Measures) -> list[str]:
    """The surest purchase that the money pays for."""
    b = p.budget
    if not b:
        return []
    if b.board_feet is None or b.chance is None:
        return [f"{b.money:.0f} does not pay for any purchase that is enough in one trial of twenty (quick layouts)."]
    lines = "; ".join(f"{m.in_volume(x.board_feet)} {wood(x)}, {x.boards} boards" for x in b.lines)
    told = f"{b.to_pay:.2f} to pay, enough in {100 * b.chance:.0f} % of trials (quick layouts)"
    return [f"For {b.money:.0f}: {lines}; {told}."]


def form_words(p: PurchaseFound, m: Measures) -> Iterator[str]:
    """Packs against loose boards."""
    for f in p.other_forms:
        now, other = ("by the pack", "loose") if f.in_use_is_pack else ("loose", "by the pack")
        cheaper = f.other_outlay < f.outlay
        yield (
            f"{wood(f.line)}: {now} from {f.line.dealer} about {f.outlay:.0f} for the species, {other} from "
            f"{f.other.dealer} about {f.other_outlay:.0f} (a pack is {m.in_volume(f.pack_board_feet)}): "
            f"{other if cheaper else now} costs less."
        )


def tested_words(t: IfTested | None) -> list[str]:
    """That tested 8/4 would change the answer by a third."""
    if not t or t.tested > (1 - 1 / 3) * t.unknown:
        return []
    return [
        f"If your dealer's 8/4 is stress-tested and lay flat, ask again with --tested: {t.way} then costs about "
        f"{t.tested:.0f}, the cheapest way now {t.unknown:.0f} (quick layouts). Test a board before you rely on it."
    ]


def either_words(either: Sequence[Either]) -> list[str]:
    """This board or that one."""
    rows = [x for x in either if x.covers]
    lost = [x.board for x in either if not x.covers]
    lines = [f"Without the others {', '.join(lost)}: found nothing that covers the job."] if lost else []
    if not rows:
        return lines
    best = min(rows, key=lambda x: x.to_pay)
    not_cut = " (it is not even taken)"
    told = "; ".join(f"with {x.board} {x.to_pay:.2f} to pay{'' if x.taken else not_cut}" for x in rows)
    same = all(abs(x.to_pay - best.to_pay) < 0.005 for x in rows)
    return [*lines, f"This board or that one: {told}: " + ("they come to the same." if same else f"take {best.board}.")]
