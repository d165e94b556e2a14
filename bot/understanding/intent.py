"""What the client wants of us: evidence is gathered and weighed, not the first match taken.

A message that tells of an event or of pieces and asks for a price is a quote request even where it
begins with a question; "do you deliver to…?" alone is a question; grievances are told in the past.
"""

from dataclasses import dataclass

from bot.understanding import corrections, grievances
from bot.understanding import evidence as said
from bot.understanding.passage import Passage
from bot.understanding.spellings import plain


@dataclass(frozen=True, slots=True)
class Content:
    """What the other readers found, as far as it bears on the intent."""

    unsafe: bool
    orders: bool  # text that tries to give orders
    elsewhere: bool  # another trade's work is asked for
    named_piece: bool
    particular_piece: bool  # "an arch", "two columns"; not "arches" in general
    measured: bool
    event: bool  # an occasion, a date, hours, colours, guests: part of a brief
    only_when: bool  # a day or an hour and nothing else
    brief: bool  # a budget or foils, which alone tell of no event
    told: int  # how many slots of a brief are told, besides the pieces


def intent_of(passage: Passage, content: Content) -> str:
    """One of `INTENTS`. A danger comes first, then an end, a grievance, a change, then the rest."""
    if content.unsafe:
        return "unsafe"
    text = plain(passage.folded)
    ordered = content.orders and not (content.named_piece or content.event)
    if ordered or (content.elsewhere and not content.particular_piece):
        return "other"
    if said.GREETING.search(text):
        return "other"
    ends = bool(grievances.CANCEL.search(text)) and not grievances.CANCEL_ASKED.search(text)
    if ends and not _builds(text, content):
        in_part = grievances.KEEPS.search(text) and not grievances.ALL_OF_IT.search(text)
        return "change" if in_part else "cancel"
    if grievances.COMPLAINT.search(text) and not grievances.COMPLAINT_ASKED.search(text):
        return "complaint"
    if corrections.CHANGE_ASKED.search(text):
        return "question"
    change = _change(text)
    if said.OF_A_BOOKING.search(text) and change < _CERTAIN:
        return "question"
    if change > _first_brief(text, content):
        return "change"
    return _quote_or_question(text, content)


_CERTAIN = 5.0
_FULL_BRIEF = 2


def _builds(text: str, content: Content) -> bool:
    """ "we dont want the whole thing, just an arch": an end of something, but work for us."""
    return content.particular_piece and content.told >= _FULL_BRIEF and _priced(text)


def _change(text: str) -> float:
    """How much speaks for a correction of what is known."""
    return (
        _CERTAIN * bool(corrections.CHANGE_SAID.search(text))
        + 2.0 * bool(corrections.CORRECTS.search(text))
        + 1.0 * bool(corrections.OF_KNOWN.search(text))
        + 2.5 * bool(corrections.CONTRAST.search(text))
        + 1.5 * min(2, len(corrections.CHANGE_HINTED.findall(text)))
    )


def _first_brief(text: str, content: Content) -> float:
    """How much speaks for a first request, which may hold a correction of itself."""
    wants = bool(said.WANT.search(text))
    return (
        1.0
        + 2.0 * (_priced(text) and content.particular_piece)
        + 1.0 * (_priced(text) and content.event)
        + 1.0 * (wants and content.particular_piece and content.event)
        + 0.7 * (content.told + content.named_piece + content.measured - 1)
    )


def _priced(text: str) -> bool:
    return bool(said.PRICE.search(text)) and not said.SIDE_PRICE.search(text)


def _asks(text: str) -> bool:
    if "?" in text or said.TAG_QUESTION.search(text):
        return True
    return any(map(said.QUESTION_WORD.search, said.CLAUSES.split(text)))


def _quote_or_question(text: str, content: Content) -> str:
    """Work wanted, or something asked; neither is `other`."""
    if said.INFORMATION.search(text) and not (content.named_piece or content.event):
        return "question"
    priced, wants, asks = _priced(text), bool(said.WANT.search(text)), _asks(text)
    product = bool(said.PRODUCT.search(text))
    if _is_idle(text, content, priced or wants):
        return "other"
    if (asks or said.SIDE_PRICE.search(text)) and _is_side_question(text, content, priced, wants):
        return "question"
    if asks and content.only_when and not priced and not (wants and product):
        return "question"
    if priced or content.particular_piece or (wants and (content.event or content.measured)):
        return "quote_request"
    if asks and not content.brief:
        return "question"
    if content.event or content.measured or content.named_piece or content.brief:
        return "quote_request"
    asked_for = wants and product and not said.COURTESY.search(text)
    return "quote_request" if asked_for else "other"


def _is_idle(text: str, content: Content, wanted: bool) -> bool:
    if wanted or content.told >= _FULL_BRIEF or content.measured:
        return False
    thanks = said.COURTESY.search(text) and not content.particular_piece and "?" not in text
    return bool(said.IDLE.search(text) or (thanks and (content.only_when or not content.told)))


def _is_side_question(text: str, content: Content, priced: bool, wants: bool) -> bool:
    """About the work in general, or the state of a quote, rather than for a price."""
    full = content.told >= _FULL_BRIEF and content.particular_piece
    if full:
        return False
    if said.SIDE_PRICE.search(text):
        told = content.event or (wants and "?" not in text)
        return not (content.particular_piece and told)
    if priced:
        return False
    if said.AVAILABLE.search(text) and not content.particular_piece:
        return True
    return bool(said.SIDE_QUESTION.search(text)) and not wants
