"""Texts that the shop writes by itself, which the owner may word anew."""

from collections.abc import Mapping
from http import HTTPStatus

from fastapi import APIRouter, Depends

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.api.problems import Refusal
from service.contract import texts as wire
from service.contract.estimate import FieldProblem, Problem
from service.leads.follow_up import wording_anew
from service.leads.follow_up.texts import TEXTS
from service.leads.follow_up.wording_anew import TextRefused
from service.leads.own_texts import OwnText
from service.leads.ports import Ports

router = APIRouter(
    prefix="/texts",
    tags=["texts"],
    dependencies=[Depends(allow(Role.OWNER))],
    responses={404: {"model": Problem, "description": "There is no such text."}},
)

_LANGUAGES: tuple[wire.Language, ...] = ("en", "es")


@router.get("")
def texts(ports: Given) -> list[wire.Text]:
    """Every text in every language, in the order in which clients come across them."""
    with ports.read() as work:
        own = work.texts.every()
    return [_seen(key, language, own, ports) for key in TEXTS for language in _LANGUAGES]


@router.put("/{key}/{language}")
def word_anew(key: str, language: wire.Language, body: wire.NewText, ports: Given) -> wire.Text:
    """Say it in the owner's words from now on; every process does within seconds."""
    try:
        with ports.work() as work:
            wording_anew.word_anew(
                work, ports, key=key, language=language, text=body.text, now=ports.clock()
            )
            own = work.texts.every()
            work.commit()
    except TextRefused as refused:
        errors = [FieldProblem(field="text", detail=fault) for fault in refused.faults]
        raise Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, str(refused), errors=errors) from refused
    return _seen(key, language, own, ports)


@router.delete("/{key}/{language}", status_code=HTTPStatus.NO_CONTENT)
def back_to_shipped(key: str, language: wire.Language, ports: Given) -> None:
    """Say it as it was shipped again."""
    with ports.work() as work:
        wording_anew.back_to_shipped(work, ports, key=key, language=language)
        work.commit()


def _seen(
    key: str,
    language: wire.Language,
    own: Mapping[tuple[str, str], OwnText],
    ports: Ports,
) -> wire.Text:
    text = TEXTS[key]
    shipped = wording_anew.shipped(text, language, ports)
    changed = own.get((key, language))
    return wire.Text(
        key=key,
        language=language,
        about=text.about,
        text=changed.text if changed else shipped,
        shipped=shipped,
        changed=changed is not None,
        placeholders=list(text.placeholders),
        needs=sorted(text.needs),
    )
