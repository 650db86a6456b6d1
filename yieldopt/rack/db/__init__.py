"""Tables, connections, the rack's file, its versions and copies, rows to records and back.

Knows records; `store.put` is the only code that writes boards. Begin reading in `schema.py`.
"""
