"""Where every figure comes from: formula, inputs, source.

A reason names its figure by its path in the answer, as `pieces[0].girth_m`. It covers that figure
and everything inside it: `spares` is the reason for `spares[3].taken` too. `[]` stands for each
entry of a list: `pieces[].order` is the reason for `pieces[2].order[7]`. Where several cover a
figure, the one with the longest path is the nearest.
"""

from service.estimating.answer import Reason
from service.estimating.book import PriceBook
from service.estimating.explanation.goods import of_goods
from service.estimating.explanation.money import of_money
from service.estimating.explanation.pieces import of_pieces
from service.estimating.explanation.site import of_site
from service.estimating.explanation.tasks import of_hours
from service.estimating.explanation.text import as_text, named
from service.estimating.explanation.work import of_work
from service.estimating.explanation.workings import Workings

__all__ = ["Workings", "as_text", "explain", "named"]


def explain(workings: Workings, book: PriceBook) -> tuple[Reason, ...]:
    """A reason for every figure, in the order in which they follow from one another."""
    return (
        *of_pieces(workings, book),
        *of_goods(workings, book),
        *of_site(workings, book),
        *of_hours(workings, book),
        *of_work(workings, book),
        *of_money(workings, book),
    )
