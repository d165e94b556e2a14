"""What time does: prices and holds run out, and booked jobs are done when their day is over."""

from dataclasses import replace
from datetime import datetime

from service.leads import follow_up, wording
from service.leads.keeping import changed
from service.leads.lead import GARLANDRY, Change, HoldState, LeadState, LostBecause
from service.leads.ports import Ports
from service.leads.telling import tell_client

_AT_ONCE = 50


def free_expired(ports: Ports) -> int:
    """Let go of what has run out, now: whoever looks for a time must not wait for the sweep."""
    now = ports.clock()
    with ports.read() as work:
        over = sorted({hold.lead_id for hold in work.holds.expired(now)})
    return sum(_release_expired(ports, lead_id, now) for lead_id in over)


def finish_over(ports: Ports) -> int:
    """Booked jobs whose equipment is back are done; at most so many at once."""
    now = ports.clock()
    with ports.read() as work:
        over = [hold.lead_id for hold in work.holds.over(now, limit=_AT_ONCE)]
    return sum(_finish(ports, lead_id, now) for lead_id in sorted(over))


def lapse_expired(ports: Ports) -> int:
    """Leads whose price is no longer good lapse."""
    now = ports.clock()
    with ports.read() as work:
        over = work.leads.with_expired_quotes(now)
    return sum(_lapse(ports, lead_id, now) for lead_id in sorted(over))


def _lapse(ports: Ports, lead_id: str, now: datetime) -> bool:
    with ports.work() as work:
        lead = work.leads.get(lead_id, lock=True)
        # Asked again under the lock: the owner may have sent another price in the meantime.
        if not work.leads.with_expired_quotes(now, among=(lead_id,)):
            return False
        work.leads.save(replace(lead, state=LeadState.LAPSED, lost_because=LostBecause.NO_ANSWER))
        work.leads.note(lead_id, Change(at=now, who=GARLANDRY, what="the quote ran out"))
        follow_up.drop_all(work, lead_id, now=now)
        work.commit()
    return True


def _finish(ports: Ports, lead_id: str, now: datetime) -> bool:
    with ports.work() as work:
        lead = work.leads.get(lead_id, lock=True)
        hold = work.holds.of_lead(lead_id)
        # Read again under the lock: the owner may have moved the date in the meantime.
        if lead.state is not LeadState.BOOKED or hold is None or hold.stay.returns_at > now:
            return False
        work.leads.save(lead.moved_to(LeadState.DONE))
        work.leads.note(lead_id, Change(at=now, who=GARLANDRY, what="the day is over"))
        follow_up.arrange(work, ports, lead_id, now=now)
        work.commit()
    return True


def _release_expired(ports: Ports, lead_id: str, now: datetime) -> bool:
    """One lead in each transaction: so nobody who waits for one can be waited for by another."""
    with ports.work() as work:
        lead = work.leads.get(lead_id, lock=True)
        # Read again under the lock: the client may have moved the hold in the meantime.
        hold = work.holds.of_lead(lead_id)
        if hold is None or hold.state is HoldState.BOOKED or hold.expires_at > now:
            return False
        work.holds.save(changed(hold, HoldState.RELEASED, now))
        if lead.state is LeadState.HELD:
            lead = replace(lead, state=LeadState.QUOTED)
            work.leads.save(lead)
            work.leads.note(lead.id, Change(at=now, who=GARLANDRY, what="the hold ran out"))
            said = ports.wording.in_language(lead.language)
            told = wording.hold_over(hold, ports.price_books.current(), said)
            tell_client(work, lead, told, now=now)
        follow_up.arrange(work, ports, lead.id, now=now)
        work.commit()
    return True
