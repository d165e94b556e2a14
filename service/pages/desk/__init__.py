"""The owner's desk: requests that wait, one request with everything known about it, decisions."""

from fastapi import APIRouter

from service.pages.desk import (
    account,
    conversation,
    jobs,
    lead,
    leads,
    more,
    people,
    photos,
    privacy,
    rules,
    signing_in,
    stock,
    telegram,
)

router = APIRouter()
for _room in (
    signing_in,
    leads,
    lead,
    conversation,
    photos,
    telegram,
    more,
    account,
    people,
    jobs,
    privacy,
    rules,
    stock,
):
    router.include_router(_room.router, prefix="/desk")
