"""How long the bot takes to understand one message, over the corpus of what people type."""

import json
import statistics
import time
from pathlib import Path

from bot.understanding.lines import answer_line

CORPUS = Path(__file__).parent.parent / "tests" / "bot" / "understanding" / "corpus.jsonl"
ROUNDS = 3
_GIVEN = ("id", "text", "reference_date", "locale")


def main() -> None:
    """Every message, round after round; the first round is for the tables."""
    rows = [json.loads(line) for line in CORPUS.read_text(encoding="utf-8").splitlines()]
    lines = [json.dumps({key: row[key] for key in _GIVEN if key in row}) for row in rows]
    signs = statistics.median(len(row["text"]) for row in rows)
    taken = [_milliseconds(line) for _ in range(ROUNDS + 1) for line in lines][len(lines) :]
    cuts = statistics.quantiles(taken, n=100)
    print(
        f"understanding, {len(rows)} messages of {signs:.0f} signs at the median, {ROUNDS} times:"
    )
    print(f"    median {statistics.median(taken):.2f} ms, p95 {cuts[94]:.2f} ms,", end=" ")
    print(f"p99 {cuts[98]:.2f} ms, worst {max(taken):.2f} ms a message")


def _milliseconds(line: str) -> float:
    began = time.perf_counter()
    answer_line(line)
    return 1000 * (time.perf_counter() - began)


if __name__ == "__main__":
    main()
