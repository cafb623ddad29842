"""What-ifs of a plan."""

from fastapi import APIRouter

from api.slips import tables, variants

router = APIRouter()
for part in (variants, tables):
    router.include_router(part.router)
