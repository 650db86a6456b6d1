"""The last steps of the milling order: parting the blanks, single parts to width and length, glue-ups and their panels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from yieldopt.drawing.milling.sets import TITLE
from yieldopt.drawing.milling.steps import Steps, final_cut
from yieldopt.drawing.setting import Setting
from yieldopt.drawing.words.cautions import glue_up_cautions
from yieldopt.drawing.words.gathered import pieces_words
from yieldopt.insight.milling_order import fence_settings, glue_ups, rounds, stop_settings
from yieldopt.wood.plan import Cut, Piece

# Said once for each kind of cut.
MEASURED = {
    "crosscut": "Crosscuts are measured from the blank's own datum end, jointed edge to the fence.",
    "rip": "Rips are measured from the blank's own near edge, jointed edge to the fence.",
}
# Beside the blanks that stay whole.
WHOLE = "*"


def short_pieces(s: Setting) -> list[Piece]:
    """Single pieces too short to be crosscut to length by themselves at a power saw."""
    least = s.job.shop.work.least_crosscut
    return [p for _, p in s.plan.pieces() if p.stave is None and s.job.part_named[p.part].length < least]


def part_blanks(steps: Steps) -> None:
    """The cuts that part what went over the machines in one piece."""
    s = steps.s
    blanks = {b.blank: b for bp in s.plan.boards for b in bp.blanks}
    whole = {p.blank for p in short_pieces(s)}
    said: set[str] = set()
    for sawing in rounds(s.plan, "final"):
        by_blank: dict[str, list[Cut]] = {}
        for _, cuts in sawing.cuts:
            for cut in cuts:
                by_blank.setdefault(cut.blank or "", []).append(cut)
        crosscut = sawing.kind == "crosscut"
        starred = crosscut and bool(whole & set(by_blank))
        least = s.both(s.job.shop.work.least_crosscut)
        steps.step(
            "Part the blanks: crosscuts" if crosscut else "Part the blanks: rips",
            *([MEASURED[sawing.kind]] if sawing.kind not in said else []),
            *(
                [f"{WHOLE} Holds pieces under {least}: leave it whole, they are cut from it to their length below."]
                if starred and "starred" not in said
                else []
            ),
        )
        said |= {sawing.kind, *(["starred"] if starred else [])}
        rows = [
            (f"{name} {WHOLE}" if crosscut and name in whole else name, "; ".join(final_cut(c, blanks[name], s) for c in cuts))
            for name, cuts in by_blank.items()
            if name in blanks
        ]
        steps.items(rows)


def to_width(steps: Steps) -> None:
    """Single parts to finished width; staves wait."""
    s = steps.s
    found = fence_settings(s.job, s.plan)
    if not found:
        return
    steps.step(
        "Single parts to width, one fence setting each",
        "Jointed edge to the fence, push stick or push block at hand; then joint or plane the sawn edge to the line."
        + (" Staves are not among them: their edges are jointed for the glue-up." if glue_ups(s.plan) else ""),
    )
    _sizes(steps, "Finished width", found)


def to_length(steps: Steps) -> None:
    """Single parts to finished length, those too short for the saw by other means."""
    s = steps.s
    short = {p.piece for p in short_pieces(s)}
    stops = stop_settings(s.job, s.plan)
    long = {length: [p for p in pieces if p.piece not in short] for length, pieces in stops.items()}
    long = {length: pieces for length, pieces in long.items() if pieces}
    if long:
        steps.step(
            "Single parts to length, one stop setting each",
            "Square one end of all, then set the stop once and cut all of a length. Drawers and doors are fitted "
            "later, to the case as it is.",
        )
        if glue_ups(s.plan):
            steps.flow.paragraph("Staves stay long: the panel is cut to length after it is glued and flat.")
        _sizes(steps, "Stop at", long)
    if not short:
        return
    least = s.both(s.job.shop.work.least_crosscut)
    steps.step(
        f"Pieces under {least}, cut from a longer one",
        "Don't hold a short piece to a power saw. Cut each from the blank while that is long enough to hold: square its end, set "
        "a stop block that the piece has left before the cut is through, hold the long part. The last ones: clamped on a sled, "
        "or by hand saw.",
    )
    rows = [
        (s.main(length), f"({s.beside(length)}) {len(pieces)}: {_from_blanks(pieces)}")
        for length, all_pieces in stops.items()
        if (pieces := [p for p in all_pieces if p.piece in short])
    ]
    steps.items(rows)


def _from_blanks(pieces: Sequence[Piece]) -> str:
    """`pull#1 to #5 from W11-a, stop#1 from M2-e`."""
    blanks: dict[str, list[Piece]] = {}
    for p in pieces:
        blanks.setdefault(p.blank, []).append(p)
    return ", ".join(f"{pieces_words(some)} from {blank}" for blank, some in blanks.items())


def _sizes(steps: Steps, head: str, sizes: Mapping[Fraction, Sequence[Piece]]) -> None:
    rows = [
        (steps.s.main(size), f"({steps.s.beside(size)}) {len(pieces)}: {pieces_words(pieces)}") for size, pieces in sizes.items()
    ]
    steps.flow.paragraph(f"{head}, count, pieces:", 9)
    steps.items(rows)


def glue(steps: Steps) -> None:
    """Glue-ups, then the panels to their sizes: nothing about a panel is final before it is glued."""
    s = steps.s
    ups = glue_ups(s.plan)
    if not ups:
        return
    steps.step("Joint the mating edges, glue up, staves in this order")
    for text in glue_up_cautions(s):
        steps.flow.caution(text)
    steps.flow.paragraph(
        f'The staves of each, with their net widths, are drawn below: "{TITLE}". '
        "Joint the mating edges of neighbours to the net widths. Lay the staves dry, ends level within what they are long over, "
        "close the triangle, check that each shows the face it should; then glue.",
        9,
    )
    steps.step(
        "Panels: flatten, then width, then length",
        "When the glue is hard, scrape it off and flatten the panel first. Then joint one edge and rip the other, square one end "
        "and cut the other: never before. The sizes stand below the pictures.",
    )
