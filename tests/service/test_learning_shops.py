"""Shops whose truth is known, through the API and the owner's pages: from asking to learning."""

import logging
import re
import shutil
from collections.abc import Callable, Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI

from deploy.bench_learning import measure
from deploy.simulated_shop import SimulatedShop, truth_of
from service.app import create_app
from service.config import Settings
from service.estimating import Task
from tests.service.building import empty_database

# How this shop really works: the first two take longer, the third goes quicker.
OTHERWISE = truth_of(
    {Task.SIZING_AND_INFLATING: 1.4, Task.STRIKE: 1.4, Task.INSTALL: 0.75},
    packing=1.12,
    driving=1.3,
)
AS_BOOKED = truth_of()

Opened = Callable[[], SimulatedShop]


def settings_in(folder: Path) -> Settings:
    # Nothing listens on the discard port.
    return Settings(
        data=folder, redis_url="redis://127.0.0.1:9/0", reference_date=date(2027, 1, 10)
    )


@pytest.fixture(scope="module", autouse=True)
def _quiet() -> Iterator[None]:
    """The queue is out of reach, as every step would say."""
    logging.disable(logging.WARNING)
    yield
    logging.disable(logging.NOTSET)


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> FastAPI:
    """Its routes; every shop attaches its own parts."""
    folder = tmp_path_factory.mktemp("routes")
    (folder / "garlandry.sqlite3").write_bytes(empty_database())
    return create_app(settings_in(folder))


def opened(app: FastAPI, folder: Path, *, seed: int = 3, **more: Any) -> SimulatedShop:
    if not (folder / "garlandry.sqlite3").exists():
        (folder / "garlandry.sqlite3").write_bytes(empty_database())
    return SimulatedShop(app, settings_in(folder), seed=seed, **{"truth": OTHERWISE, **more})


@pytest.fixture(scope="module")
def told(app: FastAPI, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, date]:
    """The data of a shop that has told of 25 jobs and decided nothing yet, and its day."""
    folder = tmp_path_factory.mktemp("told")
    shop = opened(app, folder)
    shop.run(25)
    shop.assembly.engine.dispose()
    return folder, shop.today


@pytest.fixture
def shop(app: FastAPI, told: tuple[Path, date], tmp_path: Path) -> Iterator[SimulatedShop]:
    """That shop; what is decided stays in the test."""
    data, today = told
    shutil.copytree(data, tmp_path / "data")
    shop = opened(app, tmp_path / "data", today=today)
    yield shop
    shop.assembly.engine.dispose()


def lessons(shop: SimulatedShop) -> Mapping[str, Mapping[str, Any]]:
    known = shop.ask("owner", "GET", "/v1/calibration")
    return {each["subject"]: each for each in known["lessons"]}


def decide(shop: SimulatedShop, subject: str, verdict: str) -> Any:
    seen = lessons(shop)[subject]["seen"]
    body = {"subject": subject, "verdict": verdict, "seen": seen}
    return shop.ask("owner", "POST", "/v1/calibration", body)


def test_a_shop_that_works_otherwise_than_its_book_is_found_out(shop: SimulatedShop) -> None:
    before = measure(shop.fresh(6), OTHERWISE, draws=200)
    taken = shop.take_every_lesson()
    after = measure(shop.fresh(6), OTHERWISE, draws=200)
    assert {"sizing_and_inflating", "strike", "install", "packing", "drive"} <= set(taken)
    assert len(taken) == len(set(taken))
    assert abs(before.hours - 1) > 0.05
    assert after.hours == pytest.approx(1, abs=0.05)
    assert after.within == pytest.approx(0.8, abs=0.06)
    assert after.within > before.within
    assert after.loss_ratio < 0.9


def test_a_shop_as_its_book_is_not_sent_off_on_noise(app: FastAPI, tmp_path: Path) -> None:
    shop = opened(app, tmp_path, seed=11, truth=AS_BOOKED)
    shop.run(12)
    taken = shop.take_every_lesson()
    found = measure(shop.fresh(6), AS_BOOKED, draws=200)
    assert len(taken) <= 2
    assert found.hours == pytest.approx(1, abs=0.05)
    assert found.within == pytest.approx(0.8, abs=0.05)
    assert found.loss_ratio < 1.03
    shop.assembly.engine.dispose()


def test_nothing_moves_but_by_a_decision_and_then_at_once(shop: SimulatedShop) -> None:
    (job,) = shop.fresh(1)
    brief = shop.brief_of(0)
    assert job.estimate["calibration_version"] is None
    hours = shop.ask("worker", "POST", "/v1/estimates", brief)["hours"]
    answer = decide(shop, "strike", "use")
    moved = shop.ask("worker", "POST", "/v1/estimates", brief)
    assert moved["calibration_version"] == answer["version"]
    factor = lessons(shop)["strike"]["by_support"]["round_top_frame"]
    assert moved["hours"] == hours | {"strike": pytest.approx(hours["strike"] * factor)}
    explained = {each["figure"]: each for each in moved["explanation"]}
    assert explained["hours.strike"]["inputs"]["the shop's own record"] == f"× {factor:.4f}"
    assert "finished jobs" in explained["hours.strike"]["source"]
    assert "the shop's own record" not in explained["hours.tying"]["inputs"]


def test_later_jobs_move_no_price_and_a_quote_keeps_what_it_was_made_with(
    shop: SimulatedShop,
) -> None:
    version = decide(shop, "strike", "use")["version"]
    before, offered = lessons(shop)["strike"]["in_use"], shop.offered()
    shop.run(1)
    after = lessons(shop)["strike"]
    assert (after["in_use"], after["jobs"]) == (before, 26)
    assert after["factor"] != before
    with shop.assembly.ports.read() as work:
        (quote,) = work.quotes.newest(1)
        (*_, told) = work.actuals.since(None)
    assert quote.calibration == told.told.calibration == version
    assert told.told.quoted.likely > told.told.by_book.likely
    # A page from before the job was told of.
    now = {**shop.offered()["drive"], "verdict": "use"}
    old = {**now, "seen": offered["drive"]["seen"]}
    assert shop.desk.post("/desk/learning/lessons/drive", data=old).status_code == 409
    decide(shop, "strike", "stop")
    known = shop.assembly.ports.calibrations
    assert known.current().version is None
    kept = known.of(quote.calibration)
    assert kept is not None
    assert [change.subject for change in kept.changes()] == ["strike"]


def test_a_second_press_and_an_old_page_change_nothing(shop: SimulatedShop) -> None:
    offered = shop.offered()
    pressed = {**offered["strike"], "verdict": "use"}
    path = "/desk/learning/lessons/strike"
    assert shop.desk.post(path, data=pressed).status_code == 303
    again = shop.desk.post(path, data=pressed)
    assert again.status_code == 409
    assert "Nothing was changed just now" in again.text
    assert len(shop.ask("owner", "GET", "/v1/calibration/versions")) == 1
    for subject, verdict, status in (("juggling", "use", 404), ("drive", "go_back", 422)):
        fields = {**offered["drive"], "verdict": verdict}
        refused = shop.desk.post(f"/desk/learning/lessons/{subject}", data=fields)
        assert refused.status_code == status
    assert len(shop.ask("owner", "GET", "/v1/calibration/versions")) == 1


def test_what_was_left_is_not_offered_again_until_it_has_moved(shop: SimulatedShop) -> None:
    pressed = {**shop.offered()["install"], "verdict": "leave"}
    assert shop.desk.post("/desk/learning/lessons/install", data=pressed).status_code == 303
    assert "install" not in shop.offered()
    known = lessons(shop)["install"]
    assert known["stands"] == "left"
    assert known["refused"] == known["factor"]
    assert "Use it after all" in shop.desk.get("/desk/learning").text
    decide(shop, "install", "use")
    assert lessons(shop)["install"]["stands"] == "in_use"


def test_every_decision_is_dated_and_can_be_taken_back(shop: SimulatedShop) -> None:
    first = decide(shop, "strike", "use")
    second = decide(shop, "drive", "use")
    third = decide(shop, "strike", "stop")
    used = {s: each["in_use"] for s, each in lessons(shop).items() if each["in_use"] != 1}
    assert used.keys() == {"drive"}
    # Back to before the third decision, and then to before the first.
    path = "/v1/calibration/versions/{}/take-back"
    back = shop.ask("owner", "POST", path.format(third["newest"]), {"seen": third["newest"]})
    assert back["version"] == second["version"]
    gone = shop.ask("owner", "POST", path.format(first["newest"]), {"seen": back["newest"]})
    assert gone["version"] is None
    with pytest.raises(RuntimeError, match="409"):
        shop.ask("owner", "POST", path.format(first["newest"]), {"seen": back["newest"]})
    with pytest.raises(RuntimeError, match="404"):
        shop.ask("owner", "POST", path.format(9999), {"seen": gone["newest"]})
    versions = shop.ask("owner", "GET", "/v1/calibration/versions")
    assert [each["verdict"] for each in versions] == ["go_back", "go_back", "stop", "use", "use"]
    assert {move["subject"] for move in versions[0]["moves"]} == {"strike", "drive"}
    assert all(each["made_by"] == "owner" and each["made_at"] for each in versions)
    # What was taken back is not pressed upon the owner at once.
    assert lessons(shop)["strike"]["stands"] == "left"


def test_the_page_takes_a_decision_back(shop: SimulatedShop) -> None:
    decide(shop, "strike", "use")
    page = shop.desk.get("/desk/learning").text
    (path,) = re.findall(r'action="(/desk/learning/decisions/\d+/back)"', page)
    fields = dict(re.findall(r'name="(csrf|seen)" value="([^"]*)"', page.partition(path)[2]))
    assert shop.desk.post(path, data=fields).status_code == 303
    assert lessons(shop)["strike"]["in_use"] == 1
    page = shop.desk.get("/desk/learning?done=back").text
    assert "Everything is as it was before." in page
    assert shop.desk.post(path, data=fields).status_code == 409


def test_the_page_says_what_it_rests_on_and_what_it_does_to_prices(shop: SimulatedShop) -> None:
    page = shop.desk.get("/desk/learning").text
    percent = round(100 * (lessons(shop)["strike"]["factor"] - 1))
    assert f"Taking down takes you {percent}% longer than the book. Use it?" in page
    assert "From 25 jobs; most likely +" in page
    assert "G1024-1" in page
    assert "G1021-1" not in page


def test_the_accuracy_page_tells_costs_by_month_and_tasks_by_how_far_they_miss(
    shop: SimulatedShop,
) -> None:
    found = shop.ask("owner", "GET", "/v1/accuracy")
    assert found["coverage"]["jobs"] == sum(each["jobs"] for each in found["months"]) == 25
    assert found["losses"]["ratio"] is None
    misses = {each["task"]: each for each in found["misses"]}
    assert misses["strike"]["factor"] > 1.2
    assert misses["install"]["factor"] < 0.9
    assert list(misses) == sorted(misses, key=lambda task: -misses[task]["hours"])
    page = shop.desk.get("/desk/accuracy").text
    assert f"{found['coverage']['within']} of 25 real costs fell within their range" in page
    assert "No finished job was quoted with anything that your jobs taught yet" in page
    chart = shop.desk.get("/desk/accuracy/months.svg")
    assert chart.headers["content-type"] == "image/svg+xml"
    assert "Feb 2027" in chart.text


def test_without_a_job_both_pages_say_how_to_begin(app: FastAPI, tmp_path: Path) -> None:
    shop = opened(app, tmp_path)
    for path in ("/desk/learning", "/desk/accuracy"):
        page = shop.desk.get(path)
        assert page.status_code == 200
        assert "under “How it went”" in page.text
    assert shop.ask("owner", "GET", "/v1/calibration") == {
        "jobs": 0,
        "version": None,
        "newest": 0,
        "lessons": [],
    }
    assert shop.ask("owner", "GET", "/v1/accuracy")["enough"] is False
    shop.assembly.engine.dispose()
