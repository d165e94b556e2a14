"""Every committed update is answered once, in order, whatever breaks in between."""

import asyncio
from collections.abc import Awaitable, Callable, Mapping
from datetime import UTC, datetime
from io import BytesIO
from typing import Any, TypeVar

import pytest
from PIL import Image

from bot.dialogue.messages import Incoming
from bot.gateway import (
    Channel,
    Gateway,
    ServiceClient,
    ServiceUnavailable,
    Standing,
    TurnConflict,
)
from bot.turns import PhotoSource, Turns
from bot.wording import load
from tests.bot.fake_service import FakeService, an_option

T = TypeVar("T")
PHRASEBOOK = load(None)
WHOLE = (
    "how much for a garland on a 4 ft wide 7 ft tall arch frame, sage cream and gold,"
    " june 6 at 3pm, indoors at a hall in 02139"
)


def clock() -> datetime:
    return datetime(2027, 1, 10, 17, 0, tzinfo=UTC)


def with_turns(
    service: FakeService,
    use: Callable[[Turns], Awaitable[T]],
    photos: Mapping[Channel, PhotoSource] | None = None,
) -> T:
    async def run() -> T:
        client = service.client()
        try:
            # As after a restart at the same place, which goes by the same name again.
            return await use(Turns(Gateway(client, "bot-at-8621"), clock, PHRASEBOOK, photos))
        finally:
            await client.aclose()

    return asyncio.run(run())


async def press(turns: Turns, update_id: str, value: str) -> None:
    incoming = Incoming(kind="button", text=value, label="pressed")
    received = await turns.receive("webchat", "c", update_id, incoming)
    await turns.take("webchat", "c", received, incoming)


async def say(turns: Turns, update_id: str, text: str, chat: str = "c") -> None:
    incoming = Incoming(kind="text", text=text)
    received = await turns.receive("webchat", chat, update_id, incoming)
    await turns.take("webchat", chat, received, incoming)


def kinds(service: FakeService, chat: str = "webchat/c") -> list[str]:
    return [message["kind"] for message in service.said.get(chat, [])]


def test_a_message_is_answered_and_its_turn_stored() -> None:
    service = FakeService()
    with_turns(service, lambda turns: say(turns, "u1", "hi"))
    assert kinds(service) == ["ask"]
    assert service.handled == {1}


def test_a_client_who_asks_for_a_person_calls_the_owner() -> None:
    service = FakeService()

    async def use(turns: Turns) -> None:
        await say(turns, "u1", "a hoop")
        assert service.calling == []
        await say(turns, "u2", "can I talk to a person?")

        service.owner_spoke.add("webchat/c")
        await say(turns, "u3", "it squeaks a little")

    with_turns(service, use)
    assert service.calling == ["webchat/c", "webchat/c"]
    assert "That's for Odile" in service.said["webchat/c"][-1]["text"]


def test_the_lead_is_stored_before_the_turn_that_promises_it() -> None:
    service = FakeService()

    async def use(turns: Turns) -> None:
        await say(turns, "u1", WHOLE)
        await say(turns, "u2", "yes")

    with_turns(service, use)
    assert kinds(service) == ["readback", "working"]
    assert [key.strip('"').split("-")[:2] for key in service.leads] == [["webchat", "c"]]
    steps = [one for one in service.requests if one.startswith("POST")]
    assert steps[-2:] == ["POST /v1/leads", "POST /v1/conversations/webchat/c/turns"]


def test_an_update_that_was_handled_before_is_left_alone() -> None:
    service = FakeService()

    async def use(turns: Turns) -> None:
        await say(turns, "u1", "hi")
        await say(turns, "u1", "hi")

    with_turns(service, use)
    assert kinds(service) == ["ask"]


def test_the_same_update_delivered_twice_at_once_is_answered_once() -> None:
    service = FakeService()

    async def use(turns: Turns) -> None:
        await asyncio.gather(*(say(turns, "u1", "hi") for _ in range(4)))

    with_turns(service, use)
    assert kinds(service) == ["ask"]


class FarAway(Gateway):
    """A service that is not on this machine: others come in between."""

    def __init__(self, client: ServiceClient) -> None:
        super().__init__(client, "a-bot-far-away")
        self.lets_go: list[bool] = []

    async def claim(self, channel: Channel, chat_id: str) -> Standing:
        await asyncio.sleep(0.001)
        return await super().claim(channel, chat_id)

    async def turn(self, channel: Channel, chat_id: str, **turn: Any) -> None:
        self.lets_go.append(turn["lets_go"])
        await asyncio.sleep(0.001)
        await super().turn(channel, chat_id, **turn)


def test_updates_of_one_chat_wait_for_each_other_and_the_last_leaves_it_to_others() -> None:
    service = FakeService()
    gateway = FarAway(service.client())

    async def use(_: Turns) -> None:
        turns = Turns(gateway, clock, PHRASEBOOK)
        await asyncio.gather(*(say(turns, f"u{n}", "hmm") for n in range(5)))

    with_turns(service, use)
    assert len(kinds(service)) == 5
    turns_posted = [one for one in service.requests if one.endswith("/turns")]
    assert len(turns_posted) == 5  # nobody met a conflict
    # The first is alone when it stores its turn.
    assert gateway.lets_go == [True, False, False, False, True]
    assert service.holders == {}


class Meanwhile(Gateway):
    """Another process answers the update just when this one has met a conflict."""

    def __init__(self, service: FakeService) -> None:
        super().__init__(service.client())
        self._service = service

    async def claim(self, channel: Channel, chat_id: str) -> Standing:
        self._service.handled.add(2)
        return await super().claim(channel, chat_id)


def test_a_conflict_with_whoever_answered_the_same_update_ends_the_turn() -> None:
    service = FakeService()

    def move_on() -> None:
        version, state = service.states["webchat/c"]
        service.states["webchat/c"] = (version + 1, state)

    async def use(turns: Turns) -> None:
        await say(turns, "u1", "hi")
        service.requests.clear()
        service.before_turn = move_on
        await say(Turns(Meanwhile(service), clock, PHRASEBOOK), "u2", "a hoop")

    with_turns(service, use)
    assert [one for one in service.requests if one.endswith("/turns")] == [
        "POST /v1/conversations/webchat/c/turns"
    ]


def test_a_yes_that_was_taken_with_what_came_after_it_agrees_to_nothing_more() -> None:
    service = FakeService()

    async def use(turns: Turns) -> None:
        await say(turns, "u1", WHOLE)
        agreed, changed = (Incoming(kind="text", text=text) for text in ("yes", "actually june 13"))
        first = await turns.receive("webchat", "c", "u2", agreed)
        second = await turns.receive("webchat", "c", "u3", changed)
        # The later one is at it first, and answers the earlier one before itself.
        await turns.take("webchat", "c", second, changed)
        await turns.take("webchat", "c", first, agreed)

    with_turns(service, use)
    assert kinds(service) == ["readback", "working", "readback"]
    assert len(service.leads) == 1


def test_a_yes_that_another_process_took_agrees_to_nothing_more() -> None:
    service = FakeService()

    async def use(turns: Turns) -> None:
        await say(turns, "u1", WHOLE)
        agreed = Incoming(kind="text", text="yes")
        received = await turns.receive("webchat", "c", "u2", agreed)
        service.holders.clear()  # it took so long that its claim ran out
        elsewhere = Turns(Gateway(service.client()), clock, PHRASEBOOK)
        await elsewhere.take("webchat", "c", received, agreed)
        await say(elsewhere, "u3", "actually june 13")
        await turns.take("webchat", "c", received, agreed)

    with_turns(service, use)
    assert kinds(service) == ["readback", "working", "readback"]
    assert len(service.leads) == 1


def test_a_long_text_holds_up_nobody_else() -> None:
    service = FakeService()
    gaps: list[float] = []

    async def tick() -> None:
        loop = asyncio.get_running_loop()
        while True:
            before = loop.time()
            await asyncio.sleep(0)
            gaps.append(loop.time() - before)

    async def use(turns: Turns) -> float:
        await say(turns, "u1", "hi")
        ticking = asyncio.create_task(tick())
        began = asyncio.get_running_loop().time()
        await say(turns, "u2", f"{WHOLE}. " * 50)
        ticking.cancel()
        return asyncio.get_running_loop().time() - began

    took = with_turns(service, use)
    assert max(gaps, default=took) < took / 2
    assert kinds(service)[-1] == "readback"


def test_an_update_is_answered_in_two_calls_where_nobody_of_its_chat_waits() -> None:
    service = FakeService()

    async def use(turns: Turns) -> None:
        await say(turns, "u1", "hi")
        service.requests.clear()
        await say(turns, "u2", "a hoop")

    with_turns(service, use)
    assert service.requests == ["POST /v1/inbox", "POST /v1/conversations/webchat/c/turns"]
    assert service.holders == {}


def test_a_conflict_is_read_again_and_redone_on_the_newer_state() -> None:
    service = FakeService()

    def another_process_answers_first() -> None:
        service.before_turn = lambda: None
        version, state = service.states.get("webchat/c", (0, {}))
        service.states["webchat/c"] = (version + 1, state | {"name": "Wren"})

    async def use(turns: Turns) -> None:
        await say(turns, "u1", "hi")
        service.before_turn = another_process_answers_first
        await say(turns, "u2", "a 6 ft hoop")

    with_turns(service, use)
    version, state = service.states["webchat/c"]
    assert version == 3
    assert (state["name"], state["draft"]["pieces"][0]["support"]) == ("Wren", "hoop")


def test_endless_conflicts_end_in_an_error_and_the_update_stays_pending() -> None:
    service = FakeService()

    def always_too_late() -> None:
        version, state = service.states.get("webchat/c", (0, {}))
        service.states["webchat/c"] = (version + 1, state)

    service.before_turn = always_too_late
    with pytest.raises(TurnConflict):
        with_turns(service, lambda turns: say(turns, "u1", "hi"))
    assert service.handled == set()


def test_an_update_left_by_a_crash_is_answered_by_the_replay_in_order() -> None:
    service = FakeService()

    async def receive_only(turns: Turns) -> None:
        for number, text in enumerate([WHOLE, "yes"]):
            incoming = Incoming(kind="text", text=text)
            await turns.receive("webchat", "c", f"u{number}", incoming)

    with_turns(service, receive_only)
    assert with_turns(service, lambda turns: turns.replay("webchat", 0)) == 2
    assert kinds(service) == ["readback", "working"]
    assert with_turns(service, lambda turns: turns.replay("webchat", 0)) == 0


def test_a_crash_between_lead_and_turn_makes_no_second_lead() -> None:
    service = FakeService()

    def crash() -> None:
        raise RuntimeError("the process is gone")

    async def use(turns: Turns) -> None:
        await say(turns, "u1", WHOLE)
        service.before_turn = crash
        with pytest.raises(RuntimeError):
            await say(turns, "u2", "yes")

    with_turns(service, use)
    service.holders.clear()  # its claim has run out
    service.before_turn = lambda: None
    assert len(service.leads) == 1
    with_turns(service, lambda turns: turns.replay("webchat", 0))
    assert len(service.leads) == 1
    assert kinds(service) == ["readback", "working"]


def test_a_double_press_in_two_processes_makes_one_lead() -> None:
    service = FakeService()
    with_turns(service, lambda turns: say(turns, "u1", WHOLE))
    value = service.said["webchat/c"][0]["buttons"][0]["value"]

    async def press(turns: Turns, update_id: str) -> None:
        incoming = Incoming(kind="button", text=value, label="Yes, price it")
        received = await turns.receive("webchat", "c", update_id, incoming)
        await turns.take("webchat", "c", received, incoming)

    async def both() -> None:
        first, second = service.client(), service.client()
        await asyncio.gather(
            press(Turns(Gateway(first), clock, PHRASEBOOK), "u2"),
            press(Turns(Gateway(second), clock, PHRASEBOOK), "u3"),
        )
        await first.aclose()
        await second.aclose()

    asyncio.run(both())
    assert len(service.leads) == 1
    assert kinds(service)[:2] == ["readback", "working"]
    assert len(kinds(service)) == 3


def test_a_refused_lead_becomes_a_kind_message_that_names_the_field() -> None:
    problem = {
        "title": "This brief cannot be built",
        "status": 422,
        "errors": [{"field": "pieces[0].height_m", "detail": "At most 6 m."}],
    }
    service = FakeService(refuse_lead=problem)

    async def use(turns: Turns) -> None:
        await say(turns, "u1", WHOLE)
        await say(turns, "u2", "yes")
        service.refuse_lead = None
        await say(turns, "u3", "4 ft wide and 6 ft tall")
        await say(turns, "u4", "yes")

    with_turns(service, use)
    refusal = service.said["webchat/c"][1]
    assert "the height" in refusal["text"]
    assert "At most 6 m." in refusal["text"]
    assert refusal["asks"] == "size"
    assert kinds(service) == ["readback", "ask", "readback", "working"]
    (brief,) = service.leads.values()
    assert brief.pieces[0].height_m == pytest.approx(1.8288)


def test_a_service_that_is_down_leaves_the_update_pending_for_the_replay() -> None:
    service = FakeService()

    async def use(turns: Turns) -> None:
        incoming = Incoming(kind="text", text="hi")
        received = await turns.receive("webchat", "c", "u1", incoming)
        service.down = True
        with pytest.raises(ServiceUnavailable):
            await turns.take("webchat", "c", received, incoming)
        service.down = False
        assert await turns.replay("webchat", 0) == 1

    with_turns(service, use)
    assert kinds(service) == ["ask"]


def test_one_chat_that_is_stuck_does_not_keep_the_others_waiting() -> None:
    service = FakeService()

    async def use(turns: Turns) -> None:
        for update_id, chat in (("u1", "a"), ("u2", "b"), ("u3", "a")):
            incoming = Incoming(kind="text", text="hi")
            await turns.receive("webchat", chat, update_id, incoming)

        def keep_a_stuck() -> None:
            version, state = service.states.get("webchat/a", (0, {}))
            service.states["webchat/a"] = (version + 1, state)

        service.before_turn = keep_a_stuck
        assert await turns.replay("webchat", 0) == 1

    with_turns(service, use)
    assert kinds(service, "webchat/b") == ["ask"]
    assert kinds(service, "webchat/a") == []


@pytest.mark.parametrize(
    ("locale", "apology"), [("en-US", "something went wrong"), ("es-MX", "algo falló de mi lado")]
)
def test_a_turn_that_goes_wrong_owes_an_apology_and_calls_the_owner(
    locale: str, apology: str, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    service = FakeService()

    def trip(*_: object, **__: object) -> None:
        raise ValueError("a birthday for Wren")

    async def use(turns: Turns) -> None:
        incoming = Incoming(kind="text", text="a birthday for Wren", locale=locale)
        received = await turns.receive("webchat", "c", "u1", incoming)
        with monkeypatch.context() as patched:
            patched.setattr("bot.turns.answering.take_turn", trip)
            await turns.take("webchat", "c", received, incoming)
        await say(turns, "u2", "a hoop")

    with_turns(service, use)
    said = service.said["webchat/c"]
    assert apology in said[0]["text"]
    assert "Odile" in said[0]["text"]
    assert said[1]["asks"] == "size"  # the talk goes on
    assert service.calling == ["webchat/c"]
    assert service.handled == {1, 2}
    assert "Wren" not in caplog.text


def test_an_owner_hears_when_a_turn_went_wrong(monkeypatch: pytest.MonkeyPatch) -> None:
    service = FakeService(owners={"webchat/c"})

    def trip(*_: object, **__: object) -> None:
        raise ValueError

    monkeypatch.setattr("bot.owner.take", trip)
    with_turns(service, lambda turns: say(turns, "u1", "/today"))
    assert "went wrong" in service.said["webchat/c"][0]["text"]
    assert service.calling == []


def test_what_a_chat_said_first_is_answered_first_after_a_turn_was_cut_off() -> None:
    service = FakeService()

    async def use(turns: Turns) -> None:
        await turns.receive("webchat", "c", "u1", Incoming(kind="text", text="a hoop, 6 ft"))
        # The process that received it died here; the client writes on.
        await say(turns, "u2", "june 6, indoors")

    with_turns(service, use)
    assert service.handled == {1, 2}
    assert len(kinds(service)) == 2
    state = str(service.states["webchat/c"][1])
    assert "hoop" in state
    assert "2027-06-06" in state


def test_what_would_fit_is_looked_up_and_the_turn_taken_again() -> None:
    service = FakeService()
    airy = {"support": "round_top_frame", "width_m": 1.2, "height_m": 2.1, "fullness": "airy"}
    service.options = [an_option(airy, "240", "280", "330")]

    async def use(turns: Turns) -> None:
        await say(turns, "u1", f"{WHOLE}, under $300")
        await say(turns, "u2", "yes")
        await press(turns, "u3", "options")

    with_turns(service, use)
    (asked,) = service.asked_options
    assert asked["budget"]["max"] == "300"
    assert asked["pieces"][0]["support"] == "round_top_frame"
    said = service.said["webchat/c"][-1]
    (offer,) = (b for b in said["buttons"] if b["value"].startswith("answer:1:offer:"))
    assert "$280" in offer["label"]


def test_a_clients_photo_is_kept_and_its_colours_are_offered() -> None:
    service = FakeService()
    picture = BytesIO()
    Image.new("RGB", (64, 48), "#a3b899").save(picture, "JPEG")
    service.photos["p1"] = ("webchat/c", picture.getvalue())

    async def use(turns: Turns) -> None:
        await say(turns, "u1", "a 6 ft hoop")
        incoming = Incoming(kind="photo", photo="p1")
        received = await turns.receive("webchat", "c", "u2", incoming)
        await turns.take("webchat", "c", received, incoming)

    with_turns(service, use)
    assert service.pictured == {2: "p1"}
    assert "sage" in [swatch["name"] for swatch in service.said["webchat/c"][-1]["swatches"]]


def test_a_photo_is_fetched_again_when_the_service_was_away() -> None:
    service = FakeService()
    picture = BytesIO()
    Image.new("RGB", (64, 48), "#a3b899").save(picture, "PNG")

    class Photos:
        async def fetch(self, ref: str) -> bytes:
            service.down = ref not in seen
            seen.add(ref)
            return picture.getvalue()

    seen: set[str] = set()

    async def use(turns: Turns) -> None:
        incoming = Incoming(kind="photo", photo="file-9")
        received = await turns.receive("webchat", "c", "u1", incoming)
        with pytest.raises(ServiceUnavailable):
            await turns.take("webchat", "c", received, incoming)
        service.down = False
        assert await turns.replay("webchat", 0) == 1

    with_turns(service, use, {"webchat": Photos()})
    assert list(service.pictured.values()) == list(service.photos)
    assert len(service.photos) == 1


def test_nothing_is_priced_anew_while_the_owner_looks_at_the_request() -> None:
    service = FakeService()

    async def use(turns: Turns) -> None:
        await say(turns, "u1", WHOLE)
        await say(turns, "u2", "yes")
        service.reviewed.add("webchat/c")
        await say(turns, "u3", "that's too expensive")

    with_turns(service, use)
    assert service.asked_options == []
    assert service.calling == ["webchat/c"]


def test_how_far_a_request_is_comes_from_what_was_said_since() -> None:
    service = FakeService()

    async def use(turns: Turns) -> str:
        await say(turns, "u1", WHOLE)
        await say(turns, "u2", "yes")
        await say(turns, "u3", "status")
        waiting = str(service.said["webchat/c"][-1]["text"])
        service.said["webchat/c"].append({**service.said["webchat/c"][-1], "kind": "review"})
        await say(turns, "u4", "status")
        return waiting

    assert "still being worked out" in with_turns(service, use)
    assert "is looking at your request" in service.said["webchat/c"][-1]["text"]


def test_a_stop_is_told_to_the_service_and_so_is_a_start() -> None:
    service = FakeService()

    async def use(turns: Turns) -> None:
        await say(turns, "1", "a 6 ft hoop")
        assert service.stopped == set()
        await say(turns, "2", "stop")
        assert service.stopped == {"webchat/c"}
        await say(turns, "3", "june 6")
        assert service.stopped == {"webchat/c"}
        await say(turns, "4", "start")
        assert service.stopped == set()

    with_turns(service, use)


def two_bots(service: FakeService) -> tuple[Turns, Turns]:
    one, two = (Turns(Gateway(service.client()), clock, PHRASEBOOK) for _ in range(2))
    return one, two


def test_two_processes_with_one_chats_crowd_keep_its_order_and_work_out_no_turn_twice() -> None:
    service = FakeService()

    async def use(_: Turns) -> None:
        one, two = two_bots(service)
        says = (say((one, two)[n % 2], f"u{n}", "hmm") for n in range(30))
        await asyncio.gather(*says)

    with_turns(service, use)
    assert len(kinds(service)) == 30
    assert service.handled == set(range(1, 31))
    assert len([one for one in service.requests if one.endswith("/turns")]) == 30
    assert service.holders == {}


def test_a_chat_that_another_process_is_at_is_left_to_it_by_the_replay() -> None:
    service = FakeService()

    async def use(turns: Turns) -> int:
        incoming = Incoming(kind="text", text="hi")
        await turns.receive("webchat", "c", "u1", incoming)
        service.holders["webchat/c"] = "another-bot"
        return await turns.replay("webchat", 0)

    assert with_turns(service, use) == 0
    assert kinds(service) == []


def test_who_waits_for_another_process_goes_on_when_that_lets_go_or_has_answered() -> None:
    service = FakeService()

    async def use(turns: Turns) -> None:
        service.holders["webchat/c"] = "another-bot"
        waiting = asyncio.create_task(say(turns, "u1", "hi"))
        await asyncio.sleep(0.2)
        assert kinds(service) == []
        service.holders.clear()
        await waiting

        service.holders["webchat/c"] = "another-bot"
        waiting = asyncio.create_task(say(turns, "u2", "hi"))
        await asyncio.sleep(0.2)
        service.handled.add(2)
        await waiting

    with_turns(service, use)
    assert kinds(service) == ["ask"]
    assert service.holders == {"webchat/c": "another-bot"}


def test_a_long_backlog_of_one_chat_does_not_hold_up_the_others_replay() -> None:
    service = FakeService()

    async def use(near: Turns) -> int:
        for number in range(20):
            await near.receive("webchat", "crowd", f"c{number}", Incoming(kind="text", text="hm"))
        await near.receive("webchat", "other", "o1", Incoming(kind="text", text="hi"))
        service.holders.clear()  # who received them is gone, and its claims ran out
        return await Turns(FarAway(service.client()), clock, PHRASEBOOK).replay("webchat", 0)

    assert with_turns(service, use) == 21
    order = [one for one in service.requests if one.endswith("/turns")]
    assert order.index("POST /v1/conversations/webchat/other/turns") < 5
