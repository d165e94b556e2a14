"""The website form: works without script, and inside a frame on the owner's own site."""

import hashlib
import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import timedelta
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import forgetting, handling, vocabulary
from service.leads.limits import (
    EVERYBODY,
    FORMS,
    FORMS_IN_ALL,
    TooOften,
    keep_to,
    network_of,
)
from service.leads.locating import located
from service.leads.repositories import Answered
from service.leads.speech import msg
from service.pages.form import embedding, trap
from service.pages.form.looks import EXTRAS, FLOATING
from service.pages.form.pieces import FULLNESS, MOST_PIECES, PLACEMENTS
from service.pages.form.reading import Reading, read_form
from service.pages.form.supports import ASKED
from service.pages.posted import Fault, Posted, Refusals, Sent
from service.pages.visit import Visit, Visiting, go_to, path_of

router = APIRouter()
router.include_router(embedding.router)

_SCOPE = "form"
_OFFERED = {
    "supports": ASKED,
    "fullness": FULLNESS,
    "placements": PLACEMENTS,
    "extras": EXTRAS,
    "floating": FLOATING,
    "occasions": vocabulary.OCCASIONS,
}


@router.get("/form")
def empty_form(visit: Visiting, source: str = "") -> Response:
    """The form. `source` names the place on the owner's website that led to it."""
    return _form(visit, Posted({"source": [source]}))


@router.post("/form")
def send_form(visit: Visiting, sent: Sent) -> Response:
    """Take the request and go on to its page, or say what to correct."""
    key, digest = _key(sent)
    before = _answered(visit, key)
    if before is not None:
        return before
    reading = read_form(sent, visit.book, visit.words, today=visit.now.date())
    refusals = Refusals(visit.words)
    caught = trap.caught(sent, visit.ports.signer, visit.now, refusals)
    if reading.brief is None or caught:
        faults = (*reading.faults, *refusals.faults)
        return _form(visit, sent, faults, status=HTTPStatus.UNPROCESSABLE_ENTITY)
    try:
        keep_to(visit.ports.limits, FORMS, network_of(visit.visitor))
        keep_to(visit.ports.limits, FORMS_IN_ALL, EVERYBODY)
    except TooOften as much:
        return _too_often(visit, sent, much.wait)
    return _taken(visit, reading, key, digest)


def _taken(visit: Visit, reading: Reading, key: str, digest: str) -> Response:
    if reading.brief is None:
        raise ValueError("a form with faults is no request")
    # Found now, so that whoever looks at the request later reckons with the same drive.
    site = located(reading.brief.site, visit.ports.places, visit.shop)
    with visit.ports.work() as work:
        lead = handling.take_lead(
            work,
            lead_id=visit.ports.new_id(),
            brief=replace(reading.brief, site=site),
            client=reading.client,
            channel="form",
            chat_id=None,
            language=visit.words.language,
            source=reading.source,
            now=visit.now,
        )
        forgetting.note_consent(work, visit.ports, lead, now=visit.now)
        path = path_of(handling.open_status(work, visit.ports, lead.id, now=visit.now))
        answered = Answered(fingerprint=digest, status=HTTPStatus.SEE_OTHER, body=path)
        if work.answers.store(_SCOPE, key, answered, visit.now):
            work.commit()
            return go_to(visit.at(path))
    # The same form was sent twice at once, and the other one was first.
    return _answered(visit, key) or visit.trouble(
        HTTPStatus.CONFLICT, msg("That didn't go through"), msg("Please send the form once more.")
    )


def _answered(visit: Visit, key: str) -> Response | None:
    with visit.ports.read() as work:
        before = work.answers.find(_SCOPE, key)
    return go_to(visit.at(before.body)) if before else None


def _too_often(visit: Visit, sent: Posted, wait: timedelta) -> Response:
    """The form with all that was typed, and when to come back."""
    # A minute more, so that nobody comes a moment too early.
    minutes = math.ceil(wait.total_seconds() / 60) + 1
    notice = visit.words.say(
        "That's a lot of requests just now. Please send this one again after %(time)s; "
        "what you typed stays here until then.",
        time=visit.words.clock((visit.now + timedelta(minutes=minutes)).time()),
    )
    return _form(
        visit,
        sent,
        notice=notice,
        status=HTTPStatus.TOO_MANY_REQUESTS,
        headers={"Retry-After": str(math.ceil(wait.total_seconds()))},
    )


def _key(sent: Posted) -> tuple[str, str]:
    """What is the same for the same press of the button, and differs once anything is changed."""
    digest = hashlib.sha256(repr(sent.items()).encode("utf-8", "replace")).hexdigest()
    return f"{sent.text(trap.TOKEN)[:64]}:{digest}", digest


def _input_kinds(sent: Posted, faults: Mapping[str, str]) -> dict[str, str]:
    """A picker forgets what it cannot read, and what was typed has to stay to be corrected."""
    return {
        name: "text" if name in faults and not re.match(r"\d{4}-|\d\d:", sent.text(name)) else name
        for name in ("date", "time")
    }


def _form(
    visit: Visit,
    sent: Posted,
    faults: Iterable[Fault] = (),
    *,
    notice: str | None = None,
    status: HTTPStatus = HTTPStatus.OK,
    headers: Mapping[str, str] | None = None,
) -> Response:
    first: dict[str, str] = {}
    for fault in faults:
        first.setdefault(fault.field, fault.text)
    return visit.show(
        "form.html",
        status=status,
        framed=True,
        headers=headers,
        sent=sent,
        notice=notice,
        token=trap.token(sent, visit.ports),
        faults=first,
        kinds=_input_kinds(sent, first),
        offered=_OFFERED,
        numbers=range(1, MOST_PIECES + 1),
        trap=trap,
        colours=visit.book.colours,
        earliest=visit.now.date(),
        latest=visit.now.date() + timedelta(days=3 * 365),
    )
