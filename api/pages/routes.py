"""All pages, in the order in which a maker meets them."""

from fastapi import APIRouter

from api.pages import door, form, home, lists, orders, plan, press, purge, starting, sure, whatif

router = APIRouter()
for part in (door, home, starting, form, plan, lists, purge, press, sure, whatif, orders):
    router.include_router(part.router)
