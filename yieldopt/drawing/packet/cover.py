"""Wood and money on stated bases, where every part comes from, what is missing, what is tight."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from yieldopt.drawing.page.flow import Column, Flow
from yieldopt.drawing.page.primitives import Page
from yieldopt.drawing.setting import Setting
from yieldopt.drawing.words.cautions import GENERAL
from yieldopt.insight.resaw_worth import HOURLY, minutes
from yieldopt.insight.slack import tightest
from yieldopt.insight.unpriced import cost_unknown, has_price, unpriced
from yieldopt.records.why import one_more_lines, reasons_of
from yieldopt.sizes.sizing import rough_sizes, thickness_need
from yieldopt.trade.tally import tally
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import Blank
from yieldopt.wood.volumes import volume_figure, volume_unit

# Pieces named as the tightest.
TIGHTEST = 6


def figure_pages(s: Setting) -> list[Page]:
    """The packet's last pages: figures that nobody needs at the saw."""
    flow = Flow(s.paper, s.running("Wood, money, parts", "figures"), dense=True)
    flow.in_columns(2, lambda f: _figures(f, s))
    _parts(flow, s)
    flow.in_columns(2, lambda f: _boards(f, s))
    return flow.finish()


def _figures(flow: Flow, s: Setting) -> None:
    _money(flow, s)
    resawn = [b for bp in s.plan.boards for b in bp.blanks if b.layers > 1]
    if resawn:
        _labour(flow, s, resawn)
    _tightest(flow, s)


def general_cautions(flow: Flow) -> None:
    """What is the same on every packet."""
    flow.heading("Before anything else")
    for text in GENERAL:
        flow.caution(text, strong=False)


def _dealers_count(boards: Sequence[Board]) -> list[tuple[str, str, str]]:
    """Board feet as they are billed: a count of inches and feet, with no like in millimetres."""
    basis = "as a dealer counts: surface measure in whole feet, by thickness"
    return [("boards cut, tally", str(tally(boards).board_feet), basis)]


def _money(flow: Flow, s: Setting) -> None:
    boards = [s.board(bp.board) for bp in s.plan.boards]
    u = s.job.units
    exact = sum((b.area * b.nominal for b in boards), Fraction(0))
    accounts = [s.accounts[bp.board] for bp in s.plan.boards]
    net = sum((a.parts for a in accounts), Fraction(0))
    kept = sum((a.kept for a in accounts), Fraction(0))
    used = exact - kept
    flow.heading("Wood")
    over = f"{float(used / net - 1):.0%}" if net else "-"
    waste = f"{float(1 - net / used):.0%}" if used else "-"
    flow.table(
        [Column(volume_unit(u)), Column("figure", True), Column("basis")],
        [
            ("boards cut, exact", volume_figure(exact, u), "outline × nominal thickness" + (" ÷ 144" if u == "in" else "")),
            *(_dealers_count(boards) if u == "in" else []),
            ("kept offcuts", volume_figure(kept, u), "go back to the rack"),
            ("used: boards less kept offcuts", volume_figure(used, u), ""),
            ("net: finished parts", volume_figure(net, u), "finished sizes, staves at their net width"),
            ("overage", over, "used over net: what to buy beyond the finished volume"),
            ("waste", waste, "share of the used wood that is in no part (kerf, shavings, trim, defects)"),
        ],
    )
    t = s.plan.totals
    cost, credit = sum((bp.cost for bp in s.plan.boards), Fraction(0)), sum((bp.credit for bp in s.plan.boards), Fraction(0))
    rows = [
        ("boards", f"{float(cost):.2f}", "every board cut, whole"),
        ("credit", f"{float(credit):.2f}", "kept offcuts, by the job's offcut_credit"),
        ("net cost", f"{t.net_cost:.2f}", "boards less credit"),
    ]
    missing = unpriced(s.job, s.plan)
    if missing and len(missing) == len(boards):
        rows = []
    if missing:
        rows.append(("cost unknown", "", f"{cost_unknown(s.job, s.plan).removeprefix('Cost unknown: ')}: {', '.join(missing)}"))
    bound = "not proven for this plan" if t.bound is None else "no plan of the layouts considered costs less"
    rows.append(("bound", "-" if t.bound is None else f"{t.bound:.2f}", bound))
    if t.gap is not None:
        rows.append(("gap", f"{t.gap:.1%}", "at most this share of the net cost could still be saved"))
    rows += _resawn(s)
    flow.heading("Money")
    flow.table([Column("in the job's money"), Column("figure", True), Column("basis")], rows)


def _resawn(s: Setting) -> list[tuple[str, str, str]]:
    """What the wood of resawn blanks costs by finished square foot: the figure to compare with thin stock."""
    cost = area = Fraction(0)
    for bp in s.plan.boards:
        board = s.board(bp.board)
        for b in bp.blanks:
            if b.layers > 1:
                cost += bp.cost * b.length * b.width / board.area
                area += sum(
                    (s.job.part_named[p.part].length * s.job.part_named[p.part].width for p in bp.pieces if p.blank == b.blank),
                    Fraction(0),
                )
    if not area:
        return []
    rows = [
        (
            "resawn, by square foot",
            f"{float(cost / area * 144):.2f}",
            "wood of resawn blanks by finished square foot, labour not counted; "
            "the command yieldopt source sets it against buying thin stock",
        )
    ]
    compared = [w for w in s.worths.values() if w.thin is not None]
    if compared:
        cuts = sum(w.cuts for w in compared)
        saved = sum(((w.thin or 0) - w.wood for w in compared), Fraction(0)) / cuts
        rates = " / ".join(map(str, HOURLY))
        if saved > 0:
            words = f"break-even {break_even(saved)} minutes a cut where an hour is worth {rates}"
            label, figure = "a resaw cut saves", saved
        else:
            label, figure = "a resaw cut costs", -saved
            words = "more in wood. On cost alone, it never pays: it is done for the match, or for want of thin stock"
        rows.append((label, f"{float(figure):.2f}", f"mean of {cuts} cuts, beside thin stock of the same size; {words}"))
    return rows


def missing(flow: Flow, s: Setting) -> None:
    flow.heading("Not placed")
    if s.plan.complete:
        flow.paragraph("Nothing. Every part has its place.")
        return
    rows = []
    for u in s.plan.unplaced:
        part = s.job.part_named.get(u.part)
        if part is None:
            rows.append((u.part, str(u.qty), "", "", u.why))
            continue
        size = f"{part.species}, {s.main(part.thickness)} × {s.main(part.width)} × {s.main(part.length)}"
        length, width = rough_sizes(part, s.job.shop)[0]
        thick = thickness_need((part.thickness,), True, s.job.shop)
        glued = "together " if part.staves else ""
        buy = f"{u.qty} of {s.size(length, width)} {glued}clear, {s.main(thick)} thick after warp"
        rows.append((u.part, str(u.qty), size, buy, u.why))
    flow.table(
        [Column("part", True), Column("qty"), Column("finished"), Column("to buy or find, rough", least=110), Column("why")], rows
    )
    for line in one_more_lines(s.plan):
        flow.paragraph(line)


def _tightest(flow: Flow, s: Setting) -> None:
    flow.heading("Tightest")
    flow.paragraph(
        "Where a surprise hurts first: thickness to spare, and how much width and length may be lost before the part is; "
        "clear wood that nothing else takes counts."
    )
    flow.table(
        [Column("piece", True), Column("board"), Column("thickness to spare"), Column("width"), Column("length")],
        [
            (p.piece, p.board, s.spare(p.thickness), s.spare(p.all_width), s.spare(p.all_length))
            for p in tightest(s.piece_slack.values(), TIGHTEST)
        ],
    )


def _labour(flow: Flow, s: Setting, resawn: Sequence[Blank]) -> None:
    """What a cut in each blank saves or costs in wood, and the minutes that may be spent on it."""
    saves, costs, unknown = [], [], []
    for b in resawn:
        w = s.worths[b.blank]
        if w.a_cut is None:
            unknown.append(b.blank)
        elif w.a_cut <= 0:
            costs.append(f"{b.blank} {float(-w.a_cut):.2f} more than {w.quarters}")
        else:
            saves.append(f"{b.blank} {float(w.a_cut):.2f} beside {w.quarters}, {break_even(w.a_cut)} minutes")
    rates = " / ".join(map(str, HOURLY))
    said = []
    if saves:
        said.append(f"a cut saves, and breaks even where an hour is worth {rates}: {'; '.join(saves)}.")
    if costs:
        said.append(
            f"a cut costs in wood: {'; '.join(costs)}. On cost alone, it never pays: it is done for the match, or for want "
            "of thin stock."
        )
    if unknown:
        said.append(f"there is no price of thinner stock to compare with, so no break-even: {', '.join(unknown)}.")
    flow.heading("Wood against labour")
    flow.paragraph("Resaw cuts beside thin stock of the same size: " + " ".join(said), 9)


def _parts(flow: Flow, s: Setting) -> None:
    flow.heading("Parts and where they come from")
    places: dict[str, list[str]] = {}
    for _, p in s.plan.pieces():
        places.setdefault(p.part, []).append(f"{p.piece} {p.blank}")
    rows = [
        (
            str(s.part_numbers[part.name]),
            part.name,
            str(part.qty),
            part.species,
            f"{s.main(part.thickness)} × {s.main(part.width)} × {s.main(part.length)}",
            ", ".join(places.get(part.name, ["not placed"])),
        )
        for part in s.job.parts
    ]
    flow.table(
        [
            Column("no.", True, 30, ringed=True),
            Column("part", True, 84),
            Column("qty"),
            Column("species"),
            Column("finished T × W × L", least=92),
            Column("piece, blank"),
        ],
        rows,
    )


def _boards(flow: Flow, s: Setting) -> None:
    flow.heading("Boards cut")
    rows = []
    for bp in s.plan.boards:
        b = s.board(bp.board)
        kept = ", ".join(f"{o.offcut} {s.size(o.length, o.width)}{_machinable(s, o.length)}" for o in bp.offcuts if o.kept)
        rows.append(
            (
                b.name,
                f"{float(bp.cost):.2f}" if has_price(b) else "no price",
                f"{float(bp.credit):.2f}",
                kept,
            )
        )
    flow.table(
        [
            Column("board", True),
            Column("cost", whole=True),
            Column("credit", whole=True),
            Column("kept offcuts"),
        ],
        rows,
    )
    reasons = reasons_of(s.plan)
    if reasons:
        flow.heading("Boards not cut")
        flow.table([Column("board", True), Column("why")], list(reasons.items()))


def _machinable(s: Setting, length: Fraction) -> str:
    return "" if length >= s.job.shop.machines.min_mill_length else " (too short to machine)"


def break_even(saved: Fraction) -> str:
    """The minutes at each hourly worth: `6.0 / 3.0 / 2.0`."""
    return " / ".join(f"{float(minutes(saved, rate)):.1f}" for rate in HOURLY)
