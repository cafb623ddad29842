"""/v1/purge, and what plans say about purging."""

from fastapi import APIRouter

from api.purge import colour_changes, colourway, findings, log, order, plan_colour_changes, plan_log

router = APIRouter()
for part in (colour_changes, order, findings, log, plan_colour_changes, plan_log, colourway):
    router.include_router(part.router)
