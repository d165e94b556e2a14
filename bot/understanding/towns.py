"""Towns beside an address, a postal code or a state."""

from dataclasses import dataclass

from bot.understanding.lone_names import LoneNames
from bot.understanding.name_parts import COMMON
from bot.understanding.passage import TAKEN, Span


@dataclass(frozen=True, slots=True)
class Towns(LoneNames):
    """The towns of a passage."""

    def town_after_address(self, end: int) -> list[Span]:
        """ "12 Mill Street, Quincy": the town after the comma, in capitals or not."""
        first = self._index(end)
        if first >= len(self.words) or self.passage.folded[end : self.words[first].start] not in (
            ", ",
            " ",
            " in ",
            " en ",
        ):
            return []
        last = self._reach(first)
        if last is None or self.words[first].text in COMMON:
            return []
        capital = self._capital_end(first, last)
        if capital is not None:
            return [self._span(first, self._without_state(first, capital))]
        lone = self.passage.folded[end] == "," and last - first < 2
        return [self._span(first, last)] if lone and self._lone_name(first, last) else []

    def with_state(self, span: Span) -> Span:
        """With the state that follows it: "Stowe VT"."""
        after = self._index(span[1])
        if after < len(self.words) and self._state(after):
            gap = self.passage.folded[span[1] : self.words[after].start]
            if gap in (" ", ", ") and TAKEN not in gap:
                return span[0], self.words[after].end
        return span

    def ends_at_code(self, span: Span) -> bool:
        return self.postal_at is not None and 0 <= self.postal_at - span[1] <= 6

    def town_before_code(self, taken: list[Span]) -> list[Span]:
        """Up to three words right before a postal code or a state: "…, Somerville MA 02143"."""
        for last in self._ends_before_code():
            if self.words[last].end <= max((end for _, end in taken), default=0):
                continue
            first = last
            while (
                first > 0
                and last - first < 2
                and self._touch(first - 1)
                and self._nameable(first - 1)
                and self._capital(first - 1) == self._capital(last)
            ):
                first -= 1
            if not self._nameable(last):
                continue
            named = not self.shouted and self._capital(first)
            if named or self._set_off(first, last):
                return [self._span(first, last)]
        return []

    def _ends_before_code(self) -> list[int]:
        """Where words stop right before the postal code, or before a state in capitals."""
        ends = []
        if self.postal_at is not None:
            last = self._index(self.postal_at) - 1
            if last >= 0 and self.passage.folded[self.words[last].end : self.postal_at] in (
                " ",
                ", ",
            ):
                ends.append(last - 1 if self._state(last) and last > 0 else last)
        for index in range(1, len(self.words)):
            gap = self.passage.folded[self.words[index - 1].end : self.words[index].start]
            short = self.words[index].end - self.words[index].start == 2
            loud = self.passage.original[slice(*self._span(index - 1, index - 1))].isupper()
            if (
                short
                and not loud
                and self._state(index)
                and gap in (" ", ", ")
                and self._closes(index)
            ):
                ends.append(index - 1)
        return ends

    def _set_off(self, first: int, last: int) -> bool:
        """In lower case only alone between a comma and the code."""
        if any(self.words[index].text in COMMON for index in range(first, last + 1)):
            return False
        before = self.passage.folded[: self.words[first].start].rstrip(" ")[-1:]
        return before in ("", ",", ".", ";", "\n", TAKEN) or self._next_text(first - 2) in (
            "in",
            "en",
        )
