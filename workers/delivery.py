"""The job that sends one message of a conversation through a push channel, at least once."""

import logging
from collections.abc import Mapping

from service.contract.client import ServiceClient
from service.contract.leads import Lease, StepDone, StepFailure
from service.contract.talk import Delivery
from workers.channels import Channel, NotEver, NotNow
from workers.steps import take

_log = logging.getLogger(__name__)


async def deliver(service: ServiceClient, channels: Mapping[str, Channel], step_id: str) -> None:
    """Send the message that a step is about, then confirm it.

    The service hears "sending" before the channel is touched, so that after a crash it knows
    that the message may be out. Such a message is sent again: a client who reads a reply twice
    is better off than one who waits for ever.
    """

    async def work(lease: Lease) -> None:
        delivery = await service.delivery(lease.subject_id)
        if lease.maybe_done:
            _log.warning("step %s: sent again, its first sending was cut off", step_id)
        await service.step_sending(lease.step_id, StepDone(fence=lease.fence))
        try:
            await _channel(channels, delivery).send(delivery.chat_id, delivery.message)
        except NotNow as pause:
            failure = StepFailure(
                fence=lease.fence,
                error="the channel asks for a pause",
                retry=True,
                retry_after_s=pause.seconds,
            )
        except NotEver as refusal:
            failure = StepFailure(fence=lease.fence, error=str(refusal), retry=False)
        else:
            await service.step_done(lease.step_id, StepDone(fence=lease.fence))
            return
        await service.step_failed(lease.step_id, failure)

    await take(service, step_id, work)


def _channel(channels: Mapping[str, Channel], delivery: Delivery) -> Channel:
    try:
        return channels[delivery.channel]
    except KeyError:
        raise NotEver(f"nothing is set up to send through {delivery.channel}") from None
