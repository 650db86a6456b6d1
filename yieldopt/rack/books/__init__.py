"""What the tables mean together: the ledger, holds, finding boards, photos, news for the phone, a look at everything.

Knows the database. Begin reading in `ledger.py`.
"""
