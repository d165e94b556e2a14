"""`python -m tests.published` prints the table and its tally; it says so where a row fails."""

from tests.published.report import table_lines, tally
from tests.published.table import TABLE

print(*table_lines(TABLE), "", *tally(TABLE), sep="\n")
