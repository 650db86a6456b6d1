"""What each placed piece is called: PART#k, pinned names on their pins, one set name a matched group or glue-up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from yieldopt.ground.names import part_of, stave_of, whole_of
from yieldopt.planning.demand.items import Item
from yieldopt.planning.demand.rows import Row
from yieldopt.planning.finish.spots import Named, Spot
from yieldopt.planning.finish.surplus import no_empty_layers
from yieldopt.planning.layouts.layout import Layout
from yieldopt.planning.layouts.staves import assign
from yieldopt.sizes.sizing import stave_width_needed
from yieldopt.wood.lumber import Job, Part


class _Names:
    """Hands out PART#k, pinned names only to the pieces that lie on their pin."""

    def __init__(self, job: Job, taken: Mapping[str, frozenset[str]]) -> None:
        self.job = job
        self.pinned = {(p.board, p.x, p.y, part_of(p.piece)): p for p in job.pins}
        reserved = {whole_of(p.piece) for p in job.pins}
        self.free = {
            part.name: [n for k in range(1, part.qty + 1) if (n := f"{part.name}#{k}") not in taken.get(part.name, frozenset())]
            for part in job.parts
        }
        for part, names in self.free.items():
            self.free[part] = [n for n in names if n not in reserved] + [n for n in names if n in reserved]
        self.reserved = reserved
        self.blocked: set[str] = set()

    def pin_at(self, spot: Spot, part: str) -> str | None:
        pin = self.pinned.get((spot.board, spot.x, spot.y, part))
        if pin is None or (pin.layer is not None and pin.layer != spot.spec.layer):
            return None
        return pin.piece

    def take(self, part: str, wanted: str | None = None) -> str | None:
        """The next free name, or the pinned one; None where only names pinned elsewhere are left."""
        names = self.free[part]
        if wanted is not None and whole_of(wanted) in names:
            names.remove(whole_of(wanted))
            return whole_of(wanted)
        for n in names:
            if n not in self.reserved:
                names.remove(n)
                return n
        return None


def name_pieces(
    job: Job,
    rows: Sequence[Row],
    items: Sequence[Item],
    layouts: Sequence[Layout],
    kept: Sequence[Sequence[int]],
    spots: Sequence[Spot],
    taken: Mapping[str, frozenset[str]],
    home: Mapping[str, int],
) -> tuple[dict[Spot, Named], dict[str, int]]:
    """The name of each spot that has a piece, and how many of each part have none. `home` is the layout of each group that
    must come from one board: a blank elsewhere may hold a layer of it beside another part's, which goes without a name."""
    names = _Names(job, taken)
    named: dict[Spot, Named] = {}
    by_item: dict[tuple[int, int], list[Spot]] = {}
    for s in spots:
        by_item.setdefault(s.blank[:2], []).append(s)
    staves: dict[int, list[Spot]] = {}
    order = sorted(by_item, key=lambda key: (not any(names.pin_at(s, job.parts[s.spec.part].name) for s in by_item[key]), key))
    for key in order:
        item = items[layouts[key[0]].placed[key[1]].item]
        kinds = {rows[r].kind: r for r, _ in item.gives}
        for s in by_item[key]:
            part = job.parts[s.spec.part]
            if part.match_kind == "board" and home.get(part.match or "", key[0]) != key[0]:
                continue
            if s.spec.stave:
                staves.setdefault(s.spec.part, []).append(s)
                continue
            name = names.take(part.name, names.pin_at(s, part.name))
            if name is not None:
                named[s] = Named(name, part.match if part.match_kind != "book" else None)
        if "pair" in kinds:
            _name_pairs(by_item[key], named)
    for i, mine in staves.items():
        _name_staves(job.parts[i], mine, names, named, job)
    no_empty_layers(job, spots, named)
    _whole_groups_only(job, named)
    missing: dict[str, int] = {}
    made: dict[str, set[str]] = {}
    for n, s in ((n, s) for s, n in named.items()):
        made.setdefault(job.parts[s.spec.part].name, set()).add(whole_of(n.piece))
    for part in job.parts:
        short = part.qty - len(made.get(part.name, ())) - len(taken.get(part.name, ()))
        if short > 0:
            missing[part.name] = short
    return named, missing


def _name_pairs(spots: Sequence[Spot], named: dict[Spot, Named]) -> None:
    """Both pieces of a pair carry one set name; a pair that lost one of its pieces is no pair."""
    by_layer = sorted(spots, key=lambda s: s.spec.layer)
    for a, b in zip(by_layer[::2], by_layer[1::2], strict=True):
        if a in named and b in named:
            name = f"{named[a].piece} + {named[b].piece}"
            named[a], named[b] = replace(named[a], set=name), replace(named[b], set=name)
        else:
            named.pop(a, None)
            named.pop(b, None)


def _name_staves(part: Part, spots: Sequence[Spot], names: _Names, named: dict[Spot, Named], job: Job) -> None:
    whole = stave_width_needed(part, job.shop)
    nets = [s.spec.width - 2 * job.shop.allowances.edge for s in spots]
    for members in _with_layers(spots, assign(nets, whole, len(names.free[part.name]))):
        pinned = [p for k in members if (p := names.pin_at(spots[k], part.name))]
        base = names.take(part.name, pinned[0] if pinned else None)
        if base is None:
            return
        numbers = {k: stave_of(p) for k in members if (p := names.pin_at(spots[k], part.name)) and whole_of(p) != p}
        free = iter(n for n in range(1, len(members) + len(numbers) + 2) if n not in numbers.values())
        for k in members:
            j = numbers.get(k) or next(free)
            named[spots[k]] = Named(f"{base}/{j}", base, j)


def _with_layers(spots: Sequence[Spot], glueups: Sequence[Sequence[int]]) -> list[list[int]]:
    """Glue-ups with the staves that are left over of blanks of which they use another layer: that layer is sawn all the
    same, and a glue-up may be a stave too wide, while a layer without a piece would cost the blank."""
    given = [list(members) for members in glueups]
    home = {spots[k].blank: members for members in given for k in members}
    used = {k for members in given for k in members}
    for k, spot in enumerate(spots):
        if k not in used and spot.blank in home:
            home[spot.blank].append(k)
    return given


def _whole_groups_only(job: Job, named: dict[Spot, Named]) -> None:
    """A matching group is placed whole or not at all."""
    wanted: dict[str, int] = {}
    for p in job.parts:
        if p.match:
            wanted[p.match] = wanted.get(p.match, 0) + p.qty
    have: dict[str, set[str]] = {}
    for s, n in named.items():
        group = job.parts[s.spec.part].match
        if group:
            have.setdefault(group, set()).add(whole_of(n.piece))
    broken = {g for g in have if len(have[g]) < wanted[g]}
    for s in [s for s in named if job.parts[s.spec.part].match in broken]:
        del named[s]
