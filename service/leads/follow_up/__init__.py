"""Follow-up: what the shop writes unasked, when it is wanted, and how a client stops it."""

from service.leads.follow_up.arranging import arrange, arrange_first, drop_all
from service.leads.follow_up.stopping import start, stop

__all__ = ["arrange", "arrange_first", "drop_all", "start", "stop"]
