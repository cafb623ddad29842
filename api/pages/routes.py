"""All pages, in the order in which a maker meets them."""

from fastapi import APIRouter

from api.pages import door, home, lists, plan, starting

router = APIRouter()
for part in (door, home, starting, plan, lists):
    router.include_router(part.router)
