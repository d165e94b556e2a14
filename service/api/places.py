"""Places on the map, for a location that a client shares."""

from typing import Annotated

from fastapi import APIRouter, Depends, Query, Request

from service.api.access import Role, allow
from service.contract.place import Place

router = APIRouter(prefix="/places", tags=["estimates"], dependencies=[Depends(allow(Role.BOT))])


@router.get("/nearest")
def nearest(
    request: Request,
    latitude: Annotated[float, Query(ge=-90, le=90)],
    longitude: Annotated[float, Query(ge=-180, le=180)],
) -> Place | None:
    """The US postal code whose middle is nearest; null where none is within 20 miles."""
    found = request.app.state.places.nearest(latitude, longitude)
    return None if found is None else Place(postal_code=found.postal_code, town=found.town)
