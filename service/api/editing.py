"""What the owner does with one lead besides deciding on it."""

from http import HTTPStatus

from fastapi import APIRouter, Depends, Request

from service.api import translate, views
from service.api.access import Role, allow
from service.api.dependencies import Given, today
from service.contract import editing as wire
from service.contract.brief import Brief
from service.contract.estimate import Problem
from service.contract.leads import Lead
from service.contract.options import Option
from service.estimating import options
from service.leads import asking, editing, merging, notes, price_lines, talking
from service.leads.edited import edits
from service.leads.editing import Edit
from service.leads.lead import OWNER, NotFound, PriceLine
from service.leads.merging import Merger

router = APIRouter(
    prefix="/leads/{lead_id}",
    tags=["leads"],
    dependencies=[Depends(allow(Role.OWNER))],
    responses={404: {"model": Problem, "description": "There is no such lead."}},
)

_STALE: dict[int | str, dict[str, object]] = {
    409: {"model": Problem, "description": "It has changed in the meantime."}
}
_TO_CORRECT: dict[int | str, dict[str, object]] = {
    422: {"model": Problem, "description": "What to correct, field by field."}
}


@router.put("/brief", responses=_STALE | _TO_CORRECT)
def change_brief(lead_id: str, body: wire.BriefChange, request: Request, ports: Given) -> Lead:
    """Store a changed brief with a new estimate of it, which the client is not sent."""
    shop = ports.price_books.current().shop
    brief = translate.brief_to_core(body.brief, request.app.state.places, shop)
    now = ports.clock()
    worked_out = editing.work_out(ports, brief, now=now)
    with ports.work() as work:
        before = work.leads.get(lead_id)
        client = views.client(body.client) if body.client else before.client
        edit = Edit(lead_id=lead_id, brief=brief, client=client, revision=body.revision)
        editing.save_brief(work, ports, edit, worked_out, who=OWNER, now=now)
        answer = views.lead(work, ports, work.leads.get(lead_id))
        work.commit()
        return answer


@router.post("/estimate-preview", responses=_TO_CORRECT)
def preview_estimate(
    lead_id: str, body: Brief, request: Request, ports: Given
) -> wire.EstimatePreview:
    """What a brief would come to, beside the lead's own; nothing is stored."""
    shop = ports.price_books.current().shop
    with ports.read() as work:
        lead = work.leads.get(lead_id)
    brief = translate.brief_to_core(body, request.app.state.places, shop)
    worked_out = editing.work_out(ports, brief, now=ports.clock())
    return wire.EstimatePreview(
        estimate=translate.estimate_to_wire(worked_out.estimate),
        changes=list(edits(lead.brief, brief, shop.currency)),
        revision=lead.revision,
    )


@router.get("/options")
def list_options(lead_id: str, ports: Given) -> list[Option]:
    """Other ways to build what the client wants, the nearest first."""
    with ports.read() as work:
        lead = work.leads.get(lead_id)
    brief = editing.placed(ports, lead.brief)
    book, calibration = ports.price_books.current(), ports.calibrations.current()
    found = options(brief, book, calibration, today=today(ports))
    return [translate.option_to_wire(option, whole=True) for option in found]


@router.get("/lines")
def read_lines(lead_id: str, ports: Given) -> wire.Lines:
    """What the newest price is made of, named in English."""
    with ports.read() as work:
        quote = work.quotes.latest(work.leads.get(lead_id).id)
    if quote is None:
        raise NotFound("This lead has no price yet.")
    lines = price_lines.lines_of(quote, ports.price_books.current().shop.owner)
    return wire.Lines(
        basis=quote.number,
        currency=quote.currency,
        total=quote.likely,
        lines=[_line(line) for line in lines],
    )


@router.get("/notes")
def list_notes(lead_id: str, ports: Given) -> list[wire.Note]:
    """The shop's own notes, oldest first."""
    with ports.read() as work:
        return [
            wire.Note.model_validate(note)
            for note in work.notes.of_lead(work.leads.get(lead_id).id)
        ]


@router.post("/notes", status_code=HTTPStatus.NO_CONTENT)
def add_note(lead_id: str, body: wire.NoteText, ports: Given) -> None:
    """Keep a note. The newest one once more is kept once."""
    with ports.work() as work:
        notes.add(work, lead_id, body.text, who=OWNER, now=ports.clock())
        work.commit()


@router.get("/history")
def read_history(lead_id: str, ports: Given) -> list[wire.Change]:
    """Everything that happened, oldest first, and who did it."""
    with ports.read() as work:
        return [
            wire.Change(at=each.at, who=each.who, what=each.what, detail=dict(each.detail))
            for each in work.leads.history(work.leads.get(lead_id).id)
        ]


@router.get("/questions")
def list_questions(lead_id: str, ports: Given) -> wire.Questions:
    """What could be asked about what the brief leaves open."""
    with ports.read() as work:
        lead = work.leads.get(lead_id)
        quote = work.quotes.latest(lead_id)
        seen = work.chats.attention(lead.channel, lead.chat_id).last_seq
    said = ports.wording.in_language(lead.language)
    found = asking.questions(lead, quote.estimate if quote else None, said)
    return wire.Questions(
        seen=seen, questions=[wire.Question.model_validate(each) for each in found]
    )


@router.post("/ask", responses=_STALE)
def ask(lead_id: str, body: wire.Ask, ports: Given) -> wire.Asked:
    """Write to the client, where they wrote from. The same words twice are refused as stale."""
    with ports.work() as work:
        lead = work.leads.get(lead_id)
        stored = talking.answer_as_owner(
            work, lead.channel, lead.chat_id, body.text, seen=body.seen, now=ports.clock()
        )
        work.commit()
        return wire.Asked(seq=stored.seq)


@router.get("/twins")
def list_twins(lead_id: str, ports: Given) -> wire.Twins:
    """Leads that may be the same request."""
    with ports.read() as work:
        lead = work.leads.get(lead_id)
        return wire.Twins(
            seen=merging.standing(work, lead),
            likely=[
                wire.Twin(
                    lead_id=each.lead.id,
                    number=each.lead.number,
                    because=each.because,
                    seen=merging.standing(work, each.lead),
                )
                for each in merging.likely(work, lead)
            ],
        )


@router.post("/merge", responses=_STALE)
def merge(lead_id: str, body: wire.MergeRequest, ports: Given) -> Lead:
    """Make another lead a part of this one."""
    merger = Merger(
        kept_id=lead_id,
        other_id=body.other_id,
        kept_seen=body.seen,
        other_seen=body.other_seen,
    )
    with ports.work() as work:
        merging.merge(work, ports, merger, who=OWNER, now=ports.clock())
        answer = views.lead(work, ports, work.leads.get(lead_id))
        work.commit()
        return answer


def _line(line: PriceLine) -> wire.Line:
    return wire.Line(label=line.label, amount=line.amount, was=line.was)
