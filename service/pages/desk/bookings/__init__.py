"""One held or booked job at the desk: its date, its money, and what is done with both."""

from fastapi import APIRouter

from service.pages.desk.bookings import dates, money, page, striking

router = APIRouter()
for _part in (page, money, striking, dates):
    router.include_router(_part.router)
