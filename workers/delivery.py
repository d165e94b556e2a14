"""The job that sends one message of a conversation through a push channel, at least once."""

import asyncio
import contextlib
import logging
from collections.abc import Coroutine, Mapping
from typing import Any

from service.contract.client import ServiceClient, ServiceRefused, ServiceUnavailable
from service.contract.leads import Lease, StepDone, StepFailure
from service.contract.talk import Delivery
from workers.channels import SET_UP_PAUSE_S, Channel, NotEver, NotNow, NotSent, Unclear
from workers.queues import RENEW_LEASE_EVERY_S, SEND_LIMIT_S
from workers.steps import Attempt, StepFailed, take

_log = logging.getLogger(__name__)

# Drawn, it is there in a fifth of a second; the step's lease, renewed after it, lasts 8 s.
_PICTURE_LIMIT_S = 4.0

# The ledger takes no longer one; whoever still asks for a pause then gets another.
_LONGEST_PAUSE_S = 86_400.0


async def deliver(service: ServiceClient, channels: Mapping[str, Channel], step_id: str) -> None:
    """Send the message that a step is about, then confirm it.

    The service hears "sending" before the channel is touched, so that after a crash it knows
    that the message may be out. Such a message is sent again: a client who reads a reply twice
    is better off than one who waits for ever.
    """

    async def work(attempt: Attempt) -> None:
        lease = attempt.lease
        delivery = await service.delivery(lease.subject_id)
        if lease.maybe_done:
            _log.warning("step %s: sent again, its first sending may be out", step_id)
        picture = await _picture(service, delivery)
        await _say_sending(service, lease)
        attempt.unclear = True
        failure = await _failure(service, lease, _send(channels, delivery, picture))
        if failure is None:
            await service.step_done(lease.step_id, StepDone(fence=lease.fence))
            return
        attempt.unclear = failure.unclear
        _log.warning("step %s: %s", step_id, failure.error)
        await service.step_failed(lease.step_id, failure)
        if _soon(failure):
            raise StepFailed(failure.error)

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


async def _failure(
    service: ServiceClient, lease: Lease, sending: Coroutine[Any, Any, None]
) -> StepFailure | None:
    """What became of a send; None when it is confirmed."""

    def failure(error: object, **more: Any) -> StepFailure:
        return StepFailure(fence=lease.fence, error=str(error)[:500], **{"retry": True, **more})

    try:
        await _under_lease(service, lease, sending)
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


async def _under_lease(
    service: ServiceClient, lease: Lease, sending: Coroutine[Any, Any, None]
) -> None:
    """Wait for a send of at most SEND_LIMIT_S and renew the step's lease meanwhile."""
    task = asyncio.create_task(asyncio.wait_for(sending, SEND_LIMIT_S))
    try:
        # No task of its own renews: one cut off in a call could renew after the outcome is told.
        while not (await asyncio.wait([task], timeout=RENEW_LEASE_EVERY_S))[0]:
            # A message on its way cannot be called back; a lost lease shows when it is reported.
            with contextlib.suppress(ServiceRefused, ServiceUnavailable):
                await _say_sending(service, lease)
        await task
    finally:
        task.cancel()


async def _say_sending(service: ServiceClient, lease: Lease) -> None:
    await service.step_sending(lease.step_id, StepDone(fence=lease.fence))


def _soon(failure: StepFailure) -> bool:
    """Whether RQ should run the job again; after longer pauses the sweep does."""
    return failure.retry and not failure.unclear and failure.retry_after_s is None
