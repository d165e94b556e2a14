"""Two requests that are one: which look so, and what becomes of them."""

from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from service.estimating import Event
from service.leads import handling, merging
from service.leads.lead import Client, Lead, LeadState, NotFound, StaleDecision
from service.leads.merging import Merger, MergeRefused
from tests.service.building import BuiltShop, a_brief, build_shop
from tests.service.leads.keeping_dates import held

NORA = Client(name="Nora", email="nora@rowing.example", phone="+1 617-555-0123")
ELSEWHERE = a_brief(event=Event(occasion="anniversary"))


@pytest.fixture
def shop(tmp_path: Path) -> BuiltShop:
    return build_shop(tmp_path)


def merge(shop: BuiltShop, kept: Lead, other: Lead, **looked_at: str) -> Lead:
    with shop.ports.work() as work:
        merger = Merger(
            kept_id=kept.id,
            other_id=other.id,
            kept_seen=looked_at.get("kept_seen", merging.standing(work, shop.lead(kept.id))),
            other_seen=looked_at.get("other_seen", merging.standing(work, shop.lead(other.id))),
        )
        merging.merge(work, shop.ports, merger, who="owner", now=shop.now)
        work.commit()
    return shop.lead(other.id)


def likely(shop: BuiltShop, lead: Lead) -> list[tuple[str, str]]:
    with shop.ports.read() as work:
        return [(each.lead.number, each.because) for each in merging.likely(work, lead)]


def test_what_looks_like_the_same_request_is_offered_with_the_reason(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief(), client=NORA, channel="webchat", chat_id="nora")
    chat = shop.quoted(ELSEWHERE, channel="webchat", chat_id="nora")
    email = shop.quoted(ELSEWHERE, client=Client(email="Nora@Rowing.example"))
    phone = shop.quoted(ELSEWHERE, client=Client(phone="+1 6175550123"))
    place = shop.quoted(a_brief())
    shop.quoted(ELSEWHERE, client=Client(name="Nora", email="nora@library.example"))
    assert likely(shop, lead) == [
        (chat.number, "same conversation"),
        (email.number, "same email"),
        (phone.number, "same phone number"),
        (place.number, "same day and place"),
    ]


def test_a_request_for_the_same_day_by_the_same_client_is_perhaps_the_same(
    shop: BuiltShop,
) -> None:
    lead = shop.quoted(a_brief(), client=NORA)
    email = shop.quoted(a_brief(), client=Client(email="Nora@rowing.example"))
    phone = shop.quoted(a_brief(), client=Client(phone="+1 6175550123"))
    shop.quoted(ELSEWHERE, client=NORA)
    shop.quoted(a_brief(), client=Client(name="Nora"))
    with shop.ports.read() as work:
        assert merging.twins(work, lead) == (email, phone)
    among = merging.twins_among([lead, email, email])
    assert {each: other.number for each, other in among.items()} == {
        lead.id: email.number,
        email.id: lead.number,
    }
    merge(shop, lead, email)
    assert merging.twins_among([lead, shop.lead(email.id)]) == {}


def test_one_is_found_by_its_number(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    with shop.ports.read() as work:
        for said in (lead.number, lead.number.lower(), lead.number[1:], f" {lead.number} "):
            assert merging.numbered(work, said).id == lead.id
        for said in ("G9999", "nonsense", "", "G1"):
            with pytest.raises(NotFound):
                merging.numbered(work, said)


def test_the_other_one_lapses_into_the_kept_one(shop: BuiltShop) -> None:
    kept, other = shop.quoted(a_brief()), shop.quoted(a_brief())
    merged = merge(shop, kept, other)
    assert (merged.state, merged.merged_into) == (LeadState.LAPSED, kept.id)
    assert merged.lost_because is None
    with shop.ports.read() as work:
        assert merging.parts_of(work, kept) == (merged,)
        assert handling.replaced_by(work, merged) == shop.lead(kept.id)
        for lead in (kept, merged):
            assert work.leads.history(lead.id)[-1].who == "owner"
    assert likely(shop, kept) == []


def test_no_decision_is_taken_on_what_has_become_a_part(shop: BuiltShop) -> None:
    kept, other = shop.quoted(a_brief()), shop.quoted(a_brief())
    merge(shop, kept, other)
    with shop.ports.work() as work:
        with pytest.raises(StaleDecision, match=f"a part of {kept.number}"):
            handling.decline(work, shop.ports, lead_id=other.id, text=None, now=shop.now)
        with pytest.raises(StaleDecision, match=f"a part of {kept.number}"):
            handling.send_firm(
                work,
                shop.ports,
                lead_id=other.id,
                basis_number=None,
                price=None,
                reason=None,
                text=None,
                now=shop.now,
            )


def test_its_links_show_the_newest_price_of_the_kept_one(shop: BuiltShop) -> None:
    other, kept = shop.quoted(a_brief()), shop.take_lead(a_brief())
    merge(shop, kept, other)
    with shop.ports.read() as work:  # no price of it is out so far
        assert merging.kept_with_price(work, shop.lead(other.id)).id == other.id
    shop.work_off()
    with shop.ports.read() as work:
        assert merging.kept_with_price(work, shop.lead(other.id)).id == kept.id
        assert merging.kept_with_price(work, shop.lead(kept.id)).id == kept.id


def test_a_second_press_and_an_old_page_are_refused(shop: BuiltShop) -> None:
    kept, other = shop.quoted(a_brief()), shop.quoted(a_brief())
    with shop.ports.read() as work:
        seen = merging.standing(work, other)
    merge(shop, kept, other)
    with pytest.raises(StaleDecision):
        merge(shop, kept, other, other_seen=seen)
    third = shop.quoted(a_brief())
    with pytest.raises(StaleDecision):
        merge(shop, kept, third, kept_seen="quoted.0.G9999-1")
    assert shop.lead(third.id).merged_into is None


def test_what_cannot_become_one_is_refused_with_the_reason(shop: BuiltShop) -> None:
    lead, kept_date = shop.quoted(a_brief()), held(shop)
    with pytest.raises(MergeRefused, match=f"A date is kept for {kept_date.number}"):
        merge(shop, lead, kept_date)
    with pytest.raises(MergeRefused, match="this request itself"):
        merge(shop, lead, lead)
    merge(shop, kept_date, lead)  # the other way about it works
    over = shop.quoted(a_brief())
    with shop.ports.work() as work:
        handling.decline(work, shop.ports, lead_id=over.id, text=None, now=shop.now)
        work.commit()
    with pytest.raises(MergeRefused, match="is over"):
        merge(shop, over, shop.quoted(a_brief()))
    with pytest.raises(MergeRefused, match="over already"):
        merge(shop, kept_date, over)


def test_an_earlier_link_stays_good_as_long_as_the_newest_price(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    with shop.ports.read() as work:
        earlier = work.links.of(lead.id, handling.QUOTE_LINK)
    shop.now += timedelta(days=10)
    shop.send_firm(lead, Decimal(500))
    shop.now += timedelta(days=10)  # three weeks after the first price, which was good for two
    with shop.ports.read() as work:
        assert earlier is not None
        found = work.links.find(earlier, purpose=handling.QUOTE_LINK, now=shop.now)
    assert found == lead.id
