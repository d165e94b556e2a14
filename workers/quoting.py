"""The job that turns a lead into a quote."""

from service.contract.client import ServiceClient, ServiceRefused
from service.contract.estimate import Problem
from service.contract.leads import Lease, ReviewRequest
from workers.steps import Attempt, take


async def quote_lead(service: ServiceClient, step_id: str) -> None:
    """Estimate the lead that a step is about and hand the estimate in under the step's lease."""

    async def work(attempt: Attempt) -> None:
        lease = attempt.lease
        brief = lease.brief
        if brief is None:  # an older service, while this one is being upgraded
            brief = (await service.lead(lease.subject_id)).brief
        try:
            estimate = await service.estimate(brief)
        except ServiceRefused as refusal:
            if refusal.problem.status != 422:
                raise
            await _ask_owner(service, lease, refusal.problem)
            return
        await service.quote(
            lease.subject_id, step_id=lease.step_id, fence=lease.fence, estimate=estimate
        )

    await take(service, step_id, work)


async def _ask_owner(service: ServiceClient, lease: Lease, problem: Problem) -> None:
    reasons = _reasons(problem)
    request = ReviewRequest(step_id=lease.step_id, fence=lease.fence, reasons=reasons)
    await service.review(lease.subject_id, request)


def _reasons(problem: Problem) -> list[str]:
    if problem.errors:
        return [f"{error.field}: {error.detail}" for error in problem.errors[:20]]
    return [problem.detail or problem.title]
