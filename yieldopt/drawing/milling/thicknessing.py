"""The middle steps of the milling order: the rest, flattening again, planing to thickness."""

from __future__ import annotations

from yieldopt.drawing.milling.roughing import how_flattened
from yieldopt.drawing.milling.steps import BLANK_LINE, Steps, days
from yieldopt.drawing.setting import Setting
from yieldopt.drawing.words.gathered import blanks_words
from yieldopt.insight.milling_order import TestPiece, batches, hollow_face
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import Blank


def rest(steps: Steps) -> None:
    """One rest after the first milling; resawn layers rest longer."""
    s = steps.s
    work = s.job.shop.work
    steps.step(
        "Rest",
        "Sticker everything so that air reaches all faces; layers of a resawn blank in their order, under weight.",
    )
    blanks = [b for bp in s.plan.boards for b in bp.blanks]
    for text, there, number in (
        ("Blanks that were not resawn", any(b.layers == 1 for b in blanks), work.rest_days),
        ("Resawn layers", any(b.layers > 1 for b in blanks), work.resaw_rest_days),
    ):
        if there:
            steps.flow.paragraph(
                f"{text}: begun {BLANK_LINE}  ready not before {BLANK_LINE} (about {days(number)}, or when two moisture readings "
                "agree).",
                9,
                tick=True,
            )


def flatten_again(steps: Steps) -> None:
    """What the rest has bent is made flat before it is planed: a planer's rollers press it flat and let it go again."""
    s = steps.s
    bare = s.job.shop.machines.bare_thickness
    steps.step(
        "Flatten again, joint again",
        "A planer copies whatever has cupped or bowed in the rest. Flatten the same face again, of a resawn layer the outside "
        "face; then joint the same edge again. Leave the sawn faces to the planer: what is lost there shifts the figure.",
    )
    if any(t < bare for bp in s.plan.boards for b in bp.blanks for t in b.thicknesses):
        steps.flow.paragraph(
            f"Layers milled under {s.both(bare)} don't go over the jointer. Lay them hollow face down on a flat carrier board as "
            "long as they are, shims under the hollow so that the rollers can't press it flat, a stop glued across behind them; "
            "plane the upper face true, turn the layer, plane the other. Never thinner or shorter than the planer's maker "
            "allows: what is, is flattened by hand.",
            9,
        )
    groups: dict[tuple[str, str], list[str]] = {}
    for bp in s.plan.boards:
        board = s.board(bp.board)
        for b in bp.blanks:
            for n, thick in enumerate(b.thicknesses, 1):
                how = "carrier board" if thick < bare else how_flattened(b, s)
                groups.setdefault((how, _again(board, b, n)), []).append(b.blank if b.layers == 1 else f"{b.blank} layer {n}")
    most = max(groups, key=lambda key: len(groups[key]), default=None)
    others = sorted((key, names) for key, names in groups.items() if key != most)
    rows = [(how, f"{face}: {blanks_words(names)}") for (how, face), names in others]
    if most:
        rows.append((most[0], f"{most[1]}: all {'others' if rows else 'blanks'}"))
    steps.items(rows)


def _again(board: Board, blank: Blank, layer: int) -> str:
    """The face of a layer that is flattened after the rest."""
    if blank.layers == 1:
        return f"face {hollow_face(board, blank)}" if hollow_face(board, blank) else "the face trued before"
    if layer == 1:
        return "outside face A"
    return "outside face B" if layer == blank.layers else "either sawn face, the hollow one"


def plane(steps: Steps) -> None:
    """Batches of one thickness, thickest first, each with its test piece."""
    s = steps.s
    end = s.job.shop.allowances.end
    steps.step(
        "Plane to thickness, thickest first",
        "One setting, all of its layers. Send the test piece through first and measure it. Take both faces about equally, turn "
        "about between passes: wood that loses most on one face bends that way. The show face comes last, and little.",
        f"Snipe: planers dig in over the first and last 2 to 3 in (50 to 75 mm); the plan leaves {s.both(end)} beyond each "
        "finished length. Hold both ends level, or glue runners of the same thickness on the blank's edges, longer than it at "
        "both ends, so that the snipe is theirs; saw them off afterwards.",
    )
    if any(s.job.part_named[p.part].match_kind == "book" for _, p in s.plan.pieces()):
        steps.flow.paragraph(BOOK_FEED, 9)
    rows = []
    for batch in batches(s.job, s.plan, s.regions):
        names = blanks_words(b if n == 1 else f"{b} layer {i}" for b, i, n in batch.layers)
        of = f"{batch.assembly}: " if batch.assembly else ""
        rows.append((s.both(batch.thickness), f"{of}{names}. Test piece: {_test_piece(batch.test, s)}"))
    steps.items(rows)


def _test_piece(t: TestPiece | None, s: Setting) -> str:
    if t is None:
        return "none among the leftovers: use scrap"
    return f"waste of {t.board} at {s.main(t.x)}, {s.main(t.y)}: {s.size(t.length, t.width)}"


# Common practice, no source: opening the pair turns one half end for end as the knives see its grain.
BOOK_FEED = (
    "Book pairs: on the opened faces the grain runs opposite ways in the two halves, so they usually feed in opposite "
    "directions over the knives. Try each half with a light cut."
)
