"""A day's run sheet: one timeline of all that is done, and what is to be known of each place."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from pathlib import Path

import pytest

from service.estimating import Event, Setting, Site
from service.leads import site_noting
from service.leads.closing import ClosedTime
from service.leads.lead import Lead, NotFound
from service.leads.people import PersonRole
from service.leads.site_notes import NOTHING, SiteNotes
from service.workshop.run_sheet import RunSheet, StepKind, saying
from tests.service.building import BuiltShop, a_brief, build_shop
from tests.service.leads.keeping_dates import SUNDAY, a_wall, at, hold_of
from tests.service.workshop.a_day import (
    FLOATS,
    LAWN,
    SATURDAY,
    booked,
    clock,
    columns,
    sheet_of,
    steps,
)

NOTES = SiteNotes(
    address="12 River Rd\nAlder Mills",
    parking="behind the boathouse",
    access="side gate, code 1234",
    contact="Tom Reyes",
    phone="617 555 0111",
    notes="no tape on the paint",
)


class Weekend:
    """Saturday's library, taken down on Sunday morning, and Sunday's lawn and clubhouse."""

    def __init__(self, folder: Path) -> None:
        self.shop = build_shop(folder)
        late = Event(
            occasion="grand_opening", date=SATURDAY, start_time=time(18), end_time=time(0, 30)
        )
        self.library = booked(self.shop, columns(2, late), at(12, day=SATURDAY))
        self.lawn = booked(self.shop, a_brief(site=LAWN, floating=FLOATS), at(10, 30))
        nowhere = Site(setting=Setting.INDOOR)
        self.club = booked(self.shop, a_wall(start=time(19), site=nowhere), at(15))
        with self.shop.ports.work() as work:
            site_noting.write(
                work, self.lawn.id, NOTES, seen=NOTHING.mark, who="owner", now=self.shop.now
            )
            work.commit()
        self.sunday = sheet_of(self.shop)


@pytest.fixture(scope="module")
def weekend(tmp_path_factory: pytest.TempPathFactory) -> Weekend:
    return Weekend(tmp_path_factory.mktemp("weekend"))


@pytest.fixture
def shop(tmp_path: Path) -> BuiltShop:
    return build_shop(tmp_path)


def kinds_of(sheet: RunSheet, lead: Lead) -> list[StepKind]:
    return [step.kind for step in sheet.steps if lead.number in step.numbers]


def test_two_jobs_and_yesterdays_strike_are_one_timeline(weekend: Weekend) -> None:
    sheet = weekend.sunday
    assert [stop.number for stop in sheet.stops] == [
        lead.number for lead in (weekend.library, weekend.lawn, weekend.club)
    ]
    assert [stop.does for stop in sheet.stops] == [
        ("take down",),
        ("set up", "take down"),
        ("set up",),
    ]
    assert [step.starts_at for step in sheet.steps] == sorted(s.starts_at for s in sheet.steps)
    assert kinds_of(sheet, weekend.library) == [StepKind.DRIVE, StepKind.STRIKE, StepKind.HOME]
    assert sheet.wrong == ()


def test_a_set_up_goes_backwards_from_the_event_to_the_bench(weekend: Weekend) -> None:
    sheet, stay = weekend.sunday, hold_of(weekend.shop, weekend.lawn).stay
    (load,) = steps(sheet, StepKind.LOAD, weekend.lawn)
    leave, back_out = steps(sheet, StepKind.DRIVE, weekend.lawn)
    (inflate,) = steps(sheet, StepKind.INFLATE, weekend.lawn)
    (pictures,) = steps(sheet, StepKind.PICTURES, weekend.lawn)
    (guests,) = steps(sheet, StepKind.GUESTS, weekend.lawn)
    assert inflate.ends_at <= load.starts_at < load.ends_at == leave.starts_at == stay.leaves_at
    assert clock(leave)[1] == "10:30"
    assert any("20 min of it kept free" in note for note in leave.notes)
    assert pictures.starts_at == pictures.ends_at < guests.starts_at == at(15)
    assert "before the guests come" in pictures.text
    assert back_out.ends_at == stay.strikes_at


def test_what_is_done_at_the_place_fills_the_window_without_a_gap(weekend: Weekend) -> None:
    window = hold_of(weekend.shop, weekend.lawn).window
    there = [
        step
        for step in weekend.sunday.steps
        if weekend.lawn.number in step.numbers
        and window.starts_at <= step.starts_at < window.ends_at
    ]
    assert [step.kind for step in there] == [
        StepKind.UNLOAD,
        StepKind.SET_UP,
        StepKind.HELIUM,
        StepKind.FINISH,
    ]
    assert there[0].starts_at == window.starts_at
    assert there[-1].ends_at == window.ends_at
    assert all(one.ends_at == other.starts_at for one, other in pairwise(there))


def test_helium_is_filled_there_and_its_best_time_is_told(weekend: Weekend) -> None:
    (helium,) = steps(weekend.sunday, StepKind.HELIUM)
    assert helium.text.startswith("Fill 12 balloons with helium, each on its weight")
    assert any("12:00\xa0PM" in note for note in helium.notes)
    assert any("upright" in note for note in helium.notes)


def test_a_strike_says_what_comes_back_and_what_is_only_assumed(weekend: Weekend) -> None:
    of_library, of_lawn = steps(weekend.sunday, StepKind.STRIKE)
    assert clock(of_library)[0] == "07:00"
    assert "count what comes back: 2 × column stand" in of_library.notes
    assert not any("assumed" in note for note in of_library.notes)
    assert "the end is not known: 7:00\xa0PM assumed" in of_lawn.notes
    assert any("cut open" in note for note in of_lawn.notes)


def test_the_day_before_has_its_own_sheet_with_its_own_making(weekend: Weekend) -> None:
    sheet = sheet_of(weekend.shop, SATURDAY)
    assert [stop.number for stop in sheet.stops] == [weekend.library.number]
    assert steps(sheet, StepKind.STRIKE) == []
    (inflate,) = steps(sheet, StepKind.INFLATE, weekend.library)
    assert inflate.starts_at.date() == SATURDAY
    (made,) = weekend.sunday.stops[0].made
    assert made.startswith("Saturday, June 5, 2027: inflating and tying ")


def test_what_is_made_a_day_early_stands_on_that_days_sheet(shop: BuiltShop) -> None:
    lead = booked(shop, a_brief())
    friday_on = sheet_of(shop, SATURDAY)
    assert friday_on.stops == ()
    early = steps(friday_on, StepKind.INFLATE, lead)
    assert early
    assert all("for Sunday, June 6, 2027" in step.notes for step in early)
    (stop,) = sheet_of(shop).stops
    assert any(line.startswith("Saturday, June 5, 2027: ") for line in stop.made)


def test_what_is_known_of_a_place_is_told_and_what_is_not_is_asked(weekend: Weekend) -> None:
    _, lawn, club = weekend.sunday.stops
    assert (lawn.place.address, lawn.place.parking) == (NOTES.address, NOTES.parking)
    assert lawn.place.map_url == (
        "https://www.openstreetmap.org/search?query=12%20River%20Rd%2C%20Alder%20Mills"
    )
    assert saying.person(lawn.at_place) == "Tom Reyes, 617 555 0111"
    assert "parking" not in lawn.unknown
    assert club.place.title == "Place not known yet"
    assert club.place.map_url is None
    assert {"address", "parking", "the way in"} < set(club.unknown)
    leave = steps(weekend.sunday, StepKind.DRIVE, weekend.club)[0]
    assert any("nobody has said where it is" in note for note in leave.notes)
    said = dict(saying.facts(club))
    assert said["Parking"] == said["The way in"] == said["Ask for there"] == "not known: ask"


def test_outdoors_the_wind_and_what_was_agreed_about_the_weather_are_told(
    weekend: Weekend,
) -> None:
    _, lawn, club = weekend.sunday.stops
    assert lawn.mind[0].startswith("Watch the wind from gusts of ")
    assert "mph" in lawn.mind[0]
    assert lawn.weather is not None
    assert lawn.weather.startswith("Outdoors the weather has a say.")
    assert (club.mind, club.weather) == ((), None)


def test_every_caution_is_told_once_with_the_jobs_that_it_is_about(weekend: Weekend) -> None:
    sheet = weekend.sunday
    texts = [caution.text for caution in sheet.cautions]
    assert len(set(texts)) == len(texts)
    everywhere = {each.text: each for each in sheet.cautions if len(each.numbers) == 3}
    assert any(text.startswith("WARNING: CHOKING HAZARD") for text in everywhere)
    (helium,) = [each for each in sheet.cautions if each.text.startswith("Helium displaces air")]
    assert saying.about(helium, sheet).startswith(f"{weekend.lawn.number}: Helium")


def test_the_owner_is_told_what_is_due_and_whole_names_a_helper_neither(weekend: Weekend) -> None:
    shop = weekend.shop
    owners = weekend.sunday.stops[1]
    assert owners.due is not None
    assert saying.due(owners).startswith("$")
    assert saying.person(owners.client) == "Nora Ålund, +1 617 555 0100"
    before, shop.now = shop.now, at(7)
    try:
        helpers = sheet_of(shop, reader=PersonRole.HELPER).stops[1]
        assert helpers.due is None
        assert saying.person(helpers.client) == "Nora, +1 617 555 0100"
        assert helpers.place.access == NOTES.access
    finally:
        shop.now = before


def test_helpers_hear_of_people_and_doors_on_the_days_of_the_job_only(weekend: Weekend) -> None:
    shop = weekend.shop
    before, shop.now = shop.now, at(18, day=SATURDAY - timedelta(days=1))
    try:
        stop = sheet_of(shop, reader=PersonRole.HELPER).stops[1]
        assert (stop.client, stop.at_place) == (None, None)
        assert (stop.place.access, stop.place.notes) == ("", "")
        assert (stop.place.address, stop.place.parking) == (NOTES.address, NOTES.parking)
        assert dict(saying.facts(stop))["The way in"] == "told on the day"
        for day in (SATURDAY - timedelta(days=2), SUNDAY + timedelta(days=90)):
            with pytest.raises(NotFound):
                sheet_of(shop, day, PersonRole.HELPER)
        assert sheet_of(shop, SUNDAY + timedelta(days=90)).steps == ()
    finally:
        shop.now = before


def test_the_next_step_is_what_is_under_way_or_comes_next(weekend: Weekend) -> None:
    sheet = weekend.sunday
    under_way = sheet.next_at(at(10, 20))
    assert under_way is not None
    assert under_way.kind is StepKind.DRIVE
    idle = sheet.next_at(at(12, 30))
    assert idle is not None
    assert idle.numbers == (weekend.club.number,)
    assert sheet.next_at(at(23, 59)) is None


def test_further_car_loads_are_fetched_before_setting_up(shop: BuiltShop) -> None:
    evening = Event(occasion="grand_opening", date=SUNDAY, start_time=time(19))
    far = Site(setting=Setting.INDOOR, place="rowing museum")
    lead = booked(shop, columns(8, evening, far))
    sheet = sheet_of(shop)
    (fetch,) = steps(sheet, StepKind.FETCH, lead)
    (unload,) = steps(sheet, StepKind.UNLOAD, lead)
    set_up = steps(sheet, StepKind.SET_UP, lead)[0]
    assert "car load 2 of 2" in fetch.text
    assert unload.ends_at == fetch.starts_at < fetch.ends_at == set_up.starts_at
    (load,) = steps(sheet, StepKind.LOAD, lead)
    assert any("load 1 of 2 goes in" in note for note in load.notes)
    assert any("column, hired" in note for note in load.notes)
    assert sheet.stops[0].load.endswith("2 car loads")


def test_a_job_that_nobody_comes_back_for_has_no_strike(shop: BuiltShop) -> None:
    lead = booked(shop, replace(a_wall(), client_keeps=True), at(9))
    sheet = sheet_of(shop)
    assert steps(sheet, StepKind.STRIKE) == []
    (stop,) = sheet.stops
    assert stop.does == ("set up",)
    assert "the balloons stay with the client" in stop.promised
    assert "when the event ends" not in stop.unknown
    assert len(steps(sheet, StepKind.HOME, lead)) == 1


def test_on_the_day_the_clocks_change_steps_last_as_long_as_ever(shop: BuiltShop) -> None:
    # On this day Boston's clock goes from two to three: at seven it is six hours after midnight.
    day = date(2027, 3, 14)
    lead = booked(shop, a_wall(day, time(12)), at(8, day=day))
    sheet = sheet_of(shop, day)
    (unload,) = steps(sheet, StepKind.UNLOAD, lead)
    assert unload.starts_at == datetime(2027, 3, 14, 12, tzinfo=UTC)
    assert clock(unload)[0] == "08:00"
    (load,) = steps(sheet, StepKind.LOAD, lead)
    assert load.starts_at < load.ends_at
    assert [step.starts_at for step in sheet.steps] == sorted(s.starts_at for s in sheet.steps)


def test_what_cannot_be_is_told_first(shop: BuiltShop) -> None:
    booked(shop, a_brief(), at(9))
    with shop.ports.work() as work:
        hours = {"since": time(8), "until": time(12)}
        work.closed.add(
            ClosedTime(id="fair", first=SUNDAY, last=SUNDAY, note="a fair", made_at=at(9), **hours)
        )
        work.commit()
    (wrong,) = sheet_of(shop).wrong
    assert "falls into closed time (a fair)" in wrong
    shop.now = at(7)
    assert sheet_of(shop, reader=PersonRole.HELPER).wrong == ()
