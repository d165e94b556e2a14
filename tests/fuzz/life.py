"""The life of leads, in any order of what may happen to them; with what has to stay true."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from itertools import combinations, count
from typing import Any

import hypothesis
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    initialize,
    invariant,
    multiple,
    rule,
    run_state_machine_as_test,
)
from sqlalchemy import text

from service.leads.lead import MOVES, LeadState
from tests.fuzz.lives import BRIEFS, Life
from tests.fuzz.tally import Tally

_SHUT = (404, 410)
_CENT = Decimal("0.01")
_DAYS = [date(2027, 1, 24) + timedelta(days=7 * week) for week in range(3)]

days = st.sampled_from([day.isoformat() for day in _DAYS])
picks = st.integers(0, 11)
amounts = st.sampled_from(["0.01", "50.00", "165.00", "400.00", "999999.99"])


@dataclass
class Known:
    """What is known of a lead from outside."""

    key: str
    request: dict[str, Any]
    receipt: bytes
    state: LeadState = LeadState.NEW
    erased: bool = False
    merged: bool = False
    urls: set[str] = field(default_factory=set)


class Leads(RuleBasedStateMachine):
    """Everything that client, worker, owner and time do, by the API."""

    leads: Bundle[str] = Bundle("leads")
    steps = count()

    def __init__(self) -> None:
        super().__init__()
        self.life = Life()
        self.known: dict[str, Known] = {}
        self.frozen: dict[str, tuple[Any, ...]] = {}

    def teardown(self) -> None:
        self.life.close()

    # What happens.

    @initialize(
        target=leads,
        kinds=st.lists(st.sampled_from(sorted(BRIEFS)), min_size=2, max_size=3),
        day=days,
        acts=st.lists(st.sampled_from(["hold", "deposit", "wait"]), max_size=3),
    )
    def some_have_come_further(self, kinds: list[str], day: str, acts: list[str]) -> Any:
        found = [each for each in (self.a_request_comes(kind, day) for kind in kinds) if each]
        self.life.work()
        for act in acts:
            # Each is a thing that happened of its own.
            self.states_move_along_the_arrows()
            match act:
                case "hold":
                    self.the_client_holds(found[0], 0)
                case "deposit":
                    self.the_deposit_came(found[0])
                case _:
                    self.life.wait(0, 12)
        return multiple(*found)

    @rule(target=leads, kind=st.sampled_from(sorted(BRIEFS)), day=days)
    def a_request_comes(self, kind: str, day: str) -> Any:
        key, answer = self.life.post(kind, day)
        assert answer.status_code == 202, answer.text
        lead_id: str = answer.json()["lead_id"]
        self.known[lead_id] = Known(key, self.life.request(kind, day), answer.content)
        return lead_id

    @rule(lead=leads)
    def it_comes_again(self, lead: str) -> None:
        known = self.known[lead]
        again = self.life.ask("POST", "/v1/leads", known.request, role="owner", key=known.key)
        assert (again.status_code, again.content) == (202, known.receipt), "a repeat differs"
        other = {**known.request, "language": "es"}
        another = self.life.ask("POST", "/v1/leads", other, role="owner", key=known.key)
        assert another.status_code == 422, "a key was used for two requests"

    @rule()
    def the_worker_comes_by(self) -> None:
        self.life.work()

    @rule(days=st.sampled_from([0, 0, 1, 3, 15, 40]), hours=st.integers(1, 23))
    def time_goes_by(self, days: int, hours: int) -> None:
        self.life.wait(days, hours)

    @rule(lead=leads, price=st.none() | amounts)
    def the_owner_sends_a_price(self, lead: str, price: str | None) -> None:
        body = {"action": "send", "basis": self._basis(lead), "price": price, "reason": "stairs"}
        self.life.owner("POST", f"/v1/leads/{lead}/decisions", body)

    @rule(lead=leads)
    def the_owner_declines(self, lead: str) -> None:
        self.life.owner("POST", f"/v1/leads/{lead}/decisions", {"action": "decline"})

    @rule(lead=leads)
    def the_deposit_came(self, lead: str) -> None:
        self.life.owner("POST", f"/v1/leads/{lead}/decisions", {"action": "deposit"})

    @rule(lead=leads, pick=picks)
    def the_client_holds(self, lead: str, pick: int) -> None:
        path = self._booking(lead)
        if path is None:
            return
        windows = self.life.ask("GET", f"/v1{path}/windows")
        if windows.is_success and windows.json():
            window = windows.json()[pick % len(windows.json())]
            body = {"starts_at": window["starts_at"], "name": "Nora", "phone": "+1 617 555 0199"}
            first = self.life.ask("POST", f"/v1{path}/holds", body)
            if first.is_success:
                again = self.life.ask("POST", f"/v1{path}/holds", body)
                assert again.content == first.content, "a repeated hold differs"

    @rule(lead=leads)
    def the_client_gives_it_back(self, lead: str) -> None:
        path = self._booking(lead)
        if path is not None:
            self.life.ask("POST", f"/v1{path}/give-back", {})

    @rule(lead=leads, act=st.sampled_from(["hold", "move"]), day=days, pick=picks)
    def the_owner_gives_a_date(self, lead: str, act: str, day: str, pick: int) -> None:
        windows = self.life.owner("GET", f"/v1/leads/{lead}/windows?day={day}")
        if windows.is_success and windows.json()["windows"]:
            found = windows.json()["windows"]
            body = {"starts_at": found[pick % len(found)]["starts_at"]}
            self.life.owner("POST", f"/v1/leads/{lead}/{act}", body)

    @rule(lead=leads)
    def the_owner_lets_go(self, lead: str) -> None:
        self.life.owner("POST", f"/v1/leads/{lead}/release", {})

    @rule(
        lead=leads,
        kind=st.sampled_from(["deposit", "balance", "fee", "refund", "gift"]),
        amount=amounts,
        sure=st.booleans(),
    )
    def money_moves(self, lead: str, kind: str, amount: str, sure: bool) -> None:
        account = self._account(lead)
        if account is None:
            return
        body = {name: account[name] for name in ("basis", "hold")}
        body |= {"kind": kind, "amount": amount, "sure": sure}
        body["paid_on"] = self.life.shop.now.date().isoformat()
        key = f"pay-{next(self.steps)}"
        first = self.life.owner("POST", f"/v1/leads/{lead}/payments", body, key=key)
        again = self.life.owner("POST", f"/v1/leads/{lead}/payments", body, key=key)
        if first.is_success:
            assert again.content == first.content, "an entry was made twice"

    @rule(lead=leads, pick=picks)
    def an_entry_is_voided(self, lead: str, pick: int) -> None:
        account = self._account(lead)
        if account and account["payments"]:
            entry = account["payments"][pick % len(account["payments"])]["id"]
            self.life.owner("POST", f"/v1/leads/{lead}/payments/{entry}/void", {})

    @rule(lead=leads, by=st.sampled_from(["client", "shop"]))
    def it_is_called_off(self, lead: str, by: str) -> None:
        account = self._account(lead)
        if account is not None:
            body = {"basis": account["basis"], "hold": account["hold"], "by": by}
            self.life.owner("POST", f"/v1/leads/{lead}/cancel", body)

    @rule(lead=leads, kind=st.sampled_from(sorted(BRIEFS)), day=days)
    def the_owner_edits_the_brief(self, lead: str, kind: str, day: str) -> None:
        read = self.life.owner("GET", f"/v1/leads/{lead}")
        if read.is_success:
            body = {"brief": self.life.request(kind, day)["brief"]}
            body["revision"] = read.json()["revision"]
            self.life.owner("PUT", f"/v1/leads/{lead}/brief", body)

    @rule(kept=leads, other=leads)
    def two_become_one(self, kept: str, other: str) -> None:
        seen = [self._twins(each) for each in (kept, other)]
        if all(seen):
            body = {"other_id": other, "seen": seen[0], "other_seen": seen[1]}
            done = self.life.owner("POST", f"/v1/leads/{kept}/merge", body)
            self.known[other].merged |= done.is_success

    @rule(lead=leads)
    def the_job_is_told_of(self, lead: str) -> None:
        body = {"basis": self._basis(lead) or "", "revision": 0, "as_planned": True}
        self.life.owner("PUT", f"/v1/leads/{lead}/actuals", body)

    @rule(lead=leads)
    def the_client_is_erased(self, lead: str) -> None:
        name = f"/v1/clients/{lead}"
        if self.life.owner("DELETE", name).is_success:
            # All requests of one client go together.
            for each, known in self.known.items():
                known.erased |= self._is_erased(each)
            assert self.known[lead].erased, "an erased client is still there"

    # What stays true.

    @invariant()
    def states_move_along_the_arrows(self) -> None:
        for lead, state in self._sql("SELECT id, state FROM leads"):
            known = self.known[lead]
            assert LeadState(state) in _reach(known.state), f"{known.state} became {state}"
            known.state = LeadState(state)

    @invariant()
    def no_crew_is_in_two_places(self) -> None:
        crews: dict[int, list[tuple[Any, Any]]] = {}
        for crew, *times in self._sql(
            "SELECT crew, leaves_at, free_at, strikes_at, struck_at FROM holds"
            " WHERE state IN ('held', 'booked')"
        ):
            crews.setdefault(crew, []).extend([(times[0], times[1]), (times[2], times[3])])
        for stays in crews.values():
            # A stay that is struck on the spot is one with its set-up.
            for (a, b), (c, d) in combinations(sorted(stays), 2):
                assert not (a < d and c < b) or (a, b) == (c, d), "two jobs at once for a crew"

    @invariant()
    def what_was_sent_is_frozen(self) -> None:
        for number, *said in self._sql(
            "SELECT number, lead_id, kind, low, likely, high, deposit, currency, book_version"
            " FROM quotes WHERE sent_at IS NOT NULL"
        ):
            assert self.frozen.setdefault(number, tuple(said)) == tuple(said), "a quote changed"

    @invariant()
    def money_adds_up(self) -> None:
        for lead, known in self.known.items():
            account = None if known.erased else self._account(lead)
            if account is None:
                continue
            sums = {name: Decimal(account[name]) for name in ("total", "paid", "refunded")}
            entries = [each for each in account["payments"] if each["voided_at"] is None]
            came = sum(
                Decimal(e["amount"]) for e in entries if e["kind"] in ("deposit", "balance", "fee")
            )
            assert sums["paid"] == came, "what was paid is not what came"
            open_ = Decimal(account["due"]) - Decimal(account["owed_back"])
            assert min(Decimal(account["due"]), Decimal(account["owed_back"])) == 0, "both ways"
            went = sums["refunded"] + Decimal(account["given"])
            assert abs(open_ - (sums["total"] - sums["paid"] + went)) < _CENT, "money is lost"

    @invariant()
    def links_of_the_erased_are_dead(self) -> None:
        for lead, known in self.known.items():
            if not known.erased and known.state is not LeadState.NEW:
                known.urls |= self._urls(lead)
            for path in known.urls if known.erased else ():
                assert self.life.ask("GET", path).status_code in _SHUT, "a dead link opens"

    @invariant()
    def nothing_is_taken_from_an_empty_shelf(self) -> None:
        for size, colour, left in self._sql(
            "SELECT size_class, colour, SUM(count) FROM stock_moves GROUP BY size_class, colour"
        ):
            assert left >= 0, f"{left} balloons of {colour} in {size} in"

    # Looking.

    def _sql(self, query: str) -> list[Any]:
        with self.life.shop.engine.connect() as connection:
            return list(connection.execute(text(query)))

    def _basis(self, lead: str) -> str | None:
        read = self.life.owner("GET", f"/v1/leads/{lead}")
        return read.json()["basis"] if read.is_success else None

    def _account(self, lead: str) -> dict[str, Any] | None:
        read = self.life.owner("GET", f"/v1/leads/{lead}/payments")
        found: dict[str, Any] | None = read.json() if read.is_success else None
        return found

    def _twins(self, lead: str) -> str | None:
        read = self.life.owner("GET", f"/v1/leads/{lead}/twins")
        return read.json()["seen"] if read.is_success else None

    def _urls(self, lead: str) -> set[str]:
        read = self.life.owner("GET", f"/v1/leads/{lead}")
        quote = read.json()["quote"] if read.is_success else None
        urls = (quote["url"], quote["booking_url"]) if quote else ()
        return {url.removeprefix("https://garlands.example") for url in urls}

    def _booking(self, lead: str) -> str | None:
        found = [url for url in self._urls(lead) if url.startswith("/bookings/")]
        return found[0] if found else None

    def _is_erased(self, lead: str) -> bool:
        found = self._sql("SELECT id FROM leads WHERE erased_at IS NOT NULL")
        return lead in {each.id for each in found}


def _reach(state: LeadState) -> set[LeadState]:
    """Where a lead may be after one thing that happened: a sweep may take two steps at once."""
    once = {state, *MOVES[state]}
    return once.union(*(MOVES[each] for each in once))


def lived(*, seed: int, most: int, steps: int = 25) -> Tally:
    """So many lives of so many steps; the first that goes wrong ends the part."""
    tally = Tally("lives of leads")

    class Counted(Leads):
        def check_invariants(self, *args: Any, **kwargs: Any) -> None:
            tally.tried += 1
            super().check_invariants(*args, **kwargs)

    hypothesis.seed(seed)(Counted)
    chosen = settings(
        max_examples=most,
        stateful_step_count=steps,
        deadline=None,
        database=None,
        phases=[Phase.generate, Phase.shrink],
        suppress_health_check=list(HealthCheck),
        print_blob=False,
    )
    try:
        run_state_machine_as_test(Counted, settings=chosen)
    except Exception as error:
        for each in _each(error):
            story = "\n".join([repr(each), *getattr(each, "__notes__", ())])
            tally.fail(str(each).partition("\n")[0][:200] or type(each).__name__, story)
    return tally


def _each(error: Exception) -> Sequence[Exception]:
    return error.exceptions if isinstance(error, ExceptionGroup) else [error]
