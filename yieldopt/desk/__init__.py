"""The page for the desk: a job's tables, its boards, a plan as it comes, all kept in the job's folder.
Knows the job's files, the planner, the check, the drawings; shares guard and refusals with the phone's page.
Begin with `app.py`.
"""
