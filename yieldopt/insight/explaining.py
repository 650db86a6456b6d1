"""Why a blank is as large as it is: every figure of a part's rough size with the allowance it comes from, in words.

The arithmetic is that of `sizing.py`; this room only puts it into sentences and looks along the rack.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from yieldopt.ground.lengths import Units, show
from yieldopt.rules.boards import hindrance
from yieldopt.sizes.sizing import (
    blank_width_limit,
    clear_ends,
    rough_length,
    rough_sizes,
    rough_width,
    run_piece_length,
    stave_width_needed,
    thickness_need,
    warp_loss,
)
from yieldopt.wood.lumber import Board, Job, Part, Shop

# More layers than this from one blank is no furniture maker's resawing.
MOST_LAYERS = 6


@dataclass(frozen=True, slots=True)
class Line:
    """One line of an explanation: what it is about, and the sentence."""

    topic: str
    text: str


def explain_part(part: Part, job: Job) -> tuple[Line, ...]:
    """Every figure of one part of `job`: rough sizes, thickness, the smallest blank, machine limits, the rack."""
    return (
        *_lengthwise(part, job),
        *_widthwise(part, job),
        *_thickness(part, job),
        *_ganging(part, job),
        *_machines(part, job),
        *_rack(part, job),
    )


def group_of(part: Part, job: Job) -> tuple[Part, ...]:
    """The rows of the part's matching group in their order; the part alone where it has none."""
    return tuple(p for p in job.parts if p.match == part.match) if part.match else (part,)


def _lengthwise(part: Part, job: Job) -> Iterator[Line]:
    shop, u = job.shop, job.units
    end, inner = show(shop.allowances.end, u), show(shop.allowances.run_end, u)
    finished = show(part.length, u)
    if part.match_kind != "run":
        yield Line("length", f"{show(rough_length(part, shop), u)} rough = {finished} + 2 x {end} (end: both ends are squared)")
    else:
        group = group_of(part, job)
        ends = _ends_in_run(part, group)
        if (True, True) in ends:
            alone = show(rough_length(part, shop), u)
            yield Line("length", f"{alone} rough = {finished} + 2 x {end} (end), as it is a run of one")
        if (True, False) in ends or (False, True) in ends:
            at_end = show(run_piece_length(part, shop, True, False), u)
            sum_ = f"{finished} + {end} (end) + {inner} (run_end: its inner end)"
            yield Line("length", f"{at_end} rough at an end of the run = {sum_}")
        if (False, False) in ends:
            inside = show(run_piece_length(part, shop, False, False), u)
            yield Line("length", f"{inside} rough inside the run = {finished} + 2 x {inner} (run_end: at both ends)")
        kerf = show(shop.kerf.crosscut, u)
        count = sum(p.qty for p in group)
        whole = show(run_length(group, shop), u)
        yield Line("run", f"{whole} for all {count} pieces of {part.match}, a kerf of {kerf} (crosscut) between two")
    for along, across in rough_sizes(part, shop)[1:]:
        along_sum = f"{show(along, u)} along it = {show(part.width, u)} + 2 x {end} (end)"
        across_sum = f"{show(across, u)} across = {finished} + 2 x {show(shop.allowances.edge, u)} (edge)"
        yield Line("across", f"it may lie across the board: then {along_sum}, {across_sum}")


def _ends_in_run(part: Part, group: tuple[Part, ...]) -> set[tuple[bool, bool]]:
    """For each piece of the part in its run: (is the first of the run, is the last)."""
    order = [p.name for p in group for _ in range(p.qty)]
    return {(i == 0, i == len(order) - 1) for i, name in enumerate(order) if name == part.name}


def run_length(group: tuple[Part, ...], shop: Shop) -> Fraction:
    """Length of the strip that a whole run takes: its pieces end to end with one crosscut kerf between neighbours."""
    pieces = [p for p in group for _ in range(p.qty)]
    last = len(pieces) - 1
    total = sum((run_piece_length(p, shop, i == 0, i == last) for i, p in enumerate(pieces)), Fraction(0))
    return total + last * shop.kerf.crosscut


def _widthwise(part: Part, job: Job) -> Iterator[Line]:
    shop, u = job.shop, job.units
    edge = show(shop.allowances.edge, u)
    if part.staves is None:
        rough = show(rough_width(part, shop), u)
        yield Line("width", f"{rough} rough = {show(part.width, u)} + 2 x {edge} (edge: both edges are jointed)")
        return
    low, high = part.staves
    panel = stave_width_needed(part, shop)
    fewest, most = max(1, ceil(panel / high)), max(1, floor(panel / low))
    staves = f"{fewest}" if fewest == most else f"{fewest} to {most}"
    panel_sum = f"{show(panel, u)} at least = {show(part.width, u)} + 2 x {edge} (edge)"
    net = f"{staves} staves of {show(low, u)} to {show(high, u)} net, each sawn 2 x {edge} (edge) wider"
    yield Line("width", f"glued up: the net widths of its staves make {panel_sum}; that is {net}")


def _thickness(part: Part, job: Job) -> Iterator[Line]:
    shop, u = job.shop, job.units
    a = shop.allowances
    faces = f"2 x {show(a.face, u)} (face: both rough faces are flattened)"
    sets = layer_sets(part, job)
    if len(sets[0]) == 1:
        need = show(thickness_need(sets[0], True, shop), u)
        yield Line("thickness", f"{need} for one layer = {show(part.thickness, u)} + {faces}, and what warp takes")
    resawn = next((s for s in sets if len(s) > 1), None)
    if resawn:
        n = len(resawn)
        tested, untested = thickness_need(resawn, True, shop), thickness_need(resawn, False, shop)
        sawn = f"{n - 1} x ({show(shop.kerf.resaw, u)} (resaw kerf) + 2 x {show(a.sawn_face, u)} (sawn_face))"
        layers = " + ".join(show(t, u) for t in resawn)
        spare = f"{show(untested, u)} untested, with {n} x {show(a.resaw_spare, u)} (resaw_spare)"
        sawn += f" + {n} x {show(a.tested_spare, u)} (tested_spare)" if a.tested_spare else ""
        yield Line("thickness", f"{show(tested, u)} for {n} layers of a tested board = {layers} + {faces} + {sawn}; {spare}")
    if part.staves is not None and a.glue_up:
        least = f", {show(a.glue_up_least, u)} at least (glue_up_least)" if a.glue_up_least else ", where its boards have it"
        over = f"staves are milled up to {show(a.glue_up, u)} (glue_up) thicker"
        yield Line("thickness", f"{over}, for flattening the panel{least}")


def layer_sets(part: Part, job: Job) -> tuple[tuple[Fraction, ...], ...]:
    """The ways to stack the part in a blank, as layer thicknesses: a pair, a whole slip, or one to `MOST_LAYERS` of its own."""
    if part.match_kind == "book":
        return ((part.thickness,) * 2,)
    if part.match_kind == "slip":
        return (tuple(p.thickness for p in group_of(part, job) for _ in range(p.qty)),)
    if part.match_kind == "run":
        return ((part.thickness,),)
    most = MOST_LAYERS if part.staves else min(part.qty, MOST_LAYERS)
    return tuple((part.thickness,) * n for n in range(1, most + 1))


def _ganging(part: Part, job: Job) -> Iterator[Line]:
    shop, u = job.shop, job.units
    m = shop.machines
    length = run_length(group_of(part, job), shop) if part.match_kind == "run" else rough_length(part, shop)
    if length < m.min_mill_length:
        count = ceil((m.min_mill_length + shop.kerf.crosscut) / (length + shop.kerf.crosscut))
        ganged = count * length + (count - 1) * shop.kerf.crosscut
        under = f"{show(length, u)} is under {show(m.min_mill_length, u)} (min_mill_length)"
        chain = f"{count} end to end make {show(ganged, u)} with {count - 1} x {show(shop.kerf.crosscut, u)} (crosscut)"
        yield Line("blank", f"to be ganged: {under}; {chain}, or it lies with others in one blank")
    width = _width_of_blank(part, shop)
    if width < m.min_rip_width:
        under = f"{show(width, u)} is under {show(m.min_rip_width, u)} (min_rip_width)"
        yield Line("blank", f"to be ganged: {under}; it lies beside others in one blank")
    if length >= m.min_mill_length and width >= m.min_rip_width:
        yield Line("blank", "needs no ganging: it is long and wide enough to be milled alone")


def _width_of_blank(part: Part, shop: Shop) -> Fraction:
    """Narrowest blank for the part: its rough width, or that of its narrowest stave."""
    return rough_width(part, shop) if part.staves is None else part.staves[0] + 2 * shop.allowances.edge


def _machines(part: Part, job: Job) -> Iterator[Line]:
    m, u = job.shop.machines, job.units
    width = _width_of_blank(part, job.shop)
    layers = len(layer_sets(part, job)[0])
    wide = show(width, u)
    if width > m.planer_width:
        limit = f"{show(m.planer_width, u)} (planer_width)"
        yield Line("machines", f"can't be milled in one piece: {wide} is over {limit}; staves would do")
    elif (nothing := mills_nothing(job.shop, job.units)) is not None:
        yield Line("machines", nothing)
    elif width > m.joint_width:
        limit = f"{show(m.joint_width, u)} (joint_width)"
        how = "so it can't be flattened" if m.wide_flattening == "none" else f"so it is flattened by {m.wide_flattening}"
        yield Line("machines", f"{wide} is over {limit} and wide_flattening is {m.wide_flattening}, {how}")
    if width > m.resaw_height and layers > 1:
        yield Line("machines", f"can't be resawn: {wide} is over {show(m.resaw_height, u)} (resaw_height)")
    if part.thickness < m.min_thickness:
        under = f"{show(part.thickness, u)} is under {show(m.min_thickness, u)} (min_thickness)"
        yield Line("machines", f"can't be planed: {under}")


def mills_nothing(shop: Shop, units: Units, layers: int = 1) -> str | None:
    """In words where the machines' limits leave no width at all that a blank of so many layers could have."""
    m = shop.machines
    if m.min_rip_width <= blank_width_limit(shop, layers):
        return None
    limits = [("planer_width", m.planer_width)]
    limits += [("joint_width, as wide_flattening is none", m.joint_width)] if m.wide_flattening == "none" else []
    limits += [("resaw_height", m.resaw_height)] if layers > 1 else []
    name, least = min(limits, key=lambda limit: limit[1])
    done = "resaws" if name == "resaw_height" else "mills"
    return (
        f"this shop {done} nothing of any width: it rips nothing under {show(m.min_rip_width, units)} (min_rip_width) "
        f"and {done} nothing over {show(least, units)} ({name})"
    )


def _rack(part: Part, job: Job) -> Iterator[Line]:
    boards = [b for b in job.boards if b.species == part.species]
    if not boards:
        yield Line("rack", f"there is no {part.species}")
        return
    sizes = " or ".join(f"{show(length, job.units)} x {show(width, job.units)}" for length, width in _footprints(part, job))
    yield Line("rack", f"for its smallest blank, {sizes}, defects not looked at:")
    for nominal in sorted({b.nominal for b in boards}):
        same = [b for b in boards if b.nominal == nominal]
        given: dict[int, list[str]] = {}
        barred: dict[str, list[str]] = {}
        for board in same:
            layers, why = layers_from(part, board, job)
            if layers:
                given.setdefault(layers, []).append(board.name)
            else:
                barred.setdefault(why.reason, []).append(f"{board.name} {why.detail}".strip())
        ways = [f"{'one layer' if n == 1 else f'resawn into {n}'} from {', '.join(names)}" for n, names in sorted(given.items())]
        ways += [f"{reason}: {', '.join(names)}" for reason, names in barred.items()]
        yield Line("rack", f"{same[0].quarters}: {'; '.join(ways)}")


@dataclass(frozen=True, slots=True)
class Why:
    """Why a board gives nothing: a reason that boards may share, and this board's own figure."""

    reason: str = ""
    detail: str = ""


def layers_from(part: Part, board: Board, job: Job) -> tuple[int, Why]:
    """Most layers of the part that a blank of its smallest size gives from this board, or 0 and the reason why none.

    Defects are not looked at: where on the board a clear place lies is the planner's business.
    """
    barred = _barred(part, board, job)
    if barred:
        return 0, Why(barred)
    best, reasons = 0, []
    for length, width in _footprints(part, job):
        for layers in layer_sets(part, job):
            why = _too_small(board, length, width, layers, job)
            if why is None:
                best = max(best, len(layers))
            else:
                reasons.append(why)
    return best, Why() if best else reasons[0]


def _barred(part: Part, board: Board, job: Job) -> str:
    if board.name in job.leave:
        return "to be left alone"
    why = hindrance(part, board)
    if why == "from":
        return "not named in from"
    if why == "sawn":
        return f"{board.sawn} sawn" if board.sawn else "sawn unknown"
    return ""


def _footprints(part: Part, job: Job) -> tuple[tuple[Fraction, Fraction], ...]:
    """Smallest blanks that hold the part, along and across the board."""
    shop = job.shop
    m = shop.machines
    if part.match_kind == "run":
        group = group_of(part, job)
        widest = max(rough_width(p, shop) for p in group)
        sizes: tuple[tuple[Fraction, Fraction], ...] = ((run_length(group, shop), widest),)
    elif part.staves:
        sizes = ((rough_length(part, shop), _width_of_blank(part, shop)),)
    else:
        sizes = rough_sizes(part, shop)
    return tuple((max(length, m.min_mill_length), max(width, m.min_rip_width)) for length, width in sizes)


def _too_small(board: Board, length: Fraction, width: Fraction, layers: tuple[Fraction, ...], job: Job) -> Why | None:
    """Why a blank of this size can't come from the board; None where it can."""
    shop, u = job.shop, job.units
    low, high = clear_ends(board, shop)
    between = high - low
    if length > between:
        return _short("too short for {} between trimmed ends", between, length, u)
    if width > board.greatest_width:
        return _short("too narrow for {}", board.greatest_width, width, u)
    if len(layers) > 1 and board.stress == "no resaw":
        return Why("not to be resawn")
    if width > blank_width_limit(shop, len(layers)) or min(layers) < shop.machines.min_thickness:
        return Why("beyond the machines")
    left = board.thickness - warp_loss(board, length, width)
    need = thickness_need(layers, board.stress == "tested", shop)
    return _short("too thin for {} once warp is off", left, need, u) if left < need else None


def _short(reason: str, has: Fraction, needs: Fraction, units: Units) -> Why:
    # A shortfall finer than the print-out would read as if there were none.
    same = show(has, units).lstrip("~") == show(needs, units).lstrip("~")
    return Why(reason.format(show(needs, units)), "just under" if same else "nothing" if has <= 0 else show(has, units))
