"""Telling how a job went at the desk: typed with a thumb, kept, shown against the estimate."""

from collections.abc import Callable
from io import BytesIO
from typing import Any

import httpx2
import pytest
from PIL import Image
from starlette.testclient import TestClient

from service.estimating import ColourShare
from service.leads.actuals import Actuals, Finished
from service.leads.handling import WELCOME_LINK
from service.leads.lead import Lead
from service.pages import posted
from service.pages.desk.actuals.typed import (
    Unclear,
    hours_typed,
    miles_typed,
    read_count,
    read_distance,
    read_hours,
)
from tests.service.building import BuiltShop, a_brief
from tests.service.finishing import finished, job_of, tell, told_of
from tests.service.leads.keeping_dates import booked
from tests.service.pages.filled import Fields, form_in
from tests.service.pages.reading import elements_of, sign_in, text_of


@pytest.mark.parametrize(
    ("typed", "hours"),
    [
        ("1:30", 1.5),
        ("1.5", 1.5),
        ("1,5", 1.5),
        ("90 min", 1.5),
        ("90m", 1.5),
        ("1 h 30", 1.5),
        ("1h30", 1.5),
        ("1.5 hours", 1.5),
        ("2 x 0:45", 1.5),
        ("3×30 min", 1.5),
        ("0", 0.0),
        ("0.33", 20 / 60),
        (".25", 0.25),
        (".5 h", 0.5),
        ("1/2 h", 0.5),
        ("½", 0.5),
        ("1½ h", 1.5),
        ("1 1/2", 1.5),
        ("15 min.", 0.25),
        ("1:15h", 1.25),
        ("half an hour", 0.5),
        ("a quarter of an hour", 0.25),
        ("an hour and a half", 1.5),
        ("1 hour and 15 min", 1.25),
        ("2 x half an hour", 1.0),
        ("2 x 20 h", 40.0),
        ("1.30 h", 1.3),
    ],
)
def test_hours_are_typed_in_many_ways(typed: str, hours: float) -> None:
    assert read_hours(typed) == pytest.approx(hours)
    # What stands in the field afterwards says the same.
    assert read_hours(hours_typed(hours)) == pytest.approx(hours)


@pytest.mark.parametrize(
    "typed",
    [
        *("90", "1:75", "-1", "h", "half", "30 30", "1.5.5", "²", "1e3"),
        *("2 x 20", "2x10", "3 x 15", "15", "1.30", "2 x 0.45", "1/2/3", "1/0", ".", "1 h 1/2"),
    ],
)
def test_what_could_mean_two_things_is_asked_about(typed: str) -> None:
    with pytest.raises(Unclear):
        read_hours(typed)


def test_miles_and_numbers_are_read() -> None:
    assert read_distance("24.5") == read_distance("24.5 mi") == pytest.approx(39_428.9, abs=1)
    assert read_distance("38 km") == pytest.approx(38_000, abs=20)
    assert miles_typed(read_distance("1,024")) == "1024"
    assert read_count("1,312") == 1312
    for typed in ("24,5", "5 furlongs", ""):
        with pytest.raises(Unclear):
            read_distance(typed)
    for typed in ("3.5", "1,31", "²", ""):
        with pytest.raises(Unclear):
            read_count(typed)


@pytest.fixture
def job(shop: BuiltShop) -> Lead:
    return finished(shop)


def path(lead: Lead) -> str:
    return f"/desk/leads/{lead.id}/actuals"


def opened(owner: TestClient, lead: Lead) -> Fields:
    answer = owner.get(path(lead))
    assert answer.status_code == 200
    return form_in(answer.text, path(lead))


def send(
    owner: TestClient, lead: Lead, form: Fields, *photos: bytes, **typed: str
) -> httpx2.Response:
    """Press the button, after something was typed and photos were chosen."""
    fields = {name: values[0] for name, values in form.items() if values and name != "photo"}
    fields |= {name.replace("__", "."): text for name, text in typed.items()}
    parts: list[tuple[str, Any]] = [(name, (None, text)) for name, text in fields.items()]
    parts += [("photo", (f"{n}.jpg", photo)) for n, photo in enumerate(photos)]
    return owner.post(path(lead), files=parts)


def picture(kind: str = "JPEG", size: tuple[int, int] = (2400, 1200)) -> bytes:
    made = BytesIO()
    Image.new("RGB", size, "teal").save(made, kind)
    return made.getvalue()


def kept(shop: BuiltShop, lead: Lead) -> Finished:
    told = told_of(shop, lead)
    assert told is not None
    return told


def test_what_is_left_empty_is_not_told(shop: BuiltShop, job: Lead, owner: TestClient) -> None:
    form = opened(owner, job)
    assert {values[0] for name, values in form.items() if name.startswith("hours.")} == {""}
    answer = send(
        owner,
        job,
        form,
        hours__tying="2 x 0:25",
        driven="31",
        used="301",
        burst__10="0",
        went_wrong="The lift\r\nwas out of order",
        **{"extra-what-1": "zip ties", "extra-amount-1": "$7.25"},
    )
    assert answer.headers["location"] == f"{path(job)}?done=told"
    told = kept(shop, job)
    assert told.actuals == Actuals(
        hours={"tying": 50 / 60},
        driven_m=read_distance("31"),
        used=301,
        burst={10: 0},
        extras=told.actuals.extras,
    )
    assert [(each.what, str(each.amount)) for each in told.actuals.extras] == [("zip ties", "7.25")]
    assert told.went_wrong == "The lift was out of order"
    said = text_of(owner.get(path(job)).text)
    planned = job_of(shop, job).quote.estimate.hours
    assert f"Tying {hours_typed(planned['tying'])} 0:50 +" in said
    assert f"Making clusters {hours_typed(planned['clustering'])} as planned" in said
    assert "zip ties $0.00 $7.25 +$7.25" in said
    assert "Balloons used, shared out as planned" in said
    assert "What went wrong: The lift was out of order" in said
    assert "Tell how it went" not in text_of(owner.get(f"/desk/leads/{job.id}").text)
    assert "How it went: it cost $" in text_of(owner.get(f"/desk/leads/{job.id}").text)
    # What was typed stands in the form again, and says the same when it is sent again.
    again = send(owner, job, opened(owner, job))
    assert again.status_code == 303
    assert kept(shop, job) == told


def test_the_desk_asks_for_it_where_it_is_told(
    shop: BuiltShop, job: Lead, owner: TestClient
) -> None:
    page = owner.get("/desk").text
    assert "Done: tell how it went" in text_of(page)
    assert path(job) in {each.get("href") for each in elements_of(page, "a")}
    assert "Tell how it went" in text_of(owner.get(f"/desk/leads/{job.id}").text)
    figures = text_of(owner.get("/desk/figures?period=all").text)
    assert "What they really took has not been told of any yet." in figures
    tell(shop, job, Actuals(used=300))
    assert "tell how it went" not in text_of(owner.get("/desk").text)
    figures = text_of(owner.get("/desk/figures?period=all").text)
    assert "It is known what they all really took: $" in figures


def test_what_cannot_be_is_said_beside_its_field_and_nothing_typed_is_lost(
    shop: BuiltShop, job: Lead, owner: TestClient
) -> None:
    form = opened(owner, job)
    answer = send(
        owner,
        job,
        form,
        hours__tying="90",
        used="many",
        went_wrong="rain",
        **{"extra-what-0": "zip ties", "extra-amount-1": "3"},
    )
    assert answer.status_code == 422
    for field in ("hours.tying", "used", "extra-amount-0", "extra-what-1"):
        assert f'id="{field}-fault"' in answer.text
    typed = form_in(answer.text, path(job))
    assert (typed["hours.tying"], typed["went_wrong"]) == (["90"], ["rain"])
    # What can be read and yet cannot be.
    impossible = send(owner, job, form, used="3", burst__10="9")
    assert 'id="burst.10-fault"' in impossible.text
    assert 'id="used-fault"' in send(owner, job, form).text
    assert told_of(shop, job) is None


def test_a_slip_of_the_thumb_is_asked_about_and_kept_if_it_is_so(
    shop: BuiltShop, job: Lead, owner: TestClient
) -> None:
    answer = send(owner, job, opened(owner, job), used="9000", hours__tying=".5.")
    assert "Tying: Write it like" in text_of(answer.text)
    answer = send(owner, job, opened(owner, job), used="9000")
    assert answer.status_code == 422
    said = text_of(answer.text)
    assert "told 9,000: is it so?" in said
    assert "It is so: keep it as I wrote it" in said
    assert told_of(shop, job) is None
    again = form_in(answer.text, path(job))
    assert (again["used"], again["asked"]) == (["9000"], ["used"])
    # The usual button asks again.
    assert send(owner, job, again).status_code == 422
    assert send(owner, job, again, sure="1").status_code == 303
    assert kept(shop, job).actuals.used == 9000


def test_it_went_as_planned_is_told_with_one_press(
    shop: BuiltShop, job: Lead, owner: TestClient
) -> None:
    form = form_in(owner.get(path(job)).text, f"{path(job)}/as-planned")
    fields = {name: values[0] for name, values in form.items()}
    for _ in range(2):
        assert owner.post(f"{path(job)}/as-planned", data=fields).status_code == 303
    assert kept(shop, job).actuals == Actuals(as_planned=True)
    assert "You said that it went as planned" in text_of(owner.get(path(job)).text)
    # A photo that is added takes nothing back, and what is told later stands in its place.
    assert send(owner, job, opened(owner, job), picture()).status_code == 303
    assert kept(shop, job).actuals == Actuals(as_planned=True)
    send(owner, job, opened(owner, job), used="300")
    assert kept(shop, job).actuals == Actuals(used=300)


def test_an_old_page_overwrites_nothing_unasked(
    shop: BuiltShop, job: Lead, owner: TestClient
) -> None:
    form = opened(owner, job)
    tell(shop, job, Actuals(used=300))
    answer = send(owner, job, form, used="310")
    assert answer.status_code == 409
    assert kept(shop, job).actuals.used == 300
    typed = form_in(answer.text, path(job))
    assert typed["used"] == ["310"]
    assert send(owner, job, typed).status_code == 303
    assert kept(shop, job).actuals.used == 310


def test_a_photo_is_made_small_and_shown_to_the_owner_only(
    shop: BuiltShop, job: Lead, owner: TestClient, helper: TestClient
) -> None:
    form = opened(owner, job)
    answer = send(owner, job, form, picture(), picture("PNG", (40, 30)))
    assert answer.headers["location"] == f"{path(job)}?done=photo"
    assert told_of(shop, job) is None
    assert send(owner, job, form, picture()).status_code == 303
    sources = [str(each["src"]) for each in elements_of(owner.get(path(job)).text, "img")]
    assert len(sources) == 2
    shown = [owner.get(source) for source in sources]
    assert {each.headers["content-type"] for each in shown} == {"image/jpeg"}
    assert {each.headers["x-content-type-options"] for each in shown} == {"nosniff"}
    assert all(each.headers["cache-control"].startswith("private") for each in shown)
    sizes = {Image.open(BytesIO(each.content)).size for each in shown}
    assert sizes == {(1600, 800), (40, 30)}
    assert helper.get(sources[0]).status_code == 403
    assert helper.get(path(job)).status_code == 403
    elsewhere = sources[0].replace(job.id, "another")
    assert owner.get(elsewhere).status_code == 404
    name = sources[0].rpartition("/")[2]
    send(owner, job, opened(owner, job), drop=name)
    assert owner.get(sources[0]).status_code == 404
    assert owner.get(sources[1]).status_code == 200


def test_what_is_no_photo_is_refused_and_what_was_typed_stays(
    shop: BuiltShop, job: Lead, owner: TestClient
) -> None:
    form = opened(owner, job)
    bomb = BytesIO()
    Image.new("1", (6_000, 6_000)).save(bomb, "PNG")
    for photo, text in (
        (b"<svg onload=alert(1)>", "no JPEG, PNG or WebP"),
        (picture()[:400], "damaged"),
        (bomb.getvalue(), "too many pixels"),
        (b"\xff\xd8\xff" + bytes(12_000_001), "larger than 12 MB"),
    ):
        answer = send(owner, job, form, photo, used="300")
        assert answer.status_code == 422
        assert text in text_of(answer.text)
        assert form_in(answer.text, path(job))["used"] == ["300"]
    assert "at most 3" in send(owner, job, form, *[picture()] * 4).text
    with shop.ports.read() as work:
        assert work.actuals.photos(job.id) == []


def test_a_form_beyond_all_measure_is_not_read_to_its_end(
    job: Lead, owner: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(posted, "_LARGEST_WITH_FILES", 50_000)
    answer = send(owner, job, opened(owner, job), bytes(60_000))
    assert answer.status_code == 413
    assert "fewer files" in text_of(answer.text)


def test_there_is_nothing_to_tell_of_a_job_that_is_still_to_come(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = booked(shop)
    answer = owner.get(path(lead))
    assert answer.status_code == 409
    assert "not done" in text_of(answer.text)
    assert "Tell how it went" not in text_of(owner.get(f"/desk/leads/{lead.id}").text)
    assert owner.get("/desk/leads/nothing/actuals").status_code == 404


def test_what_was_not_used_is_put_back_unless_the_tick_is_taken_away(
    shop: BuiltShop, browser: Callable[[], TestClient]
) -> None:
    lead = finished(
        shop, a_brief(palette=(ColourShare(colour="navy"), ColourShare(colour="white")))
    )
    owner = browser()
    sign_in(owner, shop.link(WELCOME_LINK, "owner"))
    form = opened(owner, lead)
    assert form["back"] == ["1"]
    send(owner, lead, form, used="10", asked="used", sure="1")
    assert kept(shop, lead).back
    assert "Back there:" in text_of(owner.get(path(lead)).text)
    send(owner, lead, opened(owner, lead), back="")
    assert not kept(shop, lead).back
    page = owner.get(path(lead)).text
    assert "Back there:" not in text_of(page)
    assert "back" not in form_in(page, path(lead))
