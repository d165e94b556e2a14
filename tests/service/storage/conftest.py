"""A unit of work over an empty database, with the queue's and watch's side in plain sight."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime

import pytest
from sqlalchemy import Engine

from service.estimating import Brief, ColourShare, Piece, Support
from service.leads.lead import Client, Lead, LeadState
from service.leads.steps import Step
from service.storage.ids import fresh_id
from service.storage.unit_of_work import SqlUnitOfWork

NOON = datetime(2027, 1, 10, 17, 0, tzinfo=UTC)


@dataclass
class Shop:
    """Opens units of work, and remembers what was queued and who was woken."""

    engine: Engine
    queued: list[Step] = field(default_factory=list)
    woken: list[tuple[str, str]] = field(default_factory=list)

    def work(self) -> SqlUnitOfWork:
        return self._unit(reading=False)

    def read(self) -> SqlUnitOfWork:
        return self._unit(reading=True)

    def _unit(self, *, reading: bool) -> SqlUnitOfWork:
        def queue(steps: Sequence[Step]) -> None:
            self.queued.extend(steps)

        return SqlUnitOfWork(
            self.engine,
            reading=reading,
            clock=lambda: NOON,
            queue_steps=queue,
            wake=lambda channel, chat: self.woken.append((channel, chat)),
            texts_changed=lambda: None,
            calibrations_changed=lambda: None,
        )


@pytest.fixture
def shop(engine: Engine) -> Shop:
    return Shop(engine)


@pytest.fixture
def a_lead(shop: Shop) -> Callable[[], Lead]:
    """Stores a fresh lead and returns it."""

    def make() -> Lead:
        brief = Brief(
            pieces=(Piece(support=Support.HOOP, width_m=2.0),),
            palette=(ColourShare(colour="sage"), ColourShare(colour="cream", share=0.25)),
        )
        with shop.work() as work:
            lead = work.leads.add(
                Lead(
                    id=fresh_id(),
                    number="",
                    state=LeadState.NEW,
                    channel="webchat",
                    chat_id="chat-1",
                    language="en",
                    client=Client(name="Nora Ålund"),
                    brief=brief,
                    created_at=NOON,
                )
            )
            work.commit()
        return lead

    return make
