"""The job that has one part of a long work made."""

from service.contract.chores import PartDue
from service.contract.client import ServiceClient
from workers.steps import Attempt, take


async def do_part(service: ServiceClient, step_id: str) -> None:
    """Have the service make a part: a document, or a price afresh."""

    async def work(attempt: Attempt) -> None:
        lease = attempt.lease
        due = PartDue(step_id=lease.step_id, fence=lease.fence)
        await service.do_part(lease.subject_id, due)

    await take(service, step_id, work)
