"""Which board, where: values, patterns, the master problem, the bound. `plan_job` is the way in.

Knows the job, sizes and what boards may give. Begin reading in `solve.py`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from yieldopt.planning.solve import plan_job as plan_job


def __getattr__(name: str) -> Any:
    # Solvers and compiled code take half a second to load; only planning should pay for them.
    if name == "plan_job":
        from yieldopt.planning.solve import plan_job

        return plan_job
    raise AttributeError(name)
