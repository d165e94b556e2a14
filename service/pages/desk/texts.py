"""What the shop says by itself, in the owner's own words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads.follow_up import wording_anew
from service.leads.follow_up.sample import filled_in
from service.leads.follow_up.texts import LONGEST, TEXTS, Text, faults_of
from service.leads.follow_up.wording_anew import TextRefused
from service.leads.lead import NotFound
from service.leads.own_texts import OwnText
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.posted import Sent
from service.pages.visit import go_to

router = APIRouter()

_LANGUAGES: Mapping[str, str] = {"en": "English", "es": "Spanish"}

_DONE: Mapping[str, str] = {
    "kept": "From now on it is said like this.",
    "shipped": "The shipped text is said again.",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """A text as it is said in English now; `changed` are the languages it is worded anew in."""

    key: str
    about: str
    said: str
    changed: Sequence[str]


@router.get("/texts")
def texts_page(desk: SignedIn) -> Response:
    """Every text, in the order in which clients come across them."""
    with desk.visit.ports.read() as work:
        own = work.texts.every()
    return desk.show(
        "desk/texts.html",
        entries=[_entry(desk, text, own) for text in TEXTS.values()],
        languages=_LANGUAGES,
    )


@router.get("/texts/{key}/{language}")
def text_page(key: str, language: str, desk: SignedIn, done: str = "") -> Response:
    """One text, with what may stand in it and how it would read."""
    return _page(desk, key, language, notice=_DONE.get(done))


@router.post("/texts/{key}/{language}")
def word_anew(key: str, language: str, desk: Confirmed, sent: Sent) -> Response:
    """Keep the owner's words, or show how they would read."""
    said = sent.text("text")
    if sent.text("look"):
        return _page(desk, key, language, entered=said)
    ports = desk.visit.ports
    try:
        with ports.work() as work:
            wording_anew.word_anew(
                work, ports, key=key, language=language, text=said, now=desk.visit.now
            )
            work.commit()
    except TextRefused:
        return _page(desk, key, language, entered=said, status=HTTPStatus.UNPROCESSABLE_ENTITY)
    except NotFound:
        return _nowhere(desk)
    return go_to(f"/desk/texts/{key}/{language}?done=kept")


@router.post("/texts/{key}/{language}/shipped")
def back_to_shipped(key: str, language: str, desk: Confirmed) -> Response:
    """Say it as it was shipped again."""
    ports = desk.visit.ports
    try:
        with ports.work() as work:
            wording_anew.back_to_shipped(work, ports, key=key, language=language)
            work.commit()
    except NotFound:
        return _nowhere(desk)
    return go_to(f"/desk/texts/{key}/{language}?done=shipped")


def _page(
    desk: Desk,
    key: str,
    language: str,
    *,
    entered: str | None = None,
    notice: str | None = None,
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    ports = desk.visit.ports
    try:
        text = wording_anew.text_of(key, language, ports)
    except NotFound:
        return _nowhere(desk)
    with ports.read() as work:
        own = work.texts.every()
    shipped = wording_anew.shipped(text, language, ports)
    kept = own.get((key, language))
    now_said = kept.text if kept else shipped
    said = now_said if entered is None else entered
    faults = faults_of(text, said)
    return desk.show(
        "desk/text.html",
        status=status,
        text=text,
        language=language,
        languages=_LANGUAGES,
        shipped=shipped,
        changed=kept is not None,
        said=said,
        faults={"text": " ".join(faults)} if faults else {},
        preview=""
        if faults
        else filled_in(said, ports.wording.in_language(language), desk.visit.book),
        tried=entered is not None,
        longest=LONGEST,
        notice=notice,
    )


def _entry(desk: Desk, text: Text, own: Mapping[tuple[str, str], OwnText]) -> Entry:
    changed = [language for language in _LANGUAGES if (text.key, language) in own]
    english = own.get((text.key, "en"))
    said = english.text if english else wording_anew.shipped(text, "en", desk.visit.ports)
    return Entry(key=text.key, about=text.about, said=said, changed=changed)


def _nowhere(desk: Desk) -> Response:
    return desk.trouble(HTTPStatus.NOT_FOUND, "There is no such text")
