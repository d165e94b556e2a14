"""The whole service, as the API's tests have it."""

from tests.service.api.conftest import post_lead, service, settings, work_off

__all__ = ["post_lead", "service", "settings", "work_off"]
