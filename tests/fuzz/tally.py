"""What was tried and what went wrong."""

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field


@dataclass
class Tally:
    """One part's cases, and its failures: what is wrong → the first example of it."""

    part: str
    tried: int = 0
    failures: dict[str, str] = field(default_factory=dict)
    taken: Counter[str] = field(default_factory=Counter)

    def fail(self, what: str, example: object) -> None:
        """Note a failure; of one kind the first is kept."""
        self.failures.setdefault(what, str(example)[:2000])

    @contextmanager
    def trying(self, example: object) -> Iterator[None]:
        """One more case: whatever it raises is a failure."""
        self.tried += 1
        try:
            yield
        except Exception as error:
            # A failed assertion says what is wrong itself; the rest goes by its kind.
            what = str(error).partition("\n")[0] if isinstance(error, AssertionError) else ""
            self.fail(what or f"{type(error).__name__}: {error}"[:200], repr(example))

    def add(self, other: "Tally") -> None:
        """The same part once more."""
        self.tried += other.tried
        self.taken.update(other.taken)
        for what, example in other.failures.items():
            self.fail(what, example)

    def __str__(self) -> str:
        head = f"{self.part:<24}{self.tried:>9,} tried, {len(self.failures)} failures"
        return "\n".join([head, *(f"  {w}\n    {e}" for w, e in self.failures.items())])
