"""Quiet hours: when nothing is written unasked."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from service.estimating import PriceBook
from service.leads.shop_time import zone_of


def is_quiet(moment: datetime, book: PriceBook) -> bool:
    """Whether nothing is written unasked at that moment."""
    zone = zone_of(book)
    return _is_quiet(moment, book.follow_up.quiet_from, book.follow_up.quiet_until, zone)


def after_quiet(moment: datetime, book: PriceBook) -> datetime:
    """The moment itself, or the end of the quiet hours that it falls into."""
    zone = zone_of(book)
    return end_of_quiet(moment, book.follow_up.quiet_from, book.follow_up.quiet_until, zone)


def end_of_quiet(moment: datetime, quiet_from: time, quiet_until: time, zone: ZoneInfo) -> datetime:
    """The first moment from `moment` on that is not quiet by the clocks of `zone`.

    Where the clocks skip the end of the quiet hours, it is what they show instead; where they
    show it twice, the later one counts for whoever asks in between.
    """
    if not _is_quiet(moment, quiet_from, quiet_until, zone):
        return moment
    day = moment.astimezone(zone).date()
    ends = (
        datetime.combine(day + timedelta(days=ahead), quiet_until, zone).replace(fold=fold)
        for ahead in (0, 1, 2)
        for fold in (0, 1)
    )
    later = sorted(end.astimezone(UTC) for end in ends)
    return next(
        end for end in later if end > moment and not _is_quiet(end, quiet_from, quiet_until, zone)
    )


def _is_quiet(moment: datetime, quiet_from: time, quiet_until: time, zone: ZoneInfo) -> bool:
    clock = moment.astimezone(zone).time()
    if quiet_from <= quiet_until:
        return quiet_from <= clock < quiet_until
    return clock >= quiet_from or clock < quiet_until
