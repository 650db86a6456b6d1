"""What a study leaves in its folder."""

from __future__ import annotations

from yieldopt.planned.checked import plan_files
from yieldopt.records.studyfile import dumps
from yieldopt.sourcing.studied import Study
from yieldopt.sourcing.told.everything import report
from yieldopt.sourcing.told.record import record
from yieldopt.sourcing.told.study_charts import chart_files

TEXT = "source.txt"


def told_files(s: Study) -> dict[str, str | bytes]:
    """By name: the record, the same in words, charts; and the plan on the rack and the chosen boards where there is one."""
    found = record(s)
    files: dict[str, str | bytes] = {
        "source.json": dumps(found),
        TEXT: "\n".join(report(s, found)) + "\n",
        **chart_files(found),
    }
    chosen = s.picked.chosen
    return files | plan_files(chosen.job, chosen.plan) if chosen is not None and chosen.plan is not None else files


def text_of(files: dict[str, str | bytes]) -> str:
    """The words of it."""
    return str(files[TEXT])
