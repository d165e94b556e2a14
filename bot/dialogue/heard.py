"""What the client did."""

from dataclasses import dataclass
from datetime import date

from bot.dialogue.state import Act
from bot.understanding import Slots

_NOTHING = Slots()


@dataclass(frozen=True, kw_only=True)
class Heard:
    """An act and what came with it. `says` are phrases to begin the reply with."""

    act: Act
    text: str = ""  # typed words, where there are any
    slots: Slots = _NOTHING
    choice: tuple[str, ...] = ()  # an answer button: question and answer
    question: str | None = None  # the question that a skip, an edit or an old button is about
    piece: int = 0
    says: tuple[str, ...] = ()
    colours: tuple[str, ...] = ()  # colours that are not wanted
    days: tuple[date, ...] = ()  # what the day that was said may mean
    month: date | None = None  # a page of the calendar
    inches: tuple[int, ...] = ()  # a size that was stepped to
    language: str | None = None
    topics: tuple[str, ...] = ()  # what is asked beside the plan, and the shop has an answer to
    closes: bool = False  # closes the list of changes again
    another: str = ""  # the words about a second event
