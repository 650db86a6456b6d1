"""The cuts made one after the other, in the given order, as the shop would make them: rules 701 to 713 look at this."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from fractions import Fraction

from yieldopt.checking.geometry import EPS, Rect, rect
from yieldopt.checking.regions import Region, cut_in_two, kerf_of, whole, wood_on_line
from yieldopt.checking.view import View
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import Cut


@dataclass
class Sawn:
    """A board after all its cuts."""

    # What the rough cuts leave.
    regions: list[Region]
    # What the final cuts leave of each blank's layer.
    layers: dict[tuple[str, int], list[Region]] = field(default_factory=dict)
    # Cuts that met no wood; that stopped or ran on in wood, with the wood's extent along the cut.
    in_air: list[Cut] = field(default_factory=list)
    not_through: list[tuple[Cut, tuple[Fraction, Fraction]]] = field(default_factory=list)
    # Cuts each done cut needed before it.
    needed: list[tuple[Cut, tuple[Cut, ...]]] = field(default_factory=list)

    def region_round(self, thing: Rect) -> Region | None:
        """The rough region that a rectangle lies in."""
        return next((r for r in self.regions if thing.within(r.rect)), None)


def well_formed(view: View, cut: Cut) -> bool:
    """Do stage, kind, blank and layer fit together (rule 702)?"""
    if cut.stage == "rough":
        return cut.kind != "resaw" and cut.blank is None and cut.layer is None
    blank = view.blanks.get(cut.blank or "")
    if blank is None or (cut.stage == "resaw") != (cut.kind == "resaw"):
        return False
    return cut.layer is None or (cut.stage == "final" and 1 <= cut.layer <= len(blank.thicknesses))


def saw(view: View) -> Sawn:
    """Make the board's cuts in their order; a cut that is wrong is made as far as it can be, and the rest go on."""
    sawn = Sawn([whole(view.board)])
    for name, blank in view.blanks.items():
        for layer in range(1, len(blank.thicknesses) + 1):
            sawn.layers[name, layer] = [Region(rect(blank))]
    cuts = sorted((cut for cut in view.plan.cuts if well_formed(view, cut)), key=lambda cut: cut.order)
    for cut in cuts:
        if cut.stage == "rough":
            sawn.regions = _make(sawn, sawn.regions, cut, view.board)
    resaws: dict[str, list[Cut]] = defaultdict(list)
    for cut in cuts:
        if cut.stage == "resaw" and cut.blank is not None:
            resaws[cut.blank].append(cut)
            sawn.needed.append((cut, _isolating(sawn, view, cut.blank)))
    for cut in cuts:
        if cut.stage == "final" and cut.blank is not None:
            layers = [cut.layer] if cut.layer else range(1, len(view.blanks[cut.blank].thicknesses) + 1)
            before = _isolating(sawn, view, cut.blank) + tuple(resaws[cut.blank])
            for layer in layers:
                sawn.layers[cut.blank, layer] = _make(sawn, sawn.layers[cut.blank, layer], cut, None, before)
    return sawn


def _isolating(sawn: Sawn, view: View, blank: str) -> tuple[Cut, ...]:
    region = sawn.region_round(rect(view.blanks[blank]))
    return region.cuts if region else ()


def _make(sawn: Sawn, regions: list[Region], cut: Cut, board: Board | None, before: tuple[Cut, ...] = ()) -> list[Region]:
    """Regions after one cut."""
    after: list[Region] = []
    met = False
    for region in regions:
        touched = wood_on_line(board, region.rect, cut, generous=True)
        if touched is None or min(touched[1], cut.end) - max(touched[0], cut.start) <= EPS:
            after.append(region)
            continue
        line = wood_on_line(board, region.rect, cut, generous=False) or touched
        # The second region that one cut runs into was parted from the first already: it isn't one cut any more.
        if met or cut.start > line[0] + EPS or cut.end < line[1] - EPS:
            sawn.not_through.append((cut, line))
        met = True
        sawn.needed.append((cut, before + region.cuts))
        after.extend(cut_in_two(region, cut))
    if not met and cut not in sawn.in_air:
        sawn.in_air.append(cut)
    return after


def through(cut: Cut, thing: Rect) -> bool:
    """Does the kerf touch more than the edge of a rectangle?"""
    return kerf_of(cut).overlaps(thing)
