"""The page of defaults and the program's defaults are the same, setting for setting."""

import re
from dataclasses import fields
from fractions import Fraction as F
from pathlib import Path

from yieldopt.ground.lengths import parse_length
from yieldopt.wood.lumber import Shop
from yieldopt.wood.tape import LEAST, MARKS

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "defaults.md"


def on_the_page():
    """Table name -> setting -> default as printed, and the reason."""
    found = {}
    for line in PAGE.read_text(encoding="utf-8").splitlines():
        if heading := re.fullmatch(r"## `\[(\w+)\]`", line):
            table = found.setdefault(heading[1], {})
        elif row := re.fullmatch(r"\| `(\w+)` \| (.+?) \| (.+) \|", line):
            assert row[1] not in table, row[1]
            table[row[1]] = (row[2], row[3])
    return found


def in_the_program():
    shop, found = Shop(), {}
    for section in fields(shop):
        values = getattr(shop, section.name)
        found[section.name] = {f.name: getattr(values, f.name) for f in fields(values)}
    return found


def test_every_setting_is_on_the_page_with_its_value():
    page = on_the_page()
    assert page.pop("boards") == {"leave": ("none", "Boards that the job must not touch.")}
    program = in_the_program()
    in_force = {"mark": MARKS, "least_strip": LEAST}
    assert {t: list(s) for t, s in page.items()} == {t: list(s) for t, s in program.items()}
    for table, settings in program.items():
        for name, value in settings.items():
            printed = page[table][name][0]
            if table == "marks":
                assert value is None
                in_inches, _, in_mm = printed.partition(", in mm jobs ")
                assert (parse_length(in_inches, "in"), parse_length(in_mm, "mm")) == tuple(in_force[name].values()), name
                continue
            expected = "none" if value is None else value
            assert (parse_length(printed, "in") if isinstance(value, F) else printed) == expected, f"{table}.{name}"


def test_every_default_names_a_source_or_says_that_there_is_none():
    for table, settings in on_the_page().items():
        if table == "boards":
            continue
        for name, (_, reason) in settings.items():
            assert "](http" in reason or "FPL-GTR" in reason or "no source" in reason or "inference" in reason, f"{table}.{name}"
