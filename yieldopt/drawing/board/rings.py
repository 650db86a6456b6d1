"""How the end grain of legs should lie: a small picture and what to look for on the board's end."""

from __future__ import annotations

import math
from fractions import Fraction

from yieldopt.drawing.page.flow import Flow
from yieldopt.drawing.page.primitives import Polygon, Rect, Text
from yieldopt.drawing.setting import Setting
from yieldopt.wood.lumber import Board, Part
from yieldopt.wood.plan import BoardPlan

# A part seen from four sides: at least this thick, and no more than so much wider (common practice, no source).
LEG_THICKNESS, LEG_RATIO = Fraction(1), Fraction(3, 2)
# Rings corner to corner, so that all four faces look alike; rift stock is defined as 30 to 60 degrees (Woodworking 101,
# https://fliphtml5.com/qutjz/acll/Woodworking_101/246; legs:
# https://www.woodmagazine.com/measuring-marking/great-looking-legs-from-ordinary-boards).
LEAST, MOST = 30, 60
PICTURE = 40.0


def is_leg(part: Part) -> bool:
    """Whether the rings of a part matter on all four sides: a near-square section, or a wish in its column `rings`."""
    square = part.width <= part.thickness * LEG_RATIO and part.thickness <= part.width * LEG_RATIO
    return bool(part.notes.get("rings")) or (part.thickness >= LEG_THICKNESS and square and part.staves is None)


def board_rings(board: Board) -> str:
    """What is known of the board's own ring angle, and what follows for a leg."""
    logged = board.notes.get("rings", "")
    try:
        angle = float(logged.rstrip("° ")) if logged else None
    except ValueError:
        angle = None
    if angle is not None and LEAST <= angle <= MOST:
        return f"This board is logged at {angle:g}°: as it should be."
    if angle is not None:
        return (
            f"This board is logged at {angle:g}°: two faces would show flat figure and two quarter. Look for a place nearer 45°, "
            "or turn the leg in the wood, which takes about 1.4 times its section."
        )
    if board.sawn == "rift":
        return "Rift sawn: as it should be, but look."
    if board.sawn == "flat":
        return "Flatsawn: rings stand nearest 45° along the edges of the board, and lie flat in its middle."
    if board.sawn == "quarter":
        return "Quarter sawn: rings stand steep; two faces would show flat figure and two quarter."
    return "Ring angle not logged: look at the end once it is trimmed."


def draw_rings(flow: Flow, s: Setting, board: Board, bp: BoardPlan) -> None:
    """For the legs among a board's pieces; nothing where there are none."""
    legs = [p for p in bp.pieces if is_leg(s.job.part_named[p.part])]
    if not legs:
        return
    flow.heading("Rings on the end", keep=PICTURE + 12)
    flow.need(PICTURE + 8)
    left, top = flow.left + 2, flow.y + 2
    flow.page.add(Rect(left, top, PICTURE, PICTURE, 1.2, 1.0, role="ring-section"), *_arcs(left, top))
    flow.page.add(Text(left + PICTURE + 4, top + PICTURE - 2, "45°", 9, role="ring-angle"))
    below = top + PICTURE + 6
    beside = PICTURE + 34
    names: dict[str, list[str]] = {}
    for p in legs:
        names.setdefault(f"{p.blank}{f', layer {p.layer}' if p.layers > 1 else ''}", []).append(p.piece)
    wishes = {w for p in legs if (w := s.job.part_named[p.part].notes.get("rings", ""))}
    wished = f" Asked for in the parts list: {', '.join(sorted(wishes))}." if wishes else ""
    where = "; ".join(f"{', '.join(pieces)} ({blank})" for blank, pieces in names.items())
    flow.paragraph(f"{where}.", 9.5, bold=True, indent=beside)
    flow.paragraph(
        f"Seen on four sides: all look alike where the rings run from corner to corner, {LEAST}° to {MOST}° to the "
        f"faces.{wished} {board_rings(board)}",
        9.5,
        indent=beside,
        tick=True,
    )
    flow.y = max(flow.y, below)


def _arcs(left: float, top: float) -> list[Polygon]:
    """Rings round a pith beyond the lower left corner, across the diagonal of the section."""
    arcs = []
    for n in range(1, 8):
        radius = PICTURE * (0.5 + n * 0.24)
        points = []
        for i in range(41):
            a = math.pi / 2 * i / 40
            x, y = left - PICTURE * 0.35 + radius * math.cos(a), top + PICTURE * 1.35 - radius * math.sin(a)
            if left <= x <= left + PICTURE and top <= y <= top + PICTURE:
                points.append((x, y))
        if len(points) > 1:
            arcs.append(Polygon(tuple(points), 0.7, closed=False, role="growth-ring"))
    return arcs
