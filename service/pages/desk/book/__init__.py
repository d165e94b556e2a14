"""The price book at the desk: its pages, what a change does, its versions, all of it as a file."""

from fastapi import APIRouter

from service.pages.desk.book import file, index, page, saving, versions

router = APIRouter()
# A page of the book is named by what is left: the others come first.
for _room in (index, saving, versions, file, page):
    router.include_router(_room.router, prefix="/book")
