"""What may lie where, and what may come from which board: each rule once, for all that plans, plans again or looks at a plan.
Knows boards, parts, plans and the shop's settings; nothing of a search. The check, which words them itself, stays out.
Begin with `clearance.py`, what a defect keeps clear, then `faces.py`.
"""
