"""Where one gets to from everywhere at the desk, and the page that lists the rest."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class Room:
    """A page of the desk that is reached from others; `about` is said where it is listed."""

    path: str
    name: str
    about: str = ""


MORE = "/desk/more"

FRONT: Sequence[Room] = (
    Room(path="/desk", name="Requests"),
    Room(path="/desk/calendar", name="Calendar"),
    Room(path="/desk/book", name="Price book"),
    Room(path=MORE, name="More"),
)
"""What stands at the top of every page of the owner's."""

HELPERS: Sequence[Room] = (
    Room(path="/desk/jobs", name="Set-ups"),
    Room(path="/desk/days", name="Today"),
    Room(path="/desk/account", name="Your account"),
)
"""What stands at the top of every page of a helper's: nothing else is theirs."""

FURTHER: Sequence[Room] = (
    Room(path="/desk/days", name="Today", about="the run sheet: times, places, whom to call"),
    Room(path="/desk/figures", name="Figures", about="answers, jobs won and lost, what they bring"),
    Room(
        path="/desk/learning",
        name="What your jobs teach",
        about="where you are faster or slower than your book, and whether prices go by it",
    ),
    Room(path="/desk/accuracy", name="Accuracy", about="real costs against what you had told"),
    Room(
        path="/desk/stuck",
        name="Stuck",
        about="what did not go through: try it again, or put it away",
    ),
    Room(path="/desk/export", name="Take your data out", about="tables for a spreadsheet"),
    Room(path="/desk/money", name="Money", about="what is still due, and what has to go back"),
    Room(
        path="/desk/feeds",
        name="Your calendar elsewhere",
        about="your dates on a phone or a computer, always as they stand",
    ),
    Room(
        path="/desk/reminders",
        name="Reminders",
        about="what goes out by itself, and when",
    ),
    Room(path="/desk/texts", name="Texts", about="what is said by itself, in your own words"),
    Room(
        path="/desk/rules",
        name="When you look first",
        about="which prices wait for you, and what that would have caught",
    ),
    Room(
        path="/desk/shopping",
        name="Shopping",
        about="what to buy for booked jobs, where and by when; mark it as bought",
    ),
    Room(
        path="/desk/stock",
        name="Balloons on hand",
        about="count them, and see what booked jobs were promised",
    ),
    Room(path="/desk/jobs", name="Set-ups", about="what to make and to load, to print or to show"),
    Room(
        path="/desk/many",
        name="Many at once",
        about="a month's documents in one file, open requests by today's figures",
    ),
    Room(path="/desk/days-off", name="Days off", about="when no set-up is offered"),
    Room(path="/desk/people", name="Helpers", about="who else may see the set-ups"),
    Room(
        path="/desk/account",
        name="Your account",
        about="your password, and where you are signed in",
    ),
    Room(
        path="/desk/telegram",
        name="Your Telegram",
        about="be told at once, and decide from your phone",
    ),
)
"""What the page behind “More” lists; each with a word on what it is for."""


def here(path: str, rooms: Sequence[Room]) -> str | None:
    """The room that a path belongs to."""
    inside = [room.path for room in rooms if f"{path}/".startswith(f"{room.path}/")]
    return max(inside, key=len, default=None)
