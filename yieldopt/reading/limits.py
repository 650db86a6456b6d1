"""How much the reader takes from a file before it refuses: far above any shop's job or rack, far below what would stall it."""

# Largest file, in bytes; a job of a thousand boards takes some hundred kilobytes, a dumped rack of 20,000 boards 6 million.
MAX_BYTES = 40_000_000
# Largest workbook once unpacked, in bytes, so that a small archive can't fill the memory.
MAX_UNPACKED_BYTES = 120_000_000
MAX_ROWS = 200_000
MAX_COLUMNS = 200
# Longest cell and longest name, in characters.
MAX_CELL = 10_000
MAX_NAME = 200
# Most pieces of one part.
MAX_QTY = 10_000
# Most money in one cell, in the job's currency.
MAX_MONEY = 1_000_000_000
# Most mistakes listed before reading stops: nobody mends more at once, and a file of noise must not fill the memory.
MAX_PROBLEMS = 50_000
