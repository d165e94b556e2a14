"""What can be wrong with a brief or a price book: every fault at once, as data."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class FieldProblem:
    """One fault: which field, what is wrong with it and what is allowed."""

    field: str
    detail: str


class EstimatingError(Exception):
    """Base of this room's errors; `problems` lists every fault that was found."""

    def __init__(self, problems: tuple[FieldProblem, ...]) -> None:
        self.problems = problems
        super().__init__("; ".join(f"{p.field}: {p.detail}" for p in problems))


class BriefError(EstimatingError):
    """The brief cannot be estimated as it stands."""


class BookError(EstimatingError):
    """The price book holds something that cannot be right."""


class Faults:
    """Collects faults, so that a person hears of all of them in one answer."""

    def __init__(self) -> None:
        self._problems: list[FieldProblem] = []

    def add(self, field: str, detail: str) -> None:
        """Note one fault of `field`."""
        self._problems.append(FieldProblem(field=field, detail=detail))

    def check(self, holds: bool, field: str, detail: str) -> None:
        """Note a fault of `field` unless `holds`."""
        if not holds:
            self.add(field, detail)

    @contextmanager
    def under(self, prefix: str) -> Iterator[None]:
        """Keep a BriefError raised inside, its fields named from `prefix` on."""
        try:
            yield
        except BriefError as error:
            for problem in error.problems:
                self.add(f"{prefix}.{problem.field}" if prefix else problem.field, problem.detail)

    def raise_as(self, kind: type[EstimatingError]) -> None:
        """Raise `kind` with everything noted; do nothing when there is nothing."""
        if self._problems:
            raise kind(tuple(self._problems))
