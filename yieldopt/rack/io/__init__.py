"""Folders of tables in and out, and logging at the prompt.

Goes through the door as any caller. Begin reading in `exchange.py`.
"""
