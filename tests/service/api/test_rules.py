"""The review rules and their rehearsal as JSON."""

from collections.abc import Callable
from typing import Any

from tests.service.api.conftest import CANONICAL, Service

ABOVE_100 = {"when": "likely_price", "above": "100"}


def test_the_owner_reads_rules_figures_and_what_always_waits(service: Service) -> None:
    answer = service.client("owner").get("/v1/review-rules").json()
    assert answer["rules"][0] == {
        "when": "outdoors",
        "above": None,
        "below": None,
        "is": True,
        "and": None,
    }
    assert answer["in_words"][1] == "The likely price is over $1,500."
    assert len(answer["in_words"]) == len(answer["rules"])
    assert "The date is in the past." in answer["always"]
    kinds = {figure["name"]: figure["kind"] for figure in answer["figures"]}
    assert kinds["miles"] == "a number"
    assert kinds["support"] == "a support"


def test_changed_rules_count_at_once_and_an_old_basis_is_refused(service: Service) -> None:
    owner = service.client("owner")
    basis = owner.get("/v1/review-rules").json()["version"]
    rules = [
        ABOVE_100 | {"and": {"when": "weekend", "is": "yes"}},
        {"when": "support", "is": "staircase"},
    ]
    changed = owner.put("/v1/review-rules", json={"basis": basis, "rules": rules})
    assert changed.status_code == 200, changed.text
    assert changed.json()["in_words"] == [
        "The likely price is over $100, and it is on a weekend.",
        "It has a staircase garland.",
    ]
    assert changed.json()["version"] != basis
    assert owner.get("/v1/review-rules").json() == changed.json()
    again = owner.put("/v1/review-rules", json={"basis": basis, "rules": []})
    assert again.status_code == 409


def test_rules_that_make_no_sense_are_refused_with_what_is_allowed(service: Service) -> None:
    owner = service.client("owner")
    for rule, field, allowed in (
        ({"when": "moon", "is": True}, "rules[0].when", "use one of likely_price"),
        ({"when": "miles"}, "rules[0]", "give one of above, below, is"),
        ({"when": "miles", "above": 1, "below": 9}, "rules[0]", "give one of above, below, is"),
        ({"when": "miles", "is": True}, "rules[0].is", "write above: or below:"),
        ({"when": "miles", "above": -1}, "rules[0].above", "from 0 to 1,000,000"),
        ({"when": "support", "is": "moon"}, "rules[0].is", "round_top_frame"),
        (
            ABOVE_100 | {"and": {"when": "outdoors", "above": 1}},
            "rules[0].and.above",
            "is: yes or is: no",
        ),
        (ABOVE_100 | {"and": ABOVE_100}, "rules[0].and", "name another condition"),
    ):
        answer = owner.post("/v1/review-rules/rehearsal", json={"rules": [rule]})
        assert answer.status_code == 422, rule
        (error,) = answer.json()["errors"]
        assert error["field"] == field
        assert allowed in error["detail"]


def test_a_rehearsal_says_what_would_have_waited(
    service: Service, post_lead: Callable[..., dict[str, Any]], work_off: Callable[[], Any]
) -> None:
    lead_id = post_lead()["lead_id"]
    outdoors = CANONICAL | {"site": CANONICAL["site"] | {"setting": "outdoor"}}
    waiting_id = post_lead(outdoors, chat_id="chat-2")["lead_id"]
    work_off()
    owner = service.client("owner")
    tried = owner.post("/v1/review-rules/rehearsal", json={"rules": [ABOVE_100], "days": 30})
    assert tried.status_code == 200, tried.text
    answer = tried.json()
    assert (answer["looked_at"], answer["more"]) == (2, False)
    assert answer["by_rule"] == [
        {
            "rule": "The likely price is over $100.",
            "tally": {
                "caught": 2,
                "worth_a_look": 0,
                "for_nothing": 1,
                "undecided": 1,
                "alone": 2,
            },
        }
    ]
    by_id = {each["lead_id"]: each for each in answer["requests"]}
    assert by_id[lead_id]["outcome"] == "unchanged"
    assert (by_id[lead_id]["waits_now"], by_id[waiting_id]["waits_now"]) == (False, True)
    in_use = owner.post("/v1/review-rules/rehearsal", json={}).json()
    assert [each["lead_id"] for each in in_use["requests"]] == [waiting_id]
