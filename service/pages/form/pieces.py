"""Reading the pieces of the form: supports, and sizes in feet and inches or metres."""

import re
from collections.abc import Mapping
from typing import Any

from service.estimating import BriefError, Fullness, Piece, Placement, Support
from service.leads.speech import msg
from service.pages.form.sizes import metres_in
from service.pages.form.supports import ASKED, METRES_PER_INCH, USUAL_SAG_OF_SPAN, metres_of
from service.pages.posted import Posted, Refusals

MOST_PIECES = 3
_MOST_OF_A_KIND = 50

# A size out of bounds is too long on one side of this and too short on the other [m].
_ORDINARY_M = 3.0

_IMPOSSIBLE = msg("These measures don't go together. Please check them.")
_MISSING = {
    "width": msg("Tell us how wide it is, or tick “I'm not sure of the size”."),
    "height": msg("Tell us how tall it is, or tick “I'm not sure of the size”."),
    "length": msg("Tell us how long it is, or tick “I'm not sure of the size”."),
}

FULLNESS: Mapping[Fullness, tuple[str, str]] = {
    Fullness.AIRY: (msg("Airy"), msg("light, with a little air between the balloons")),
    Fullness.FULL: (msg("Full"), msg("round and even, what most people picture")),
    Fullness.LUSH: (msg("Lush"), msg("very thick, big and small balloons layered")),
}

PLACEMENTS: Mapping[Placement, str] = {
    Placement.WHOLE: msg("All along it"),
    Placement.ONE_SIDE: msg("On one side"),
    Placement.CENTRED: msg("In the middle"),
    Placement.CORNER_TO_CORNER: msg("From corner to corner"),
    Placement.ASYMMETRIC: msg("Long on one side, short on the other"),
}


def read_pieces(sent: Posted, refusals: Refusals) -> tuple[Piece, ...]:
    """The pieces that have a support chosen; at least one has to."""
    wanted = [n for n in range(1, MOST_PIECES + 1) if sent.text(f"p{n}-support")]
    if not wanted:
        text = msg(
            "Choose what should carry the balloons. Not sure? A round-top frame is a usual start."
        )
        refusals.refuse("p1-support", text)
    found = [_Reader(sent, number, refusals).read() for number in wanted]
    return tuple(piece for piece in found if piece is not None)


class _Reader:
    """Reads one piece, whose fields begin with p1-, p2- or p3-."""

    def __init__(self, sent: Posted, number: int, refusals: Refusals) -> None:
        self._sent = sent
        self._prefix = f"p{number}-"
        self._refusals = refusals

    def read(self) -> Piece | None:
        """The piece, or None with the faults noted."""
        before = len(self._refusals.faults)
        support = self._support()
        count = self._count()
        if support is None:
            return None
        sizes = self._sizes(support)
        if len(self._refusals.faults) > before:
            return None
        sizes, assumed = _completed(support, sizes)
        measures: dict[str, Any] = {**metres_of(support, sizes)}
        try:
            return Piece(
                support=support,
                count=count,
                fullness=self._fullness(),
                placement=self._placement(),
                measures_assumed=assumed,
                **measures,
            )
        except BriefError as error:
            for problem in error.problems:
                self._explain(support, sizes, problem.field)
            return None

    def _support(self) -> Support | None:
        value = self._sent.text(f"{self._prefix}support")
        try:
            return Support(value)
        except ValueError:
            self._refuse("support", msg("Choose one from the list, please."))
            return None

    def _count(self) -> int:
        text = self._sent.text(f"{self._prefix}count") or "1"
        if re.fullmatch(r"[0-9]{1,4}", text) and 1 <= int(text) <= _MOST_OF_A_KIND:
            return int(text)
        text = msg("Give a whole number from 1 to %(most)s.")
        self._refuse("count", text, most=_MOST_OF_A_KIND)
        return 1

    def _fullness(self) -> Fullness:
        value = self._sent.text("fullness")
        return Fullness(value) if value in set(Fullness) else Fullness.FULL

    def _placement(self) -> Placement:
        value = self._sent.text(f"{self._prefix}placement")
        return Placement(value) if value in PLACEMENTS else Placement.WHOLE

    def _sizes(self, support: Support) -> dict[str, float]:
        asked = ASKED[support].measures
        sizes = {name: size for name in asked if (size := self._size(name)) is not None}
        unsure = bool(self._sent.text(f"{self._prefix}unsure"))
        refused = {fault.field for fault in self._refusals.faults}
        for name in asked:
            at = self._prefix + name
            if name not in sizes and name != "sag" and not unsure and at not in refused:
                self._refuse(name, _MISSING[name])
        return sizes

    def _size(self, name: str) -> float | None:
        feet_text = self._sent.text(f"{self._prefix}{name}-ft")
        inches_text = self._sent.text(f"{self._prefix}{name}-in")
        if not feet_text and not inches_text:
            return None
        try:
            return metres_in(feet_text, inches_text)
        except ValueError:
            text = msg("Write the size in numbers, such as 7 feet and 6 inches, or 2.3 m.")
            self._refuse(name, text)
            return None

    def _explain(self, support: Support, sizes: dict[str, float], field: str) -> None:
        name = field.removesuffix("_m")
        if support is Support.STAIRCASE:
            name = "length"
        size = sizes.get(name)
        feet = self._refusals.words.feet
        if size is None:
            self._refuse("support", _IMPOSSIBLE)
        elif size > _ORDINARY_M:
            text = msg(
                "%(size)s is more than one piece can be: up to about 98 ft works. Check the "
                "number, or split it into several pieces."
            )
            self._refuse(name, text, size=feet(size))
        elif support is Support.ROUND_TOP_FRAME and name == "height" and size > 0.1:
            text = msg(
                "A round top that is %(width)s wide is %(height)s high by itself, so the height "
                "has to be more than that."
            )
            width = sizes["width"]
            self._refuse(name, text, width=feet(width), height=feet(width / 2))
        else:
            self._refuse(name, msg("That is too small for balloons; 4 inches is the least."))

    def _refuse(self, name: str, text: str, **values: Any) -> None:
        self._refusals.refuse(f"{self._prefix}{name}", text, **values)


def _completed(support: Support, sizes: dict[str, float]) -> tuple[dict[str, float], bool]:
    """The sizes with usual ones for what is missing, and whether any was taken."""
    asked = ASKED[support]
    complete = {
        name: sizes.get(name, round(inches * METRES_PER_INCH, 4))
        for name, inches in zip(asked.measures, asked.usual_in, strict=True)
    }
    if support is Support.SWAG and "sag" not in sizes:
        complete["sag"] = round(complete["width"] * USUAL_SAG_OF_SPAN, 4)
    return complete, len(sizes) < len(asked.measures)
