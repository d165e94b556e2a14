"""Reading the pieces of the form: supports, and sizes in feet and inches."""

import re

from service.estimating import BriefError, Fullness, Piece, Support
from service.leads import words
from service.pages.form.supports import ASKED, METRES_PER_INCH, USUAL_SAG_OF_SPAN, metres_of
from service.pages.posted import Fault, Posted

MOST_PIECES = 3
_MOST_OF_A_KIND = 50

# A size out of bounds is too long on one side of this and too short on the other [m].
_ORDINARY_M = 3.0

_NUMBER = r"(\d+(?:[.,]\d*)?|[.,]\d+)"
_FEET = re.compile(
    rf"{_NUMBER}\s*(?:ft|feet|foot|['’′])?\s*(?:{_NUMBER}\s*(?:in|inch|inches|[\"”″])?)?\.?",
    re.IGNORECASE,
)
_INCHES = re.compile(rf"{_NUMBER}\s*(?:in|inch|inches|[\"”″])?\.?", re.IGNORECASE)
_SAID = {
    "width": "how wide it is",
    "height": "how tall it is",
    "length": "how long it is",
    "sag": "how deep it hangs",
}


def read_pieces(sent: Posted, faults: list[Fault]) -> tuple[Piece, ...]:
    """The pieces that have a support chosen; at least one has to."""
    found = [
        _Reader(sent, number, faults).read()
        for number in range(1, MOST_PIECES + 1)
        if sent.text(f"p{number}-support")
    ]
    if not found:
        text = (
            "Choose what should carry the balloons. Not sure? A round-top frame is a usual start."
        )
        faults.append(Fault(field="p1-support", text=text))
    return tuple(piece for piece in found if piece is not None)


class _Reader:
    """Reads one piece, whose fields begin with p1-, p2- or p3-."""

    def __init__(self, sent: Posted, number: int, faults: list[Fault]) -> None:
        self._sent = sent
        self._prefix = f"p{number}-"
        self._faults = faults

    def read(self) -> Piece | None:
        """The piece, or None with the faults noted."""
        before = len(self._faults)
        support = self._support()
        count = self._count()
        fullness = self._fullness()
        if support is None:
            return None
        sizes = self._sizes(support)
        if len(self._faults) > before:
            return None
        sizes, assumed = _completed(support, sizes)
        metres = metres_of(support, sizes)
        try:
            return Piece(
                support=support,
                count=count,
                fullness=fullness,
                measures_assumed=assumed,
                width_m=metres.get("width_m"),
                height_m=metres.get("height_m"),
                length_m=metres.get("length_m"),
                sag_m=metres.get("sag_m"),
                rise_m=metres.get("rise_m"),
                run_m=metres.get("run_m"),
            )
        except BriefError as error:
            for problem in error.problems:
                self._explain(support, sizes, problem.field, problem.detail)
            return None

    def _support(self) -> Support | None:
        value = self._sent.text(f"{self._prefix}support")
        try:
            return Support(value)
        except ValueError:
            self._fault("support", "Choose one from the list, please.")
            return None

    def _count(self) -> int:
        text = self._sent.text(f"{self._prefix}count") or "1"
        if re.fullmatch(r"[0-9]{1,4}", text) and 1 <= int(text) <= _MOST_OF_A_KIND:
            return int(text)
        self._fault("count", f"Give a whole number from 1 to {_MOST_OF_A_KIND}.")
        return 1

    def _fullness(self) -> Fullness:
        value = self._sent.text("fullness")
        return Fullness(value) if value in set(Fullness) else Fullness.FULL

    def _sizes(self, support: Support) -> dict[str, float]:
        asked = ASKED[support].measures
        sizes = {name: size for name in asked if (size := self._size(name)) is not None}
        unsure = bool(self._sent.text(f"{self._prefix}unsure"))
        refused = {fault.field for fault in self._faults}
        for name in asked:
            at = self._prefix + name
            if name not in sizes and name != "sag" and not unsure and at not in refused:
                self._fault(name, f"Tell us {_SAID[name]}, or tick “I'm not sure of the size”.")
        return sizes

    def _size(self, name: str) -> float | None:
        feet_text = self._sent.text(f"{self._prefix}{name}-ft")
        inches_text = self._sent.text(f"{self._prefix}{name}-in")
        if not feet_text and not inches_text:
            return None
        feet = _FEET.fullmatch(feet_text or "0")
        inches = _INCHES.fullmatch(inches_text or "0")
        if feet is None or inches is None:
            self._fault(name, "Write the size in numbers, such as 7 feet and 6 inches.")
            return None
        total = 12 * _float(feet[1]) + _float(feet[2] or "0") + _float(inches[1])
        return round(total * METRES_PER_INCH, 4)

    def _explain(self, support: Support, sizes: dict[str, float], field: str, detail: str) -> None:
        name = field.removesuffix("_m")
        if support is Support.STAIRCASE:
            name = "length"
        size = sizes.get(name)
        if size is None:
            self._fault("support", detail)
        elif size > _ORDINARY_M:
            text = (
                f"{words.feet(size)} is more than one piece can be: up to about 98 ft works. "
                "Check the number, or split it into several pieces."
            )
            self._fault(name, text)
        elif support is Support.ROUND_TOP_FRAME and name == "height" and size > 0.1:
            width = sizes["width"]
            text = (
                f"A round top that is {words.feet(width)} wide is {words.feet(width / 2)} high by "
                "itself, so the height has to be more than that."
            )
            self._fault(name, text)
        else:
            self._fault(name, "That is too small for balloons; 4 inches is the least.")

    def _fault(self, name: str, text: str) -> None:
        self._faults.append(Fault(field=f"{self._prefix}{name}", text=text))


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


def _float(text: str) -> float:
    return float(text.replace(",", "."))
