"""/v1/plans, in the order of a plan's life."""

from fastapi import APIRouter

from api.plans import change, events, links, read, revisions, submit

router = APIRouter()
for part in (submit, read, events, revisions, change, links):
    router.include_router(part.router)
