"""All pages, in the order in which a maker meets them."""

from fastapi import APIRouter

from api.pages import door, form, home, lists, orders, plan, purge, starting

router = APIRouter()
for part in (door, home, starting, form, plan, lists, purge, orders):
    router.include_router(part.router)
