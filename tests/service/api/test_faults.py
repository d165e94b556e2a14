"""What is wrong with a body, said so that whoever sent it knows what to do."""

from copy import deepcopy
from typing import Any

import pytest
from pydantic import ValidationError

from service.api.faults import form_problem
from service.contract.brief import Brief

HOOP: dict[str, Any] = {"support": "hoop", "width_m": 1.8}


def told(brief: dict[str, Any]) -> dict[str, str]:
    """The details by field, of a brief that the wire does not take."""
    with pytest.raises(ValidationError) as caught:
        Brief.model_validate({"pieces": [deepcopy(HOOP)], **brief})
    # As the command line reads them: without what pydantic adds beside its message.
    problem = form_problem(caught.value.errors(include_url=False, include_context=False))
    return {error.field: error.detail for error in problem.errors or ()}


@pytest.mark.parametrize(
    ("brief", "field", "detail"),
    [
        ({"pieces": []}, "pieces", "Name at least 1 here."),
        ({"pieces": [HOOP] * 21}, "pieces", "Name at most 20 here."),
        ({"pieces": 3}, "pieces", "Give a list in square brackets."),
        ({"event": 5}, "event", "Give its fields in curly braces."),
        (
            {"site": {"temperature_c": 99}},
            "site.temperature_c",
            "Give a number of at most 55 degrees Celsius.",
        ),
        (
            {"site": {"temperature_c": -99}},
            "site.temperature_c",
            "Give a number from -30 degrees Celsius up.",
        ),
        ({"site": {"gust_m_s": 61}}, "site.gust_m_s", "Give a number of at most 60 m/s."),
        ({"site": {"latitude": 91}}, "site.latitude", "Give a number of at most 90 degrees."),
        ({"site": {"setting": "x"}}, "site.setting", "Use one of these: 'indoor' or 'outdoor'."),
        (
            {"event": {"date": "June the sixth"}},
            "event.date",
            "Give a day that exists as year-month-day, such as 2027-06-06.",
        ),
        (
            {"event": {"start_time": "25:00"}},
            "event.start_time",
            "Give a time of day as hours and minutes, such as 15:00.",
        ),
        ({"event": {"guests": 2.5}}, "event.guests", "Give a whole number, such as 2."),
        (
            {"budget": {"max": 2_000_000}},
            "budget.max",
            "Give a number of at most 1,000,000 in the shop's currency.",
        ),
        (
            {"budget": "plenty"},
            "budget.max",
            "Give an amount of money in figures, such as 400 or 399.50.",
        ),
        ({"palette": [""]}, "palette[0].colour", "Write something here; it is empty."),
        (
            {"event": {"occasion": "a" * 61}},
            "event.occasion",
            "Shorten this to at most 60 characters.",
        ),
        ({"client_keeps": "perhaps"}, "client_keeps", "Give true or false."),
        ({"notes": 3}, "notes", "Give text in quotation marks."),
        (
            {"pieces": [{**HOOP, "height_m": -2}]},
            "pieces[0].height_m",
            "Give a number above 0 m.",
        ),
        (
            {"pieces": [{**HOOP, "width_m": "wide"}]},
            "pieces[0].width_m",
            "Give a number, such as 2.4 m.",
        ),
        (
            {"pieces": [{**HOOP, "coverage": 1.5}]},
            "pieces[0].coverage",
            "Give a number of at most 1 (a share: 1 is all of it).",
        ),
    ],
)
def test_a_fault_is_said_in_plain_words_with_its_unit(
    brief: dict[str, Any], field: str, detail: str
) -> None:
    assert told(brief) == {field: detail}
