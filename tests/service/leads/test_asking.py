"""Questions about what a brief leaves open, ready to be sent."""

from pathlib import Path

import pytest

from service.estimating import Accent, AccentKind, Budget, ColourShare, Event, Piece, Site, Support
from service.leads import asking
from service.leads.lead import Client, Lead
from service.wording import load
from tests.service.building import BuiltShop, a_brief, build_shop

WORDING = load(None)


@pytest.fixture
def shop(tmp_path: Path) -> BuiltShop:
    return build_shop(tmp_path)


def asked(shop: BuiltShop, lead: Lead, language: str = "en") -> dict[str, str]:
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id)
    words = WORDING.in_language(language)
    found = asking.questions(lead, quote.estimate if quote else None, words)
    return {each.about: each.text for each in found}


def test_what_the_estimate_took_for_granted_can_be_asked(shop: BuiltShop) -> None:
    hoop = Piece(
        support=Support.HOOP,
        width_m=1.8288,
        measures_assumed=True,
        accents=(Accent(kind=AccentKind.FLOWERS),),
    )
    brief = a_brief(
        pieces=(hoop,), palette=(ColourShare(colour="tiger stripe"),), event=Event(), site=Site()
    )
    found = asked(shop, shop.quoted(brief))
    assert found["pieces[0]"] == "How big is the hoop, in feet?"
    assert found["pieces[0].accents[0]"] == "How much would you like of this: flowers?"
    assert found["palette[0]"].startswith("“tiger stripe” is a special order.")
    assert found["event.date"] == "Which day is it?"
    assert found["event.start_time"] == "When does it start?"
    assert found["site.setting"] == "Is it indoors or outdoors?"
    assert found["site.postal_code"] == "Where is it? The ZIP code is enough."


def test_they_are_asked_in_the_clients_language_and_the_owner_reads_english(
    shop: BuiltShop,
) -> None:
    lead = shop.quoted(a_brief(event=Event()), language="es")
    assert asked(shop, lead, "es")["event.date"] == "¿Qué día es?"
    words = WORDING.in_language("es")
    (question,) = [e for e in asking.questions(lead, None, words) if e.about == "budget"]
    assert question.english == "Is there a budget that we should keep to?"
    assert question.text == "¿Hay un presupuesto que debamos respetar?"


def test_what_is_known_is_not_asked(shop: BuiltShop) -> None:
    known = a_brief(budget=Budget(max=None), client_keeps=False)
    lead = shop.quoted(known, client=Client(name="Nora", phone="+1 617-555-0123"))
    found = asked(shop, lead)
    assert not {"client.name", "client.phone", "budget", "client_keeps", "event.date"} & set(found)
    assert "event.end_time" in found


def test_several_questions_become_one_message(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief(event=Event()))
    first, second, *_ = asking.questions(lead, None, WORDING.in_language("en"))
    assert asking.put_together([first]) == first.text
    assert asking.put_together([first, second]) == f"• {first.text}\n• {second.text}"
