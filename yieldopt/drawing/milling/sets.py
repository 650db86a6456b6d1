"""Matched sets and glue-ups as they are laid on the bench, with the triangle across them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from yieldopt.drawing.page.flow import TICK, Flow
from yieldopt.drawing.page.lettering import ABOVE, shorten, width_of, wrap
from yieldopt.drawing.page.marks import grain_arrow, joint_letter, triangle
from yieldopt.drawing.page.primitives import Line, Rect, Text
from yieldopt.drawing.setting import Setting
from yieldopt.drawing.words.cautions import BOOK_FEED
from yieldopt.drawing.words.gluing import panel_words
from yieldopt.insight.milling_order import glue_ups, matched_sets
from yieldopt.wood.plan import Piece

# The least height of a strip in points: two joint letters have to go in.
LOW = 15.0
# Between a picture and what is done with it, in points.
BESIDE = 8.0
Member = tuple[str, Piece]
# The pictures' heading, by which other pages call them.
TITLE = "Sets kept together"


def draw_sets(flow: Flow, s: Setting) -> None:
    """One picture for each set below the milling order; nothing where the plan has none."""
    ups, sets = glue_ups(s.plan), matched_sets(s.job, s.plan)
    if not ups and not sets:
        return
    flow.heading(TITLE, keep=120)
    flow.paragraph(
        "Lay each set as drawn before it is milled, and chalk the triangle over all of it. Chalk each joint's letter on both of "
        "its sides, on ends and edges, where the planer leaves it. The triangle's point shows the top or the far end; a piece "
        "out of place breaks its lines, and letters that meet must be equal.",
        9,
    )
    _pictures(flow, s, ups, sets)


def _pictures(
    flow: Flow,
    s: Setting,
    ups: Mapping[str, Sequence[Member]],
    sets: Mapping[tuple[str, str], Sequence[Member]],
) -> None:
    for name, staves in ups.items():
        part = s.job.part_named[staves[0][1].part]
        net = [p.width - 2 * s.job.shop.allowances.edge for _, p in staves]
        flow.heading(f"△ {name}: {len(staves)} staves for {s.size(part.length, part.width)}", keep=_tall(net, part.length, flow))
        _stack(
            flow,
            s,
            staves,
            part.length,
            net,
            [p.blank if flow.parted else f"stave {p.stave}" for _, p in staves],
            f"{panel_words(s, staves)}.",
        )
    for (kind, name), members in sets.items():
        part = s.job.part_named[members[0][1].part]
        words = {"book": "book pair", "slip": "slip match", "run": "run, end to end"}[kind]
        widths = [s.job.part_named[p.part].width for _, p in members]
        keep = 90 if kind == "run" else _tall(widths, part.length, flow) + 14
        flow.heading(f"△ {name}: {words} from {members[0][1].blank}", keep=keep)
        if kind == "run":
            _run(flow, s, members)
        else:
            # Opened like a book: the halves turned about the hinge lie beside each other.
            hinge = members[0][1].hinge
            if kind == "book":
                edges = f"{hinge} edges" if hinge else "edges"
                words = f"Sawn faces up, {edges} together in the middle. {BOOK_FEED}"
            else:
                words = ""
            _stack(flow, s, members, part.length, widths, [f"layer {p.layer}" for _, p in members], words)


def _strips(widths: Sequence[Fraction], length: Fraction, flow: Flow) -> tuple[float, list[float]]:
    """Length and heights on the page of strips that lie above each other."""
    drawn = min(flow.inner_width * 0.46, 330.0)
    return drawn, [max(LOW, min(LOW if flow.parted else 34.0, float(w) * drawn / float(length))) for w in widths]


def _tall(widths: Sequence[Fraction], length: Fraction, flow: Flow) -> float:
    """What a set's first picture takes, so that its heading stays with it."""
    return sum(_strips(widths, length, flow)[1][:16]) + 10


def _stack(
    flow: Flow,
    s: Setting,
    members: Sequence[Member],
    length: Fraction,
    widths: Sequence[Fraction],
    notes: Sequence[str],
    words: str,
) -> None:
    """Strips above each other, the first at the top, the triangle over all; what is done with them stands beside, or above
    where there is no room for that."""
    drawn, rows = _strips(widths, length, flow)
    beside = wrap(words, flow.inner_width - drawn - BESIDE - TICK, 9) if words and flow.parted else ()
    if words and not beside:
        flow.paragraph(words, 9, tick=True)
    at, clear = (34, 30) if flow.parted else (46, 88)
    for start in range(0, len(members), 16):
        some = members[start : start + 16]
        height = sum(rows[start : start + 16])
        flow.need(max(height, len(beside) * 9 * flow.leading) + 8)
        top, y, left = flow.y, flow.y, flow.left + 2
        for (board, p), w, row, note in zip(some, widths[start:], rows[start:], notes[start:], strict=False):
            look = s.looks.get(p.set or "")
            tint = look.tint if look else ""
            flow.page.add(Rect(left, y, drawn, row, 1.0, role="member", data=(("name", p.piece),), tint=tint))
            text = f"{note} · {s.main(w)}" if flow.parted else f"{p.piece} · {p.blank}"
            flow.page.add(Text(left + at, y + row / 2 + 3.2, shorten(text, drawn - at - clear, 9, True), 9, True))
            if not flow.parted:
                side = f"{note}: {s.main(w)} wide, from {board}"
                flow.page.add(Text(left + drawn + 6, y + row / 2 + 3.2, shorten(side, flow.right - left - drawn - 6, 9), 9))
            y += row
        joint = top
        for n, row in enumerate(rows[start : start + len(some) - 1], start + 1):
            joint += row
            x = left + drawn - (14 if flow.parted else 52) - (n % 2) * 16
            for base in (joint - 2, joint + 8):
                flow.page.add(Text(x, base, joint_letter(n), 9, True, role="joint-letter"))
        flow.page.add(
            *triangle(left + 6, top + 3, at - 12, height - 6),
            *([] if flow.parted else grain_arrow(left + drawn - 34, top + rows[start] / 2 - 4)),
        )
        flow.y = max(y, _beside(flow, left + drawn + BESIDE, top, beside)) + 6
        beside = ()


def _beside(flow: Flow, x: float, top: float, lines: Sequence[str]) -> float:
    """Lay down lines with a box to tick; where they end."""
    if lines:
        flow.page.add(Rect(x, top, TICK - 2, TICK - 2, 0.8, role="tick"))
    for n, line in enumerate(lines):
        flow.page.add(Text(x + TICK + 2, top + 9 * ABOVE + n * 9 * flow.leading, line, 9))
    return top + len(lines) * 9 * flow.leading


def _run(flow: Flow, s: Setting, members: Sequence[Member]) -> None:
    """Pieces end to end as they lie in their strip."""
    total = float(sum((p.length for _, p in members), Fraction(0)))
    room = flow.inner_width - 6
    height = 46.0
    flow.need(height + 30)
    left, top, x = flow.left + 2, flow.y, flow.left + 2
    for n, (_, p) in enumerate(members, 1):
        wide = float(p.length) / total * room
        flow.page.add(Rect(x, top, wide, height, 1.0, role="member", data=(("name", p.piece),)))
        label = str(n) if wide < 60 else shorten(f"{n} {p.piece}", wide - 8, 9, True)
        if width_of(label, 9, True) <= wide - 2:
            flow.page.add(Text(x + 4, top + 12, label, 9, True))
        x += wide
    flow.page.add(*triangle(left + 2, top + 17, room - 4, height - 20), Line(left, top + height, left + room, top + height, 1.0))
    flow.y = top + height + 5
    flow.paragraph(
        "From the datum end: "
        + ", ".join(f"{n} {p.piece}" for n, (_, p) in enumerate(members, 1))
        + f". Blank {members[0][1].blank}.",
        9,
    )
