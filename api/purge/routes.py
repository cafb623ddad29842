"""/v1/purge, and what plans say about purging."""

from fastapi import APIRouter

from api.purge import colourway, findings, log, matrix, order, plan_log, plan_matrix

router = APIRouter()
for part in (matrix, order, findings, log, plan_matrix, plan_log, colourway):
    router.include_router(part.router)
