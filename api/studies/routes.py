"""Studies."""

from fastapi import APIRouter

from api.studies import read

router = APIRouter()
router.include_router(read.router)
