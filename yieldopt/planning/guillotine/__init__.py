"""Exact any-stage guillotine layouts of one sheet, with and without defects."""
