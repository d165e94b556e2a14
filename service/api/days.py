"""Run sheets, load lists, and what is known of a place, as JSON."""

from dataclasses import fields

from fastapi import APIRouter, Depends

from service.api.access import Role, allow
from service.api.dependencies import Day, Given
from service.contract import days as wire
from service.contract.estimate import Problem
from service.contract.people import Item
from service.leads import site_noting
from service.leads.lead import OWNER
from service.leads.people import PersonRole
from service.leads.ports import Ports, UnitOfWork
from service.leads.shop_time import zone_of
from service.leads.site_notes import SiteNotes
from service.workshop import set_ups
from service.workshop.load_list import LoadList, load_of
from service.workshop.run_sheet import RunSheet, Stop, run_sheet

router = APIRouter(tags=["owner's desk"], dependencies=[Depends(allow(Role.OWNER))])

_NO_DATE: dict[int | str, dict[str, object]] = {
    404: {"model": Problem, "description": "No date is kept for it."}
}
_CHANGED: dict[int | str, dict[str, object]] = {
    409: {"model": Problem, "description": "The notes have changed since they were seen."}
}


@router.get("/days/{day}")
def read_day(day: Day, ports: Given) -> wire.RunSheet:
    """Everything that the shop's crews do that day, and what is to be known of each place."""
    with ports.read() as work:
        sheet = run_sheet(work, ports, day, now=ports.clock(), reader=PersonRole.OWNER)
    return _sheet(sheet)


@router.get("/leads/{lead_id}/load-list", responses=_NO_DATE)
def read_load_list(lead_id: str, ports: Given) -> wire.LoadList:
    """What goes into the car for a date that is held or booked, or was."""
    with ports.read() as work:
        found = set_ups.kept_for(work, work.leads.get(lead_id).id)
    return _load_list(load_of(found, ports.price_books), found, ports)


@router.get("/leads/{lead_id}/site-notes")
def read_site_notes(lead_id: str, ports: Given) -> wire.KnownPlace:
    """What is known of the place; empty where nobody has said anything."""
    with ports.read() as work:
        return _place(work, work.leads.get(lead_id).id, ports)


@router.put("/leads/{lead_id}/site-notes", responses=_CHANGED)
def write_site_notes(lead_id: str, body: wire.SiteChange, ports: Given) -> wire.KnownPlace:
    """Keep these notes instead of those that were seen; the same ones again change nothing."""
    notes = SiteNotes(**{each.name: getattr(body, each.name) for each in fields(SiteNotes)})
    with ports.work() as work:
        site_noting.write(work, lead_id, notes, seen=body.seen, who=OWNER, now=ports.clock())
        answer = _place(work, lead_id, ports)
        work.commit()
    return answer


def _sheet(sheet: RunSheet) -> wire.RunSheet:
    return wire.RunSheet(
        day=sheet.day,
        wrong=list(sheet.wrong),
        steps=[wire.Step.model_validate(step) for step in sheet.steps],
        stops=[_stop(stop) for stop in sheet.stops],
        cautions=[wire.DayCaution.model_validate(each) for each in sheet.cautions],
    )


def _stop(stop: Stop) -> wire.Stop:
    values = {name: getattr(stop, name) for name in wire.Stop.model_fields}
    return wire.Stop.model_validate(values | {"due": None if stop.due is None else str(stop.due)})


def _load_list(load: LoadList, job: set_ups.SetUp, ports: Ports) -> wire.LoadList:
    zone = zone_of(ports.price_books.current())
    return wire.LoadList(
        number=job.lead.number,
        place=job.place,
        leaves_at=job.hold.stay.leaves_at.astimezone(zone),
        bags=load.bags,
        things=[wire.Group.model_validate(group) for group in load.things],
        loads=[
            wire.CarLoad(number=each.number, bags=[Item.model_validate(bag) for bag in each.bags])
            for each in load.loads
        ],
        notes=list(load.notes),
    )


def _place(work: UnitOfWork, lead_id: str, ports: Ports) -> wire.KnownPlace:
    written = work.sites.of_lead(lead_id)
    notes = site_noting.notes_of(work, lead_id)
    zone = zone_of(ports.price_books.current())
    return wire.KnownPlace(
        **{each.name: getattr(notes, each.name) for each in fields(SiteNotes)},
        seen=notes.mark,
        who=written.who if written else None,
        changed_at=written.at.astimezone(zone) if written else None,
    )
