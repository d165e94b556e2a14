"""Shopping for one job or for all booked ones: what to buy, and marking it as bought."""

from service.pages.desk.shopping.routes import router

__all__ = ["router"]
