"""The end view of a resawn blank: layers, saw lines, which faces meet, where the pair marks go."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from yieldopt.drawing.page.flow import Flow
from yieldopt.drawing.page.lettering import LEADING, clean, shorten, width_of
from yieldopt.drawing.page.marks import joint_letter, triangle
from yieldopt.drawing.page.primitives import Hatch, Polygon, Rect, Text
from yieldopt.drawing.setting import Setting
from yieldopt.drawing.words.gathered import blanks_words
from yieldopt.drawing.words.testing import strip_words
from yieldopt.sizes.sizing import layer_spare
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import Blank, BoardPlan, Cut, Piece

# Least thickness of a drawn layer, in points: lettering of 9 pt has to go in.
LAYER, THIN_LAYER = 15.0, 12.0


Band = tuple[str, Fraction, Fraction]


def _bands(blank: Blank, cuts: list[Cut], board: Board, s: Setting) -> list[Band]:
    """(what, top, bottom) of each band from the flattened A face down, in inches; `top` may be below zero (face A rough)."""
    a = s.job.shop.allowances
    spare = layer_spare(board.stress == "tested", s.job.shop)
    bands: list[tuple[str, Fraction, Fraction]] = [("off", -a.face, Fraction(0))]
    at = Fraction(0)
    for i, thick in enumerate(blank.thicknesses):
        if i:
            at += a.sawn_face
        bands.append((f"layer {i + 1}", at, at + thick))
        at += thick
        if i < len(blank.thicknesses) - 1:
            cut = cuts[i].at if i < len(cuts) else at + a.sawn_face + spare
            kerf = cuts[i].kerf if i < len(cuts) else s.job.shop.kerf.resaw
            bands.append(("off", at, cut))
            bands.append(("saw", cut, cut + kerf))
            bands.append(("off", cut + kerf, cut + kerf + a.sawn_face))
            at = cut + kerf
    bottom = s.blank_slack[blank.blank].available - a.face
    bands.append(("off", at, max(bottom, at + a.face)))
    return bands


def draw_end_view(flow: Flow, s: Setting, board: Board, bp: BoardPlan, alike: Sequence[Blank]) -> None:
    """Draw the end of the first of some blanks as seen from the datum end, which is that of all of them, with what to do about
    it, and each layer's other pieces."""
    blank = alike[0]
    cuts = _resaws(bp, blank)
    bands = _bands(blank, cuts, board, s)
    top, bottom = bands[0][1], bands[-1][2]
    pieces = [p for p in bp.pieces if p.blank == blank.blank]
    names = blanks_words(b.blank for b in alike)
    wide = min(flow.inner_width * (0.45 if flow.parted else 0.52), float(blank.width) * 72)
    # On paper as low as its lettering allows: what counts are the figures, and the room is wanted for lists.
    points = THIN_LAYER / float(min(blank.thicknesses))
    if not flow.dense:
        points = max(LAYER / float(min(blank.thicknesses)), wide / float(blank.width))
    height = float(bottom - top) * points
    flow.heading(f"End view of {names}: {blank.layers} layers", keep=height + 44)
    page, left, y0 = flow.page, flow.left + 4, flow.y + 15
    page.add(
        Text(left, y0 - 4, "far edge" if wide > 88 else "far", 9),
        Text(left + wide, y0 - 4, "near edge" if wide > 88 else "near", 9, anchor="end"),
        Text(left + wide + 8, y0 - 4, "face A up", 9, True),
    )
    notes_left = left + wide + 8
    room = flow.right - notes_left
    for what, a, b in bands:
        y, h = y0 + float(a - top) * points, float(b - a) * points
        data = (
            ("name", blank.blank),
            ("also", "\n".join(b.blank for b in alike[1:])),
            ("band", what),
            ("from", str(float(a))),
            ("to", str(float(b))),
        )
        if what == "saw":
            page.add(Rect(left, y, wide, max(h, 0.8), 0.3, 0.0, role="resaw", data=data))
        elif what == "off":
            page.add(
                Rect(left, y, wide, h, 0.3, role="off", data=data),
                Hatch(((left, y), (left + wide, y), (left + wide, y + h), (left, y + h)), 45, 4, 0.35),
            )
        else:
            page.add(Rect(left, y, wide, h, 1.2, 1.0, role="layer", data=data))
            layer = int(what.split()[1])
            named, text = f"{what}: {_held(pieces, layer)}", f"mill to {s.both(blank.thicknesses[layer - 1])}"
            if flow.parted:
                # What each layer holds stands in the list of blanks.
                text = f"{layer}: mill to {s.main(blank.thicknesses[layer - 1])}"
            elif width_of(clean(named), 9) <= wide - 66:
                page.add(Text(left + 26, y + h / 2 + 3.2, clean(named), 9))
            else:
                text = f"{named} · {text}"
            page.add(Text(notes_left, y + h / 2 + 3.2, shorten(text, room, 9), 9))
    matched = [p for p in pieces if s.job.part_named[p.part].match_kind in ("book", "slip")]
    _joint_letters(flow, matched, bands, left + wide, lambda depth: y0 + float(depth - top) * points)
    hinges = [{p.hinge for p in bp.pieces if p.blank == b.blank and p.hinge} for b in alike]
    _pair_marks(flow, hinges[0] if all(h == hinges[0] for h in hinges) else set(), left, y0, wide, height)
    flow.y = y0 + height + 4
    each = [_resaws(bp, b) for b in alike]
    lines = [f"cut {' and '.join(str(some[n].order) for some in each)} at {s.both(c.at)}" for n, c in enumerate(cuts)]
    if lines:
        flow.paragraph(f"Saw line{'s' if len(lines) > 1 else ''} below face A: {', '.join(lines)}.", SIZE[flow.parted])
    for one in alike:
        _other_layouts(flow, s, one, [p for p in bp.pieces if p.blank == one.blank])


# Columns of end views on paper, and where there are more views than those.
VIEWS, MOST_VIEWS = 3, 4
# Lettering of what stands below an end view, on the whole width of a page and in columns.
SIZE = {False: 9.5, True: 9.0}


def _resaws(bp: BoardPlan, blank: Blank) -> list[Cut]:
    return sorted((c for c in bp.cuts if c.stage == "resaw" and c.blank == blank.blank), key=lambda c: c.at)


def _look(s: Setting, bp: BoardPlan, blank: Blank) -> tuple[object, ...]:
    """What an end view shows: blanks of which this is equal are drawn once. What is left of their thickness below the last layer
    may differ, and on which edge they are hinged, which is said above."""
    pieces = [p for p in bp.pieces if p.blank == blank.blank]
    marks = frozenset((p.layer, s.job.part_named[p.part].match_kind if p.set else None) for p in pieces)
    cuts = tuple((c.at, c.kerf) for c in _resaws(bp, blank))
    return blank.layers, blank.thicknesses, cuts, marks


def _held(pieces: list[Piece], layer: int) -> str:
    names = [p.piece for p in pieces if p.layer == layer]
    return ", ".join(names) or "kept offcut"


def _joint_letters(flow: Flow, pieces: list[Piece], bands: Sequence[Band], right: float, y: Callable[[Fraction], float]) -> None:
    """A letter on both layers at each saw cut inside a pair or slip group: what was together carries one letter."""
    sets = {p.layer: p.set for p in pieces if p.set}
    layers = [(a, b) for what, a, b in bands if what.startswith("layer")]
    for n, ((a0, b0), (a1, b1)) in enumerate(pairwise(layers), 1):
        if sets.get(n) and sets.get(n) == sets.get(n + 1):
            x = right - 12 - (n % 2) * 13
            for a, b in ((a0, b0), (a1, b1)):
                flow.page.add(Text(x, (y(a) + y(b)) / 2 + 3.2, joint_letter(n), 9, True, role="joint-letter"))


def _pair_marks(flow: Flow, hinges: Collection[str], left: float, y0: float, wide: float, height: float) -> None:
    """The triangle across all layers on the end grain, and the V on the hinge edge: both outlive the planer."""
    flow.page.add(*triangle(left + 3, y0 + 3, 21, height - 6))
    for hinge in hinges:
        x = left if hinge == "far" else left + wide
        way = -1 if hinge == "far" else 1
        # The hinge: a hollow half-round on the edge, and the way the halves open like a book.
        flow.page.add(
            Polygon(((x, y0 + height / 2 - 6), (x + 4 * way, y0 + height / 2), (x, y0 + height / 2 + 6)), 1.2, 0.0, role="hinge")
        )


def draw_end_views(flow: Flow, s: Setting, board: Board, bp: BoardPlan) -> None:
    """The resaws of one board: what to do for all of them, the stress test first, then each blank's end view."""
    resawn = [b for b in bp.blanks if b.layers > 1]
    if not resawn:
        return
    flow.heading(f"Resawing {', '.join(b.blank for b in resawn)}")
    if board.stress == "tested":
        flow.paragraph("Step 1. Stress: this board was tested and stayed flat. Watch the kerf all the same.", 9.5, tick=True)
    else:
        flow.paragraph(
            f"Step 1. The stress test was made before the board's first cut: the milling order says how. Strip for it: "
            f"{strip_words(bp, s)}. If its prongs closed or spread, don't resaw: plan again.",
            SIZE[flow.parted],
            bold=True,
            tick=True,
        )
    flow.paragraph(
        "Step 2. Chalk the triangle across both ends, the layers' letters on them, and a V across the hinge edge, before sawing. "
        "Faces are planed, ends and edges stay.",
        SIZE[flow.parted],
        tick=True,
    )
    flow.paragraph(
        "Step 3. Resaw, then OPEN AND LOOK: nobody has seen the inner faces. If they are bad, see the second "
        "choice and plan again.",
        SIZE[flow.parted],
        tick=True,
    )
    kerfs = ", ".join(sorted({s.main(c.kerf) for b in resawn for c in _resaws(bp, b)}))
    said = [f"Saw lines lie below the flattened A face; kerf {kerfs}. Face B is flattened after the rest."]
    flow.paragraph(" ".join([*said, *_matched_words(s, bp)]), 9)
    looks: dict[tuple[object, ...], list[Blank]] = {}
    for blank in resawn:
        # A screen shows each by itself: its saw line is pointed at there.
        looks.setdefault((blank.blank,) if flow.paper.height is None else _look(s, bp, blank), []).append(blank)
    flow.in_columns(VIEWS if len(looks) <= VIEWS else MOST_VIEWS, lambda f: _views(f, s, board, bp, list(looks.values())))


def _views(flow: Flow, s: Setting, board: Board, bp: BoardPlan, looks: Sequence[Sequence[Blank]]) -> None:
    for alike in looks:
        draw_end_view(flow, s, board, bp, alike)


def _pairs(s: Setting, bp: BoardPlan) -> list[str]:
    """`△ doors 1 (W2-d): door#1 and door#2, hinged on the near edge, A beside A` for each pair."""
    pairs: dict[str, list[Piece]] = {}
    for p in bp.pieces:
        if p.set and p.layers > 1 and s.job.part_named[p.part].match_kind == "book":
            pairs.setdefault(p.set, []).append(p)
    said = []
    for name, members in sorted(pairs.items()):
        members.sort(key=lambda p: p.layer)
        letter = joint_letter(members[0].layer)
        edge = f"hinged on the {members[0].hinge} edge" if members[0].hinge else "hinge edge free"
        pieces = " and ".join(p.piece for p in members)
        said.append(f"△ {name} ({members[0].blank}): {pieces}, {edge}, {letter} beside {letter}")
    return said


def _matched_words(s: Setting, bp: BoardPlan) -> Iterator[str]:
    """What holds for all pairs and slip matches of a board, and for layers that have no wood to spare for cupping."""
    kinds = {s.job.part_named[p.part].match_kind for p in bp.pieces if p.set and p.layers > 1}
    if any(s.blank_slack[b.blank].untested for b in bp.blanks if b.layers > 1):
        yield "A layer may come out thin if the halves cup: each has the spare for an untested board, no more."
    if "slip" in kinds:
        yield "Slip match: keep the layers in order, all A faces the same way, none turned."
    if "book" in kinds:
        yield (
            "Pairs △: the faces at the saw cut meet and show. Chalk the letter on both ends and on the hinge edge; open the pair "
            "like a book, plane the outside faces first, take as little as you can off the show faces."
        )
        yield f"{' · '.join(_pairs(s, bp))}."


def _other_layouts(flow: Flow, s: Setting, blank: Blank, pieces: list[Piece]) -> None:
    """A small plan of every layer whose pieces lie otherwise than those of layer 1."""
    first = {(p.x, p.y, p.length, p.width) for p in pieces if p.layer == 1}
    for layer in range(2, blank.layers + 1):
        here = [p for p in pieces if p.layer == layer]
        if not here or {(p.x, p.y, p.length, p.width) for p in here} == first:
            continue
        points = min((flow.inner_width - 8) / float(blank.length), 90 / float(blank.width))
        flow.need(float(blank.width) * points + 24)
        flow.paragraph(f"Layer {layer} of {blank.blank}, seen from face A:", SIZE[flow.parted])
        left, top = flow.left + 2, flow.y
        flow.page.add(Rect(left, top, float(blank.length) * points, float(blank.width) * points, 1.2, role="layer-plan"))
        listed = []
        for n, p in enumerate(sorted(here, key=lambda q: (q.x, q.y)), 1):
            x = left + float(p.x - blank.x) * points
            y = top + float(blank.y + blank.width - p.y - p.width) * points
            w, h = float(p.length) * points, float(p.width) * points
            flow.page.add(Rect(x, y, w, h, 0.6, role="layer-piece", data=(("name", p.piece), ("layer", str(layer)))))
            if h >= 11 and w >= width_of(str(n), 9, True) + 2:
                flow.page.add(Text(x + w / 2, y + h / 2 + 3.2, str(n), 9, True, anchor="middle"))
            listed.append(f"{n} {p.piece} at {s.main(p.x - blank.x)}, {s.main(p.y - blank.y)}: {s.size(p.length, p.width)}")
        flow.y = top + float(blank.width) * points + 9 * (LEADING - 1) + 2
        flow.paragraph("; ".join(listed) + ".", 9)
