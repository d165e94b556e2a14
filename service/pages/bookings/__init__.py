"""The booking page: set-up times that are really free, holding one, and giving it back."""

from service.pages.bookings.routes import router

__all__ = ["router"]
