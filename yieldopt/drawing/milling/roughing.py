"""The first steps of the milling order: the stress test, the rough cuts, the first milling, the resaw."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from yieldopt.drawing.milling.steps import BLANK_LINE, Steps, done, hours
from yieldopt.drawing.setting import Setting
from yieldopt.drawing.words.gathered import blanks_words
from yieldopt.drawing.words.testing import strip_words
from yieldopt.insight.milling_order import hollow_edge, hollow_face, rounds
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import Blank, BoardPlan

# What most blanks are flattened on.
JOINTER = "jointer"
# How the face and the edge to start with are found where nobody has noted them.
FIND_OUT = (
    "Where a face or edge is not named, nobody has noted how the board lies. Lay the blank on the flat bench: on its hollow "
    "face it rests on its ends or its edges, on the other it rocks. Sight along the edge, or hold a straightedge to it: the "
    "hollow edge touches at its ends."
)


def _resawn(s: Setting) -> list[tuple[BoardPlan, Blank]]:
    return [(bp, b) for bp in s.plan.boards for b in bp.blanks if b.layers > 1]


def stress_test(steps: Steps) -> None:
    """Before anything else is cut: whether the boards that are to be resawn may be opened."""
    s = steps.s
    boards = {bp.board: s.board(bp.board) for bp, _ in _resawn(s)}
    if not boards:
        return
    again = hours(s.job.shop.work.test_hours)
    steps.step(
        "Stress test, before anything else is cut",
        "Crosscut a strip 1 in (25 mm) along the grain, at least 12 in (300 mm) from the board's end: the end itself has lost "
        "its stress. Saw out its middle, so that two prongs are left, each a quarter of the thickness and some 6 in (150 mm) "
        f"long. Look at once, and again after {again}.",
        "Prongs that stay straight, both times: write 'tested'. Prongs that close or cross: case-hardened; prongs that spread: "
        "the other way about. Either: don't resaw this board, write 'no resaw', plan again. Prongs that move only later: it is "
        "wetter inside than outside; let it rest, then test again.",
        "The strip shows stress across the thickness only. Stress along the board, which bows the layers lengthwise, it can't "
        "show: rip a piece 24 in (600 mm) long in two and lay the halves together again, or saw the first blank slowly, "
        "wedges in the kerf, and stop where the layers part or close.",
    )
    rows = []
    plans = {bp.board: bp for bp in s.plan.boards}
    for name, board in boards.items():
        blanks = blanks_words(b.blank for bp, b in _resawn(s) if bp.board == name)
        if board.stress == "tested":
            words = "tested"
        else:
            words = f"TEST FIRST. Strip, right across: {strip_words(plans[name], s)}. At once: {BLANK_LINE} Later: {BLANK_LINE}"
        rows.append((f"{name} for {blanks}:", words))
    steps.items(rows)


def rough_cuts(steps: Steps) -> None:
    """Crosscuts and rips in turns, so that no board is cut out of its order."""
    s = steps.s
    seen: set[str] = set()
    for sawing in rounds(s.plan, "rough"):
        first = not seen
        if sawing.kind == "crosscut":
            title = "Rough crosscuts" if "crosscut" not in seen else "Rough crosscuts of what the rips left"
            words = ""
        else:
            title = "Rough rips, at the bandsaw" if "rip" not in seen else "Rough rips of what the crosscuts left"
            words = "Rough stock has no edge for a fence: follow the chalk at the bandsaw, or straighten one edge first."
        seen.add(sawing.kind)
        steps.step(title, *([_MARK_FIRST] if first else []), *([words] if words else []))
        steps.items([(board, ", ".join(f"{c.order}{done(c)}" for c in cuts)) for board, cuts in sawing.cuts])


_MARK_FIRST = (
    "Chalk all lines of a board before its first cut, the tape hooked on its datum end as it lies in the rack: all figures "
    "count from there, and the end trim takes that end away. Then saw to the lines, on each board in the order of their numbers, "
    "which stand here behind its name; its sheet has their figures. A board rests where its next cut belongs to a later step."
)


def first_milling(steps: Steps) -> None:
    """One face flat, one edge straight, and only so much off the other face that something is left for after the rest."""
    s = steps.s
    over = s.job.shop.work.rest_over
    steps.step(
        f"First milling: one face, one edge, leave about {s.both(over)} over",
        "The hollow face goes down on the jointer, the hollow edge against it: they stand on two ends and don't rock. Press "
        "no bow flat. Write the face mark on the trued face, its tail to the trued edge; chalk the feed that leaves no tear-out.",
        FIND_OUT,
    )
    steps.flow.paragraph("Where nothing else stands: hollow face down on the jointer, hollow edge to the fence.", 9)
    alike: dict[str, list[str]] = {}
    for bp in s.plan.boards:
        board = s.board(bp.board)
        for b in bp.blanks:
            alike.setdefault("; ".join(_first(board, b, s)), []).append(b.blank)
    steps.items([(blanks_words(blanks), words) for words, blanks in alike.items()])


def _first(board: Board, blank: Blank, s: Setting) -> Iterator[str]:
    """What is known of a blank's first milling: its face and edge, the machine if it isn't the jointer, the other face, the
    feed."""
    face, edge, machine = hollow_face(board, blank), hollow_edge(board), how_flattened(blank, s)
    if face:
        yield f"face {face} down"
    if edge:
        yield f"{edge} edge"
    if machine != JOINTER:
        yield machine
    yield f"other face: {_leave(board, blank, s)}"
    if feed := board.notes.get("feed", ""):
        yield f"feed {feed}"


def how_flattened(blank: Blank, s: Setting) -> str:
    """On what a blank of this width is flattened."""
    m = s.job.shop.machines
    if blank.width <= m.joint_width:
        return JOINTER
    return {"sled": "planer sled", "hand": "by hand", "none": "too wide"}[m.wide_flattening]


def _leave(board: Board, blank: Blank, s: Setting) -> str:
    """What to do with the other face before the rest."""
    if blank.layers > 1:
        return (
            "plane A true, no more: the fence and the depth need it" if hollow_face(board, blank) == "B" else "rough: resaw next"
        )
    over = s.job.shop.work.rest_over
    target = blank.thicknesses[0] + over
    left = s.blank_slack[blank.blank].available - s.job.shop.allowances.face
    return f"plane to {s.both(target)}" if left > target + PASS else "rough until after the rest"


# What a planer takes in one light pass; less is not worth setting it for (common practice, no source).
PASS = Fraction(1, 32)


def resaw(steps: Steps) -> None:
    """The resaw cuts by their depth: one fence setting each."""
    s = steps.s
    depths: dict[Fraction, list[str]] = {}
    for bp in s.plan.boards:
        for cut in sorted((c for c in bp.cuts if c.stage == "resaw"), key=lambda c: c.order):
            depths.setdefault(cut.at, []).append(f"{cut.blank} cut {cut.order}{done(cut)}")
    if not depths:
        return
    steps.step(
        "Resaw",
        "Flattened face A to the fence, trued edge down, wedges at hand; stop where the kerf closes. Mark ends and edges first: "
        "triangle over all layers, V on the hinge edge. Open and look at the inner faces at once. Figures are below face A. "
        "No blank of a board marked TEST FIRST before its prongs have stayed straight.",
    )
    steps.items([(s.both(at), ", ".join(cuts)) for at, cuts in sorted(depths.items(), reverse=True)])
