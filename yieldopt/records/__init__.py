"""What commands leave for each other: `plan.json` with its sections and the study's `source.json`, as frozen records.

A record knows the plan and exact lengths, and nothing of who fills it. Begin reading in `sections.py`.
"""
