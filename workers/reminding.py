"""The job that has a reminder written once it is due."""

from service.contract.client import ServiceClient
from service.contract.reminders import DueReminder
from workers.steps import Attempt, take


async def remind(service: ServiceClient, step_id: str) -> None:
    """Say that a reminder is due. The service decides whether it is still wanted, and writes it."""

    async def work(attempt: Attempt) -> None:
        lease = attempt.lease
        due = DueReminder(step_id=lease.step_id, fence=lease.fence)
        await service.remind(lease.subject_id, due)

    await take(service, step_id, work)
