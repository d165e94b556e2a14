"""The job that sends one message of a conversation through a push channel, at least once."""

import asyncio
import logging
from collections.abc import Coroutine, Mapping
from typing import Any

from service.contract.client import ServiceClient, ServiceRefused, ServiceUnavailable
from service.contract.leads import Lease, StepDone, StepFailure
from service.contract.talk import Delivery
from workers.channels import SET_UP_PAUSE_S, Channel, NotEver, NotNow, NotSent, Unclear
from workers.queues import SEND_LIMIT_S
from workers.steps import Attempt, take

_log = logging.getLogger(__name__)

# Drawn, it is there in a fifth of a second.
_PICTURE_LIMIT_S = 4.0

# The ledger takes no longer one; whoever still asks for a pause then gets another.
_LONGEST_PAUSE_S = 86_400.0


async def deliver(service: ServiceClient, channels: Mapping[str, Channel], step_id: str) -> None:
    """Send the message that a step is about, then confirm it.

    The service hears "sending" before the channel is touched, so that after a crash it knows
    that the message may be out. Such a message is sent again, so often as the service allows: a
    client who reads a reply twice is better off than one who waits for ever.
    """

    async def work(attempt: Attempt) -> None:
        lease = attempt.lease
        delivery = await service.delivery(lease.subject_id)
        if lease.maybe_done:
            _log.warning("step %s: sent again, its first sending may be out", step_id)
        picture = await _picture(service, delivery)
        await service.step_sending(lease.step_id, StepDone(fence=lease.fence))
        attempt.unclear = True
        failure = await _failure(lease, _send(channels, delivery, picture))
        if failure is None:
            await service.step_done(lease.step_id, StepDone(fence=lease.fence))
            return
        attempt.unclear = failure.unclear
        _log.warning("step %s: %s", step_id, failure.error)
        await service.step_failed(lease.step_id, failure)

    await take(service, step_id, work)


async def _picture(service: ServiceClient, delivery: Delivery) -> bytes | None:
    """The message's picture; none where it does not come at once: a price does not wait for it."""
    wanted = delivery.message.picture
    if wanted is None:
        return None
    try:
        async with asyncio.timeout(_PICTURE_LIMIT_S):
            return await service.picture(wanted.url)
    except (TimeoutError, ServiceRefused, ServiceUnavailable) as trouble:
        _log.warning(
            "%s: goes without its picture (%s)", delivery.message_id, type(trouble).__name__
        )
        return None


async def _send(channels: Mapping[str, Channel], delivery: Delivery, picture: bytes | None) -> None:
    channel = channels.get(delivery.channel)
    if channel is None:
        raise NotNow(
            SET_UP_PAUSE_S,
            f"nothing is set up to send through {delivery.channel}; is the bot's token set?",
            attempted=True,
        )
    await channel.send(
        delivery.chat_id, delivery.message, after_share=delivery.after_share, picture=picture
    )


async def _failure(lease: Lease, sending: Coroutine[Any, Any, None]) -> StepFailure | None:
    """What became of a send; None when it is confirmed."""

    def failure(error: object, **more: Any) -> StepFailure:
        return StepFailure(fence=lease.fence, error=str(error)[:500], **{"retry": True, **more})

    try:
        await asyncio.wait_for(sending, SEND_LIMIT_S)
    except NotNow as pause:
        pause_s = min(pause.seconds, _LONGEST_PAUSE_S)
        return failure(pause, retry_after_s=pause_s, attempted=pause.attempted)
    except NotSent as trouble:
        return failure(trouble)
    except NotEver as refusal:
        return failure(refusal, retry=False)
    except Unclear as doubt:
        return failure(doubt, unclear=True)
    except TimeoutError:
        return failure("the sending took too long", unclear=True)
    return None
