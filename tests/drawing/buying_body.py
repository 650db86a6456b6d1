"""A made-up study with something in every section, names as long as they come, as an early version wrote it."""

from __future__ import annotations

from yieldopt.records.study import FORMAT, StudyRecord
from yieldopt.records.studyfile import from_json

DEALER = "The Old Mill Hardwood and Veneer Company of the Lower Valley"
LINE = {"dealer": DEALER, "species": "figured claro walnut", "quarters": "8/4", "grade": "select and better"}


def what_to_buy() -> StudyRecord:
    """As `source.json` holds it."""
    way = {
        "standard_error": 7.0, "board_feet_bought": 140.0, "boards": 24.0, "resaw_cuts": 12.0, "matched_pairs": 9.0,
        "kept_board_feet": 30.0, "cost_per_square_foot": 16.4, "draws": 5, "by": "plans",
        "least_thickness_to_spare": {"best": 0.2, "typical": 0.06, "stressed": -0.09},
    }  # fmt: skip
    names = ("thin stock, one layer", "8/4, resawn", "both on offer", "thin stock, pairs not matched")
    return from_json({
        "format": FORMAT, "job": "made up",
        "rack_has_enough": False,
        "missing_wood": [
            {**LINE, "pieces": 69, "square_feet": 28.4, "boards": 10.4, "tally_board_feet": 60.0, "offered": False}
        ],
        "ways": [{**way, "name": name, "net_cost": 1234.5 + 100 * k} for k, name in enumerate(names)],
        "break_even_ratio": 0.83,
        "break_even": {
            "standard_error": 0.04, "low": 0.4, "high": 1.3, "draws": 5, "by": "plans", "ratio_today": 1.45,
            "draws_that_agree": 0.9, "more_layers_if_tested": ["a long name of a part"] * 12, "sets_only_if_tested": ["panel"],
            "lines": [{"way": name, "fixed": 900.0 - 200 * k, "thick": 100.0 + 250 * k} for k, name in enumerate(names)],
        },
        "resaw_pass": {"saves": 4.2, "break_even_minutes": [{"hourly": 20, "minutes": 12.6}, {"hourly": 80, "minutes": 3.2}]},
        "matched_pairs": {"cost": 170.5, "by": "plans", "draws": 5},
        "purchase": {
            "board_feet": 245.0, "chance": 0.95, "draws": 200, "by": "estimate",
            "lines": [{**LINE, "board_feet": 120.0, "boards": 14}, {**LINE, "board_feet": 125.0, "boards": 15}],
            "curve": [[60.0, 0.0], [150.0, 0.4], [245.0, 0.95], [300.0, 1.0]],
            "confirmed_by_plans": {"draws": 6, "curve": [[61.0, 0.0], [130.0, 0.5], [245.0, 1.0]]},
            "rule_of_thumb": {"board_feet": 116.0, "chance": 0.02},
        },
        "purchase_whole_job": None,
        "grades": [
            {**LINE, "least_class": 1.25, "cost_per_square_foot": 33.1, "clear_yield": 0.44, "by": "plans", "draws": 3}
        ] * 30,
        "wide_parts": [
            {"part": "an especially wide panel behind the doors", "way": "a strip of another wood", "strip": 2.25,
             "strip_species": "soft maple", "cost": 55.0, "joints": 2, "why_not": "", "by": "plans", "draws": 2},
            {"part": "top", "way": "one wide board", "strip": 0.0, "strip_species": "", "cost": None, "joints": 0,
             "why_not": "wider than the planer takes (15 in)", "by": "estimate", "draws": 0},
        ],
        "choice": {
            "boards": [{"board": f"a board named at length {k}", "cost": 40.0, "board_feet": 8.2} for k in range(6)],
            "to_pay": 240.0, "bound": 236.0, "bundles": [], "unplaced": [],
            "second_choices": [
                {"gone": "a board named at length 1", "without": ["a board named at length 4"],
                 "take": ["another board named at length", "one more"], "more": 12.5},
                {"gone": "a board named at length 2", "without": [], "take": [], "more": None},
            ],
        },
    })  # fmt: skip
