"""The website form: works without script, and inside a frame on the owner's own site."""

import hashlib
import re
from collections.abc import Mapping
from datetime import timedelta
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import handling
from service.leads.lead import Client
from service.leads.ports import Answered
from service.pages.form.pieces import MOST_PIECES
from service.pages.form.reading import OCCASIONS, TRAP, Reading, read_form
from service.pages.form.supports import ASKED
from service.pages.posted import Posted, Sent
from service.pages.visit import Visit, Visiting, go_to, path_of

router = APIRouter()

_SCOPE = "form"
_NONCE = "once"
_NO_READING = Reading(brief=None, client=Client(), faults=())


@router.get("/form")
def empty_form(visit: Visiting) -> Response:
    """The form, with a fresh number that makes a second press of its button harmless."""
    return _form(visit, Posted({_NONCE: [visit.ports.new_id()]}), _NO_READING)


@router.post("/form")
def send_form(visit: Visiting, sent: Sent) -> Response:
    """Take the request and go on to its page, or say what to correct."""
    reading = read_form(sent, visit.book, today=visit.now.date())
    if reading.brief is None:
        return _form(visit, sent, reading, HTTPStatus.UNPROCESSABLE_ENTITY)
    key, digest = _key(visit, sent)
    with visit.ports.work() as work:
        before = work.answers.find(_SCOPE, key)
        if before is not None:
            return go_to(before.body)
        lead = handling.take_lead(
            work,
            lead_id=visit.ports.new_id(),
            brief=reading.brief,
            client=reading.client,
            channel="form",
            chat_id=None,
            language="en",
            now=visit.now,
        )
        path = path_of(handling.open_status(work, visit.ports, lead.id, now=visit.now))
        answered = Answered(fingerprint=digest, status=HTTPStatus.SEE_OTHER, body=path)
        if work.answers.store(_SCOPE, key, answered, visit.now):
            work.commit()
            return go_to(path)
    return _again(visit, key)


def _again(visit: Visit, key: str) -> Response:
    # The same form was sent twice at once, and the other one was first.
    with visit.ports.read() as work:
        first = work.answers.find(_SCOPE, key)
    if first is None:
        return visit.trouble(
            HTTPStatus.CONFLICT, "That didn't go through", "Please send the form once more."
        )
    return go_to(first.body)


def _key(visit: Visit, sent: Posted) -> tuple[str, str]:
    """What is the same for the same press of the button, and differs once anything is changed."""
    digest = hashlib.sha256(repr(sent.items()).encode("utf-8", "replace")).hexdigest()
    return f"{sent.text(_NONCE)[:64] or visit.ports.new_id()}:{digest}", digest


def _input_kinds(sent: Posted, faults: Mapping[str, str]) -> dict[str, str]:
    """A picker forgets what it cannot read, and what was typed has to stay to be corrected."""
    return {
        name: "text" if name in faults and not re.match(r"\d{4}-|\d\d:", sent.text(name)) else name
        for name in ("date", "time")
    }


def _form(
    visit: Visit, sent: Posted, reading: Reading, status: HTTPStatus = HTTPStatus.OK
) -> Response:
    first: dict[str, str] = {}
    for fault in reading.faults:
        first.setdefault(fault.field, fault.text)
    return visit.show(
        "form.html",
        status=status,
        framed=True,
        sent=sent,
        once=sent.text(_NONCE) or visit.ports.new_id(),
        faults=first,
        kinds=_input_kinds(sent, first),
        supports=ASKED,
        numbers=range(1, MOST_PIECES + 1),
        occasions=OCCASIONS,
        trap=TRAP,
        colours=visit.book.colours,
        earliest=visit.now.date(),
        latest=visit.now.date() + timedelta(days=3 * 365),
    )
