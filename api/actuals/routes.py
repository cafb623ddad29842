"""The floor of a plan."""

from fastapi import APIRouter

from api.actuals import again, entries

router = APIRouter()
for part in (entries, again):
    router.include_router(part.router)
