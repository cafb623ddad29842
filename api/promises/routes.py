"""Promises of a plan."""

from fastapi import APIRouter

from api.promises import promise, update

router = APIRouter()
for part in (promise, update):
    router.include_router(part.router)
