"""The owner's desk: requests that wait, one request with everything known about it, decisions."""

from fastapi import APIRouter

from service.pages.desk import conversation, lead, leads, more, photos, signing_in, telegram

router = APIRouter()
for _room in (signing_in, leads, lead, conversation, photos, telegram, more):
    router.include_router(_room.router, prefix="/desk")
