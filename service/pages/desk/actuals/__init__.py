"""How a finished job went: told by its owner, and held against its estimate."""

from fastapi import APIRouter

from service.pages.desk.actuals import page, photos

router = APIRouter()
for _part in (page, photos):
    router.include_router(_part.router)
