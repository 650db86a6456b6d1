"""Run the planner's engine over a folder of published instances and set our values beside the published ones.

    python tests/bench/published.py DIR [--family NAME ...] [--name NAME ...] [--seconds 60] [--all]

Every `*.json` below DIR is one instance (files of other shapes are named, those with several sheets counted, and skipped):

    { "name", "kind", "family", "L", "W",          the sheet: L along x, W along y
      "items":   [{"l", "w", "value", "max_copies"}],   max_copies null = no limit
      "defects": [{"x", "y", "l", "w"}],           lower-left corner and size; may be absent
      "known":   {variant: {"value", "status": "optimal" | "best known", "upper_bound"?,
                            "times"?: [{"method", "seconds", "machine"}]}} }

All sizes are integers; cuts are edge to edge, any number of stages, no kerf, trimming allowed. Variants run:

    unconstrained_fixed, unconstrained_rotated   max_copies ignored; 90 degree turns in the second
    constrained_fixed, constrained_rotated       at most max_copies of each type, turned or not
    defects_fixed                                items must not overlap a defect's inside
    no_defects_fixed                             the same sheet, defects ignored

The columns: our value, our bound, the published value, whether we reached it and whether our own bound proves ours, our
seconds by the clock and of processor time (compiling done before), the published seconds and machine. Every layout is
checked (inside the sheet, disjoint, clear of defects, within the limits) before it counts. Without --all only values with
status "optimal" are run.
"""

from __future__ import annotations

import argparse
import json
import statistics
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from yieldopt.planning.guillotine import Answer, Deadline, Defect, Item, Sheet, solve

KNAPSACK = ("unconstrained_fixed", "unconstrained_rotated", "constrained_fixed", "constrained_rotated")
DEFECTS = ("defects_fixed", "no_defects_fixed")


@dataclass(frozen=True)
class Row:
    family: str
    name: str
    variant: str
    value: float
    bound: float
    published: float
    seconds: float
    processor: float
    their_seconds: float | None

    @property
    def reached(self) -> bool:
        return self.value >= self.published - 1e-6

    @property
    def proven(self) -> bool:
        return self.bound <= self.value + 1e-6


def problem(data: dict[str, Any], variant: str) -> tuple[Sheet, list[Item]]:
    """The sheet and the items that `variant` of the instance stands for; a turned item shares its group's copies."""
    defects = data.get("defects", []) if variant == "defects_fixed" else []
    sheet = Sheet(data["L"], data["W"], defects=tuple(Defect(d["x"], d["y"], d["l"], d["w"]) for d in defects))
    items = []
    for group, i in enumerate(data["items"]):
        copies = i.get("max_copies") if variant.startswith("constrained") else None
        items.append(Item(i["l"], i["w"], i["value"], copies, group))
        if variant.endswith("rotated") and i["l"] != i["w"]:
            items.append(Item(i["w"], i["l"], i["value"], copies, group))
    return sheet, items


def faults(sheet: Sheet, items: list[Item], answer: Answer) -> list[str]:
    """What is wrong with the layout; nothing if it is sound."""
    placed = list(answer.layout.placed())
    out = []
    if abs(sum(items[n.item].value for n in placed if n.item is not None) - answer.value) > 1e-6 * max(1, answer.value):
        out.append("value does not add up")
    used: dict[int | None, int] = {}
    for k, n in enumerate(placed):
        item = items[n.item or 0]
        used[item.group] = used.get(item.group, 0) + 1
        if (n.length, n.width) != (item.length, item.width):
            out.append("wrong size")
        if n.x < 0 or n.y < 0 or n.x + n.length > sheet.length or n.y + n.width > sheet.width:
            out.append("outside the sheet")
        others = [(o.x, o.y, o.length, o.width) for o in placed[:k]]
        others += [(d.x, d.y, d.length, d.width) for d in sheet.defects]
        for x, y, length, width in others:
            if n.x < x + length and x < n.x + n.length and n.y < y + width and y < n.y + n.width:
                out.append("overlap")
    out += ["too many copies" for item in items if item.copies is not None and used.get(item.group, 0) > item.copies]
    return out


def quickest(known: dict[str, Any]) -> tuple[float | None, str]:
    """The quickest published seconds, with method and machine."""
    times = [t for t in known.get("times", []) if isinstance(t.get("seconds"), int | float)]
    if not times:
        return None, "-"
    best = min(times, key=lambda t: float(t["seconds"]))
    return float(best["seconds"]), f"{str(best.get('method', '?'))[:40]} on {str(best.get('machine', '?'))[:60]}"


def run(data: dict[str, Any], variant: str, seconds: float) -> Row:
    sheet, items = problem(data, variant)
    known = data["known"][variant]
    start, worked = time.monotonic(), time.process_time()
    answer = solve(sheet, items, Deadline(seconds))
    spent, worked = time.monotonic() - start, time.process_time() - worked
    wrong = faults(sheet, items, answer)
    theirs, machine = quickest(known)
    row = Row(
        data.get("family", "?"), data["name"], variant, answer.value, answer.bound, known["value"], spent, worked, theirs
    )
    state = "WRONG: " + ", ".join(sorted(set(wrong))) if wrong else "reached" if row.reached else "not reached"
    print(
        f"{row.name:28} {variant:22} {row.value:12.10g} {row.bound:12.10g} {row.published:12.10g}"
        f" {state:12} {'proven' if row.proven else 'open':7} {spent:9.3f} {row.processor:9.3f}"
        f" {'-' if theirs is None else f'{theirs:.3f}':>9}  {machine}",
        flush=True,
    )
    if wrong:
        raise SystemExit(f"{row.name}: the layout is not sound")
    return row


def warm_up() -> None:
    """Have everything compiled before the clock runs."""
    items = [Item(3, 5, 15, 1), Item(4, 2, 8, 2), Item(5, 4, 22, 1), Item(2, 3, 5, None)]
    solve(Sheet(11, 9), items, 20)
    solve(Sheet(11, 9, defects=(Defect(3, 3, 2, 2), Defect(8, 1, 1, 1))), items, 20)
    solve(Sheet(11, 9), [Item(3, 5, 15), Item(4, 2, 8)])


def summary(rows: list[Row]) -> None:
    print(f"\n{'family':16} {'variant':22} {'run':>4} {'reached':>8} {'proven':>7}", end="")
    print(f" {'median s':>9} {'max s':>9} {'max cpu s':>9} {'published median / max s':>26}")
    groups: dict[tuple[str, str], list[Row]] = {}
    for row in rows:
        groups.setdefault((row.family, row.variant), []).append(row)
        groups.setdefault(("all", row.variant), []).append(row)
    for (family, variant), group in sorted(groups.items(), key=lambda g: (g[0][0] == "all", g[0])):
        theirs = [r.their_seconds for r in group if r.their_seconds is not None]
        said = f"{statistics.median(theirs):.3f} / {max(theirs):.3f}" if theirs else "-"
        ours = [r.seconds for r in group]
        print(
            f"{family:16} {variant:22} {len(group):4} {sum(r.reached for r in group):8} {sum(r.proven for r in group):7}"
            f" {statistics.median(ours):9.3f} {max(ours):9.3f} {max(r.processor for r in group):9.3f} {said:>26}"
        )
    missed = [r for r in rows if not r.reached]
    print(f"\nnot reached: {len(missed)} of {len(rows)}")
    for r in missed:
        less = 100 * (1 - r.value / r.published)
        print(f"  {r.name} {r.variant}: {r.value:.10g} against {r.published:.10g} ({less:.2f} % less), bound {r.bound:.10g}")


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--family", action="append", default=[], help="only this family (may be repeated)")
    parser.add_argument("--name", action="append", default=[], help="only this instance (may be repeated)")
    parser.add_argument("--variant", action="append", default=[], help="only this variant (may be repeated)")
    parser.add_argument("--seconds", type=float, default=60.0, help="limit for each instance and variant")
    parser.add_argument("--all", action="store_true", help="also values that are only the best known")
    args = parser.parse_args()
    if not args.folder.is_dir():
        parser.error(f"{args.folder} is not a folder")
    warm_up()
    print(f"{'name':28} {'variant':22} {'ours':>12} {'bound':>12} {'published':>12} {'':20}", end="")
    print(f" {'our s':>9} {'our cpu s':>9} published s, method and machine")
    rows: list[Row] = []
    others = 0
    for path in sorted(args.folder.rglob("*.json")):
        try:
            data = json.loads(path.read_text())
            variants = [v for v in (*KNAPSACK, *DEFECTS) if v in data["known"]]
            if data.get("stock") or not variants:
                others += 1
                continue
            if (args.family and data.get("family") not in args.family) or (args.name and data["name"] not in args.name):
                continue
            for variant in variants:
                open_value = data["known"][variant].get("status") != "optimal" and not args.all
                if not open_value and (not args.variant or variant in args.variant):
                    rows.append(run(data, variant, args.seconds))
        except (ValueError, KeyError, TypeError) as error:
            print(f"{path.name}: not an instance of the described form ({type(error).__name__}: {error})")
    if rows:
        summary(rows)
    if others:
        print(f"\n{others} files with several sheets or other rules were not run")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
