"""Independent of the engine: every guillotine layout of a tiny sheet by enumeration, and a walk over a layout tree."""

from __future__ import annotations

from functools import cache

from yieldopt.planning.guillotine import Answer, Item, Node, Sheet


def overlaps(node: Node, x: int, y: int, length: int, width: int) -> bool:
    return node.x < x + length and x < node.x + node.length and node.y < y + width and y < node.y + node.width


def best_by_enumeration(sheet: Sheet, items: list[Item]) -> float:
    """The best value over all guillotine layouts with cuts at whole positions: no patterns, no bounds, no pushing.

    For every rectangle the set of item counts that can be cut from it; a cut takes its kerf, or less when it only trims.
    """
    groups = sorted({(0, i.group) if i.group is not None else (1, k) for k, i in enumerate(items)})
    of = [groups.index((0, i.group) if i.group is not None else (1, k)) for k, i in enumerate(items)]
    room = sheet.length * sheet.width
    caps = [room] * len(groups)
    for k, item in enumerate(items):
        if item.copies is not None:
            caps[of[k]] = item.copies

    def allowed(counts: tuple[int, ...]) -> bool:
        used = [0] * len(groups)
        for k, many in enumerate(counts):
            used[of[k]] += many
        return all(u <= c for u, c in zip(used, caps, strict=True))

    nothing = (0,) * len(items)

    @cache
    def options(x: int, y: int, length: int, width: int) -> frozenset[tuple[int, ...]]:
        out = {nothing}
        for k, item in enumerate(items):
            if (item.length, item.width) != (length, width):
                continue
            clear = True
            for d, defect in enumerate(sheet.defects):
                if (item.avoid is None or d in item.avoid) and overlaps(
                    Node(x, y, length, width), defect.x, defect.y, defect.length, defect.width
                ):
                    clear = False
            one = tuple(int(k == j) for j in range(len(items)))
            if clear and allowed(one):
                out.add(one)
        for keep in range(1 - sheet.kerf_x, length):
            rest = length - keep - sheet.kerf_x
            near = options(x, y, keep, width) if keep > 0 else frozenset({nothing})
            far = options(x + length - rest, y, rest, width) if rest > 0 else frozenset({nothing})
            out |= {c for a in near for b in far if allowed(c := tuple(p + q for p, q in zip(a, b, strict=True)))}
        for keep in range(1 - sheet.kerf_y, width):
            rest = width - keep - sheet.kerf_y
            near = options(x, y, length, keep) if keep > 0 else frozenset({nothing})
            far = options(x, y + width - rest, length, rest) if rest > 0 else frozenset({nothing})
            out |= {c for a in near for b in far if allowed(c := tuple(p + q for p, q in zip(a, b, strict=True)))}
        if any(i.copies is not None for i in items):
            # The lesser of two may be what the limits leave room for beside something else.
            return frozenset(out)
        # What uses no more of anything than another is of no use.
        return frozenset(c for c in out if not any(o != c and all(p <= q for p, q in zip(c, o, strict=True)) for o in out))

    return max(
        sum(many * max(0.0, item.value) for many, item in zip(c, items, strict=True))
        for c in options(0, 0, sheet.length, sheet.width)
    )


def check(sheet: Sheet, items: list[Item], answer: Answer) -> None:
    """Walk the tree: parts and kerf fill each cut rectangle, leaves fit their items, limits and defects are kept."""
    root = answer.layout
    assert (root.x, root.y, root.length, root.width) == (0, 0, sheet.length, sheet.width)
    counts = [0] * len(items)
    stack = [root]
    while stack:
        node = stack.pop()
        assert node.length > 0
        assert node.width > 0
        if node.axis is None:
            assert node.parts == ()
            if node.item is not None:
                item = items[node.item]
                assert (node.length, node.width) == (item.length, item.width)
                for d, defect in enumerate(sheet.defects):
                    if item.avoid is None or d in item.avoid:
                        assert not overlaps(node, defect.x, defect.y, defect.length, defect.width)
                counts[node.item] += 1
            continue
        along_x = node.axis == "x"
        start, extent, kerf = (node.x, node.length, sheet.kerf_x) if along_x else (node.y, node.width, sheet.kerf_y)
        spans = []
        if node.at > start:
            spans.append((start, node.at - start))
        if node.at + kerf < start + extent:
            spans.append((node.at + kerf, start + extent - node.at - kerf))
        assert start - kerf < node.at <= start + extent
        if along_x:
            expected = [(s, node.y, size, node.width) for s, size in spans]
        else:
            expected = [(node.x, s, node.length, size) for s, size in spans]
        assert [(p.x, p.y, p.length, p.width) for p in node.parts] == expected
        stack.extend(node.parts)
    assert tuple(counts) == answer.counts
    used: dict[tuple[int, int], int] = {}
    for k, item in enumerate(items):
        key = (0, item.group) if item.group is not None else (1, k)
        used[key] = used.get(key, 0) + counts[k]
    for k, item in enumerate(items):
        if item.copies is not None:
            assert used[(0, item.group) if item.group is not None else (1, k)] <= item.copies
    worth = sum(many * item.value for many, item in zip(counts, items, strict=True))
    assert abs(worth - answer.value) <= 1e-6 * max(1.0, worth)
    assert answer.bound >= answer.value - 1e-9
