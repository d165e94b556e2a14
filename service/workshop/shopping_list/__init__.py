"""What to buy for one job or for all booked ones: where, by when, and what the shelf has of it.

`question` reads what is to be bought for, in a short transaction; `solve` makes the list of it,
outside of one: looking for the proof that nothing is cheaper may take seconds.
"""

from service.workshop.shopping_list.asking import USUAL_DAYS, Scope, needs, question, until_of
from service.workshop.shopping_list.buying import purchase_id, solve
from service.workshop.shopping_list.goods import (
    Bag,
    Goods,
    MixedPack,
    PurchaseRefused,
    Thing,
)
from service.workshop.shopping_list.values import (
    Besides,
    Job,
    Line,
    Question,
    Shelved,
    ShoppingList,
    Sooner,
    Sort,
    StandIn,
    Supplied,
    Timing,
    Wanted,
)

__all__ = [
    "USUAL_DAYS",
    "Bag",
    "Besides",
    "Goods",
    "Job",
    "Line",
    "MixedPack",
    "PurchaseRefused",
    "Question",
    "Scope",
    "Shelved",
    "ShoppingList",
    "Sooner",
    "Sort",
    "StandIn",
    "Supplied",
    "Thing",
    "Timing",
    "Wanted",
    "needs",
    "purchase_id",
    "question",
    "solve",
    "until_of",
]
