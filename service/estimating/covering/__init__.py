"""Least-cost covering, exactly: enough of everything from packs, mixed bundles and stand-ins.

It knows no trade. `Market.quickly` answers within a millisecond by the structure of the question;
`integer_program.optimum` puts the same question to a general solver, and `cheapest` asks the
second where the first has no proof.
"""

from service.estimating.covering.answering import cheapest
from service.estimating.covering.market import Market
from service.estimating.covering.offers import (
    Bundle,
    OffersError,
    Pack,
    Substitution,
    Terms,
    Uncoverable,
)
from service.estimating.covering.plans import Order, Plan

__all__ = [
    "Bundle",
    "Market",
    "OffersError",
    "Order",
    "Pack",
    "Plan",
    "Substitution",
    "Terms",
    "Uncoverable",
    "cheapest",
]
