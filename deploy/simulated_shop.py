"""A shop whose truth is known, run through the API and the owner's pages.

Requests come in, are quoted by a worker, booked and done; what each job took is drawn from the
truth and told; what the shop then offers to learn is decided on the page, as the owner would.
"""

import datetime as dt
import random
import re
import uuid
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from fastapi import FastAPI
from starlette.testclient import TestClient

from service.app import attach
from service.assembly import Assembly, keys_of
from service.config import Settings
from service.estimating import PriceBook, Task
from service.estimating.rehearsal import rehearsal
from service.estimating.simulation import Actual, Plan, Truth, simulate
from service.leads.people import OWNER_ID
from service.leads.price_books import book_of
from service.leads.shop_time import today_at, zone_of

_PACKED = (Task.SIZING_AND_INFLATING, Task.TYING, Task.CLUSTERING, Task.LINE_BUILD)
"""Where a garland takes more balloons, these take longer by as much."""

_STARTS = dt.time(10)
_AHEAD = dt.timedelta(days=21)
_EVERY = dt.timedelta(days=2)
_AFTER = dt.timedelta(days=3)
_CARD = re.compile(r'action="/desk/learning/lessons/([a-z0-9_]+)">(.*?)</form>', re.DOTALL)
_FIELD = re.compile(r'name="(csrf|seen)" value="([^"]*)"')

_KINDS: Sequence[Sequence[Mapping[str, Any]]] = (
    ({"support": "round_top_frame", "width_m": 1.22, "height_m": 2.13},),
    ({"support": "staircase", "rise_m": 2.6, "run_m": 3.3},),
    ({"support": "wall", "length_m": 4.0},),
    ({"support": "column", "height_m": 1.9, "count": 2},),
    (
        {"support": "round_top_frame", "width_m": 1.4, "height_m": 2.2},
        {"support": "column", "height_m": 1.7, "count": 2},
    ),
    ({"support": "hoop", "width_m": 1.9}, {"support": "table", "length_m": 2.4}),
)


def truth_of(
    hours: Mapping[str, float] | None = None,
    *,
    packing: float = 1.0,
    driving: float = 1.0,
    breakage: Mapping[int, float] | None = None,
) -> Truth:
    """How a shop really works: factors on the hours its book plans, and what follows from them."""
    slower = dict(hours or {})
    for task in _PACKED:
        slower[task.value] = slower.get(task.value, 1.0) * packing
    factors = {**slower, "packing": packing, "balloons": packing, "drive": driving}
    return Truth(factors=factors, breakage=breakage or {})


@dataclass(frozen=True, kw_only=True)
class Fresh:
    """A job nobody has done yet: what the service says of it, and the truth to draw from."""

    estimate: Mapping[str, Any]
    plan: Plan


@dataclass
class SimulatedShop:
    """A shop over an application that is served in this process; `settings` say where its data is.

    Its clock stands at `today` and is moved by `go_to`.
    """

    app: FastAPI
    settings: Settings
    truth: Truth
    seed: int
    today: dt.date = dt.date(2027, 1, 10)
    jobs: int = 0
    _booked: list[str] = field(default_factory=list, init=False)

    def __post_init__(self) -> None:
        self._random = random.Random(self.seed)
        self._keys = keys_of(self.settings).model_dump()
        self.go_to(self.today)

    def go_to(self, day: dt.date) -> None:
        """Let it be another day: the service starts anew over the same data."""
        self.today = day
        self.assembly = Assembly(self.settings.model_copy(update={"reference_date": day}))
        attach(self.app, self.assembly)
        self._clients = {role: self._client(role) for role in ("owner", "worker")}
        self.desk = self._sign_in()

    @property
    def book(self) -> PriceBook:
        """The price book in use."""
        return self.assembly.ports.price_books.current()

    def ask(self, role: str, method: str, path: str, body: Any = None) -> Any:
        """What the API answers. Raises RuntimeError where it refuses."""
        response = self._send(role, method, path, body)
        if response.is_error:
            raise RuntimeError(f"{method} {path}: {response.status_code} {response.text}")
        return response.json() if response.content else None

    def _send(self, role: str, method: str, path: str, body: Any) -> Any:
        return self._clients[role].request(
            method, path, json=body, headers={"Idempotency-Key": f'"{uuid.uuid4()}"'}
        )

    def run(self, jobs: int) -> None:
        """So many jobs from asking to done, one every other day, with what they took."""
        days = [self.today + _AHEAD + number * _EVERY for number in range(jobs)]
        self._booked = [self._book(day) for day in days]
        self.go_to(days[-1] + _AFTER)
        for lead_id in self._booked:
            self._tell(lead_id)

    def take_every_lesson(self) -> list[str]:
        """Press "Use it" on the page for all that is offered; the subjects."""
        taken: list[str] = []
        while offered := self.offered():
            subject, fields = next(iter(offered.items()))
            response = self.desk.post(
                f"/desk/learning/lessons/{subject}", data={**fields, "verdict": "use"}
            )
            if response.status_code != 303:
                raise RuntimeError(f"{subject} was not taken: {response.status_code}")
            taken.append(subject)
        return taken

    def offered(self) -> Mapping[str, Mapping[str, str]]:
        """What the page offers to use, by subject, with the hidden fields of its form."""
        page = self.desk.get("/desk/learning").text
        page = page.partition("<h2>To decide</h2>")[2].partition("</section>")[0]
        forms = {
            subject: dict(_FIELD.findall(form))
            for subject, form in _CARD.findall(page)
            if 'value="use"' in form
        }
        return {subject: fields for subject, fields in forms.items() if fields}

    def fresh(self, count: int) -> Iterator[Fresh]:
        """Jobs that were never quoted, with what the service says of them."""
        for number in range(count):
            brief = self.brief_of(number)
            estimate = self.ask("worker", "POST", "/v1/estimates", brief)
            yield Fresh(estimate=estimate, plan=self._plan_of(brief))

    def brief_of(self, kind: int) -> dict[str, Any]:
        """A job of one of the shop's kinds, three weeks ahead."""
        return self._brief(kind, self.today + _AHEAD)

    def _brief(self, number: int, day: dt.date) -> dict[str, Any]:
        pieces = [dict(piece) for piece in _KINDS[number % len(_KINDS)]]
        colours = [colour.name for colour in self.book.colours]
        return {
            "pieces": pieces,
            "palette": self._random.sample(colours, self._random.randint(2, 4)),
            "event": {"date": day.isoformat(), "start_time": "15:00"},
            "site": {
                "setting": "indoor",
                "latitude": self.book.shop.latitude + 0.02 + self._random.random() / 15,
                "longitude": self.book.shop.longitude,
            },
        }

    def _book(self, day: dt.date) -> str:
        brief = self._brief(self.jobs, day)
        self.jobs += 1
        asked = self.ask("owner", "POST", "/v1/leads", {"brief": brief, "channel": "api"})
        lead_id, decisions = str(asked["lead_id"]), f"/v1/leads/{asked['lead_id']}/decisions"
        if self._quote(lead_id, brief) == "review":
            self.ask("owner", "POST", decisions, {"action": "send"})
        start = dt.datetime.combine(day, _STARTS, zone_of(self.book)).isoformat()
        self.ask("owner", "POST", f"/v1/leads/{lead_id}/hold", {"starts_at": start})
        self.ask("owner", "POST", decisions, {"action": "deposit"})
        return lead_id

    def _quote(self, lead_id: str, brief: Mapping[str, Any]) -> str:
        """Play the worker of this request; where it stands then."""
        ports = self.assembly.ports
        with ports.read() as work:
            owed = work.outbox.due(ports.clock(), limit=500)
        step = next(each for each in owed if each.subject_id == lead_id)
        lease = self.ask("worker", "POST", f"/v1/steps/{step.id}/lease")
        answer = self.ask("worker", "POST", "/v1/estimates", brief)
        outcome = {"step_id": step.id, "fence": lease["fence"], "estimate": answer}
        return str(self.ask("worker", "POST", f"/v1/leads/{lead_id}/quotes", outcome)["state"])

    def _tell(self, lead_id: str) -> None:
        """What the job took, drawn from the truth, as the owner tells it."""
        ports = self.assembly.ports
        with ports.read() as work:
            quote = work.quotes.latest(lead_id, sent=True)
        if quote is None:
            raise RuntimeError("a booked job has no price")
        book = book_of(ports.price_books, quote)
        plan = rehearsal(quote.brief, book, today=today_at(quote.created_at, book))
        body = _told(self._drawn(plan), quote.estimate.plan.crew)
        path, seen = f"/v1/leads/{lead_id}/actuals", {"basis": quote.number, "revision": 0}
        told = self._send("owner", "PUT", path, body | seen)
        if told.is_error:
            # What is far off its plan is asked about once: it is so.
            sure = {"sure": [each["field"] for each in told.json()["errors"]]}
            self.ask("owner", "PUT", path, body | seen | sure)

    def _drawn(self, plan: Plan) -> Actual:
        seed = self._random.randrange(2**32)
        (actual,) = simulate(plan, seed=seed, draws=1, truth=self.truth)
        return actual

    def _plan_of(self, brief: Mapping[str, Any]) -> Plan:
        from service.api.translate import brief_to_core
        from service.contract.brief import Brief

        book = self.book
        core = brief_to_core(Brief.model_validate(brief), self.assembly.places, book.shop)
        return rehearsal(core, book, today=self.today)

    def _client(self, role: str) -> TestClient:
        return TestClient(self.app, headers={"Authorization": f"Bearer {self._keys[role]}"})

    def _sign_in(self) -> TestClient:
        session, ports = uuid.uuid4().hex, self.assembly.ports
        with ports.work() as work:
            if work.people.password_hash(OWNER_ID) is None:
                # Nobody signs in by typing it here.
                work.people.set_password_hash(OWNER_ID, "none", ports.clock())
            work.people.open_session(
                session, OWNER_ID, csrf=uuid.uuid4().hex, device="", now=ports.clock()
            )
            work.commit()
        return TestClient(self.app, cookies={"desk": session}, follow_redirects=False)


def _told(actual: Actual, crew: int) -> dict[str, Any]:
    burst = {str(size): count for size, count in actual.burst.items()}
    return {
        "hours": {task: round(hours, 3) for task, hours in actual.hours.items()},
        "drive_h": round(actual.drive_h / crew, 3),
        "used": actual.garland_balloons + sum(actual.burst.values()),
        "burst": burst,
    }
